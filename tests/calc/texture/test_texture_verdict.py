"""Which reading decides."""

import pytest

from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit, ToleranceRule
from castworthy.calc.quantity import Quantity
from castworthy.calc.texture.verdict import deciding_value

UPPER = Limit(quantity=Quantity.FINISH_RA, high=0.64)
BAND = Limit(quantity=Quantity.FINISH_RA, low=0.76, high=2.5)


@pytest.mark.parametrize(
    ("values", "limit", "rule", "index"),
    [
        ((0.5, 0.7, 0.6), UPPER, ToleranceRule.MAX, 1),
        # ISO 4288:1996, 5.2: one of the first six may exceed, two of the first twelve.
        ((0.5, 0.7, 0.6, 0.5, 0.5), UPPER, ToleranceRule.SIXTEEN, 1),
        ((0.5, 0.7, 0.6, 0.5, 0.5, 0.5), UPPER, ToleranceRule.SIXTEEN, 2),
        ((0.5,) * 9 + (0.7, 0.8, 0.6), UPPER, ToleranceRule.SIXTEEN, 11),
        # A band: the reading farthest out on either side is the worst.
        ((1.0, 0.7, 2.52), BAND, ToleranceRule.MAX, 1),
        ((1.0, 0.75, 2.6), BAND, ToleranceRule.MAX, 2),
        ((1.0, 1.2), BAND, ToleranceRule.MAX, 0),
        ((0.5, 0.5), UPPER, ToleranceRule.MAX, 0),
    ],
)
def test_deciding_value(
    values: tuple[float, ...], limit: Limit, rule: ToleranceRule, index: int
) -> None:
    assert deciding_value(values, limit=limit, rule=rule) == index


def test_nothing_read_or_no_bound_is_a_wrong_call() -> None:
    with pytest.raises(InputError):
        deciding_value((), limit=UPPER, rule=ToleranceRule.MAX)
    with pytest.raises(InputError):
        deciding_value((1.0,), limit=Limit(quantity=Quantity.FINISH_RA), rule=ToleranceRule.MAX)
