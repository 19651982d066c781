"""Exact factors and the closed list of suffixes."""

from fractions import Fraction

import pytest

from castworthy.units import SUFFIXES, UNITS, UnitError, convert
from castworthy.units.factors import BRIDGES, factor_to, names_for, unit_named


def test_every_unit_ends_in_a_suffix_of_the_list() -> None:
    assert {unit.suffix for unit in UNITS} <= set(SUFFIXES)


def test_no_two_units_share_a_name() -> None:
    own = [{name.casefold() for name in (unit.symbol, *unit.names)} for unit in UNITS]
    names = [name for each in own for name in each]

    assert len(names) == len(set(names))


def test_bridges_are_each_others_inverse() -> None:
    for (one, other), factor in BRIDGES.items():
        assert factor * BRIDGES[other, one] == 1


@pytest.mark.parametrize(
    ("name", "suffix", "factor"),
    [
        ("in", "mm", Fraction("25.4")),
        ("thou", "mm", Fraction("0.0254")),
        ("thou", "um", Fraction("25.4")),
        ("µin", "um", Fraction("0.0254")),
        ("µin", "mm", Fraction("0.0000254")),
        ("MPa", "kpa", Fraction(1000)),
        ("h", "s", Fraction(3600)),
    ],
)
def test_exact_factors(name: str, suffix: str, factor: Fraction) -> None:
    # By definition: inch 25.4 mm, hour 3600 s.
    unit = unit_named(name)

    assert unit is not None
    assert factor_to(unit, suffix=suffix) == factor


def test_case_counts_only_where_it_changes_the_meaning() -> None:
    assert unit_named("THOU") is unit_named("thou")
    assert unit_named("kpa") is unit_named("kPa")
    assert unit_named("MPa") is not None
    assert unit_named("mPa") is None


def test_unrelated_kinds_do_not_mix() -> None:
    with pytest.raises(UnitError, match="'psi' is no unit of length; use one of mm"):
        convert(1.0, unit="psi", suffix="mm")
    with pytest.raises(UnitError, match="'furlong' is no unit of length"):
        convert(1.0, unit="furlong", suffix="mm")


def test_every_suffix_but_pure_numbers_can_be_typed() -> None:
    untyped = {suffix for suffix in SUFFIXES if not names_for(suffix)}

    assert untyped == {"rad", "pa_m3_per_s", "hz", "ratio", "count", "probability"}
