"""Number to text in the units a person chose."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.units import Show, UnitError
from castworthy.units.show import as_text


@pytest.mark.parametrize(
    ("length", "value", "suffix", "difference", "text"),
    [
        ("thou", 1.08458, "mm", False, "0.0427 in"),
        ("in", 1.08458, "mm", False, "0.0427 in"),
        ("mm", 1.08458, "mm", False, "1.085 mm"),
        ("thou", 0.07112, "mm", True, "2.8 thou"),
        ("in", 0.07112, "mm", True, "2.8 thou"),
        ("mm", 0.07112, "mm", True, "0.071 mm"),
        ("thou", 0.4572, "um", False, "18 µin"),
        ("mm", 0.4572, "um", False, "0.46 µm"),
        ("thou", 400.34, "n", False, "90.0 lbf"),
        ("mm", 400.34, "n", False, "400 N"),
        ("thou", 275.79, "kpa", False, "40.0 psi"),
        ("thou", 6.894757, "mpa", False, "1000 psi"),
        ("mm", 6.894757, "mpa", False, "7 MPa"),
        ("mm", 45.0, "deg", False, "45.0°"),
        ("thou", -0.00001, "mm", False, "0.0000 in"),
        ("thou", -1.08458, "mm", False, "-0.0427 in"),
    ],
)
def test_shown_as_a_shop_speaks(
    length: str, value: float, suffix: str, difference: bool, text: str
) -> None:
    assert Show(length=length).value(value, suffix=suffix, difference=difference) == text


def test_more_digits_on_request() -> None:
    assert Show().number(0.00508, suffix="mm", difference=True, digits=2) == "0.20"


def test_unknown_units_are_refused() -> None:
    with pytest.raises(UnitError, match="in, thou or mm, not 'cm'"):
        Show(length="cm")
    with pytest.raises(UnitError, match="'psi' cannot show a value in mm"):
        as_text(1.0, suffix="mm", unit="psi", digits=1)


@given(value=st.floats(-1e5, 1e5), digits=st.integers(0, 6))
def test_shown_text_is_within_half_a_digit(value: float, digits: int) -> None:
    text = as_text(value, suffix="mm", unit="mm", digits=digits)

    assert abs(float(text) - value) <= 0.5 * 10**-digits + 1e-9
    assert len(text.partition(".")[2]) == digits
    assert not text.startswith("-") or float(text) < 0
