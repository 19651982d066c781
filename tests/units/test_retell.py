"""Sentences of calc in the person's units."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.units import Show
from castworthy.units.retell import retell


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("It steps 0.0254 mm, more than 0.0127 mm.", "It steps 1.0 thou, more than 0.5 thou."),
        ("Between 0.203 and 0.254 mm.", "Between 8.0 and 10.0 thou."),
        ("A wire of 0.5, 25.4 and 50.8 mm.", "A wire of 0.0197, 1.0000 and 2.0000 in."),
        ("A cut is 0 mm or more, got -0.254 mm.", "A cut is 0 thou or more, got -10.0 thou."),
        ("At least 444.8 N at 50.8 mm.", "At least 100.0 lbf at 2.0000 in."),
        ("A rate of 17.513 N/mm.", "A rate of 100 lbf/in."),
        ("Past 6.894757 MPa.", "Past 1000 psi."),
        ("An area of 645.16 mm2, 3 cm3 left.", "An area of 1.000 in², 3.00 cm³ left."),
        ("Above -40 °C, got 100 °C.", "Above -40 °F, got 212 °F."),
        ("2 of 3 readings; 24 valves.", "2 of 3 readings; 24 valves."),
        ("Sheet T66-0.5 mm.", "Sheet T66-0.5 mm."),
    ],
)
def test_amounts_in_inches(said: str, told: str) -> None:
    assert retell(said, show=Show(length="thou")) == told


def test_vacuum_in_inches_of_mercury() -> None:
    # 1 inHg = 3.386389 kPa: NIST SP 811, appendix B.8
    said = "The pump pulls at most 101.59 kPa."
    assert retell(said, show=Show().of_vacuum()) == "The pump pulls at most 30.0 inHg."


@given(st.text(max_size=80))
def test_millimetres_are_left_alone(said: str) -> None:
    assert retell(said, show=Show(length="mm")) == said


@given(st.floats(-500.0, 500.0), st.floats(-500.0, 500.0))
def test_no_amount_is_lost(first: float, second: float) -> None:
    told = retell(f"From {first:.3f} to {second:.3f} mm.", show=Show(length="in"))
    assert told.startswith("From ")
    assert told.endswith(("in.", "thou."))
    per_unit_mm = 0.0254 if told.endswith("thou.") else 25.4
    numbers = [float(word) for word in told.removesuffix(".").split() if word[-1].isdigit()]
    assert numbers == pytest.approx(
        [round(first, 3) / per_unit_mm, round(second, 3) / per_unit_mm], abs=0.051
    )
