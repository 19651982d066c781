"""A sheet written back reads as the same sheet, to the last bit."""

from dataclasses import replace
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.head import HeadSheet, Limit, Rule, Spring, ValveKind
from castworthy.calc.quantity import Quantity
from castworthy.sheets.spec import read_sheet
from castworthy.sheets.write import write_sheet


def example(name: str) -> HeadSheet:
    files = resources.files("castworthy.demo") / "sheets"
    return read_sheet((files / name).read_text(encoding="utf-8"))


T66 = example("t66.toml")


@pytest.mark.parametrize("name", ["t66.toml", "f14.toml"])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_examples_survive_both_units(name: str, unit: str) -> None:
    assert read_sheet(write_sheet(example(name), unit=unit)) == example(name)


def test_figures_are_written_as_short_as_they_were_typed() -> None:
    text = write_sheet(T66, unit="in")

    assert "low = 0.0325\nhigh = 0.0465\naim = 0.039\n" in text
    assert 'ra_low = 12\nra_high = 30\nrule = "simple"\n' in text


@given(
    low=st.floats(1e-4, 50, allow_subnormal=False),
    span=st.floats(0, 5),
    share=st.floats(0, 1),
    rule=st.sampled_from(Rule),
    kind=st.sampled_from([None, *ValveKind]),
    source=st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=30),
    unit=st.sampled_from(["in", "mm"]),
)
def test_any_limit_survives(
    low: float,
    span: float,
    share: float,
    rule: Rule,
    kind: ValveKind | None,
    source: str,
    unit: str,
) -> None:
    high = low + span
    limit = Limit(
        quantity=Quantity.MARGIN,
        valve_kind=kind,
        low=low,
        high=high,
        aim=min(low + share * span, high),
        rule=rule,
        source=source,
    )
    sheet = replace(T66, limits=(limit,), springs=())

    assert read_sheet(write_sheet(sheet, unit=unit)) == sheet


@given(
    rate=st.floats(0.1, 500),
    kind=st.sampled_from(ValveKind),
    hold_s=st.floats(1, 9000),
    unit=st.sampled_from(["in", "mm"]),
)
def test_springs_and_times_survive(rate: float, kind: ValveKind, hold_s: float, unit: str) -> None:
    spring = Spring(rate_n_per_mm=rate, free_mm=60.0, solid_mm=30.0, lift_mm=12.0, valve_kind=kind)
    sheet = replace(T66, springs=(spring,), work=replace(T66.work, pressure_hold_s=hold_s))

    assert read_sheet(write_sheet(sheet, unit=unit)) == sheet


def test_other_units_are_refused() -> None:
    with pytest.raises(ValueError, match='written in "in" or "mm"'):
        write_sheet(T66, unit="cm")
