"""Text to number, exactly as typed at a bench."""

from contextlib import suppress
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.units import UNITS, UnitError, convert, read_number, read_value
from castworthy.units.factors import factor_to
from castworthy.units.show import as_text


@pytest.mark.parametrize(
    ("text", "suffix", "value"),
    [
        ("35 thou", "mm", 0.889),
        ("35thou", "mm", 0.889),
        ('.035"', "mm", 0.889),
        ("0.035in", "mm", 0.889),
        ("0,89 mm", "mm", 0.89),
        ("  +0.89  mm ", "mm", 0.89),
        ("-3 thou", "mm", -0.0762),
        ("\u22123 thou", "mm", -0.0762),
        ("18 µin", "um", 0.4572),
        ("18uin", "um", 0.4572),
        ("0.5um", "um", 0.5),
        ("2.5 μm", "mm", 0.0025),
        ("40psi", "kpa", 275.7902917),
        ("276kPa", "kpa", 276.0),
        ("90lbf", "n", 400.3399447),
        ("60ftlb", "n_m", 81.3490768),
        ("60 ft·lb", "n_m", 81.3490768),
        ("20 inHg", "kpa", 67.72778),
        ("1.5e-1 mm", "mm", 0.15),
        ("250 cc", "cm3", 250.0),
        ("20 min", "s", 1200.0),
        ("200 °F", "degc", 93.3333333),
        ("45°", "deg", 45.0),
        ("200 lbf/in", "n_per_mm", 35.0253670),
    ],
)
def test_what_people_type(text: str, suffix: str, value: float) -> None:
    # Values by hand from the exact factors; psi, lbf, ft lb to the nine digits kept.
    assert read_value(text, suffix=suffix).value == pytest.approx(value, rel=5e-9)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("0.035", "'0.035' has no unit; write 0.035 in, 0.035 thou or 0.035 mm."),
        ("35 tou", "'35 tou' has the unknown unit 'tou'; did you mean thou?"),
        (
            "35 psi",
            "'35 psi' is of the kind pressure; length is wanted, in mm, cm, m, in, thou, µm or "
            "µin.",
        ),
        ("thou", "'thou' is no number; write digits first, then the unit."),
        ("", "'' is no number; write digits first, then the unit."),
        (
            "1.2.3 mm",
            "'1.2.3 mm' has more than one decimal sign or a gap between its digits; write it with "
            "one decimal sign and no gap.",
        ),
        (
            "1 000 mm",
            "'1 000 mm' has more than one decimal sign or a gap between its digits; write it with "
            "one decimal sign and no gap.",
        ),
        ("1e40 mm", "'1e40 mm' is beyond anything a shop measures."),
        ("nan mm", "'nan mm' is no number; write digits first, then the unit."),
        ("9" * 60, "'999999999999'... is 60 characters long; a number is wanted."),
    ],
)
def test_refusals_read_as_sentences(text: str, sentence: str) -> None:
    with pytest.raises(UnitError) as caught:
        read_value(text, suffix="mm")
    assert str(caught.value) == sentence


def test_a_bare_number_takes_the_unit_offered_for_it() -> None:
    assert read_value("0.035", suffix="mm", bare_unit="in").value == 0.889
    assert read_value("0.9 mm", suffix="mm", bare_unit="in").value == 0.9


def test_bare_numbers() -> None:
    assert read_number("0,95") == 0.95
    with pytest.raises(UnitError, match="carries 'mm' where a bare number is wanted"):
        read_number("0.95 mm")


printed = st.builds(
    lambda digits, places: Decimal(digits).scaleb(-places),
    st.integers(-(10**7), 10**7),
    st.integers(0, 7),
)


@given(number=printed, unit=st.sampled_from([unit for unit in UNITS if unit.suffix != "degc"]))
def test_round_trip_to_every_printed_digit(number: Decimal, unit: object) -> None:
    """What was typed in any unit, held in the suffix's unit, shows again as it was typed."""
    text = f"{number:f} {unit.symbol}"
    held = read_value(text, suffix=unit.suffix)
    digits = max(0, -number.as_tuple().exponent)

    assert held.unit == unit.symbol
    assert (
        Decimal(as_text(held.value, suffix=unit.suffix, unit=unit.symbol, digits=digits)) == number
    )


@given(number=printed, comma=st.booleans(), gap=st.sampled_from(["", " ", "  "]))
def test_comma_point_and_gap_do_not_matter(number: Decimal, comma: bool, gap: str) -> None:
    digits = f"{number:f}"
    text = f"{digits.replace('.', ',') if comma else digits}{gap}mm"

    assert read_value(text, suffix="mm").value == float(number)


@given(value=st.floats(-1e6, 1e6), unit=st.sampled_from([u for u in UNITS if u.suffix == "mm"]))
def test_convert_rounds_once(value: float, unit: object) -> None:
    factor = factor_to(unit, suffix="mm")

    assert convert(value, unit=unit.symbol, suffix="mm") == float(Fraction(value) * factor)


@given(text=st.text(max_size=30))
def test_any_text_is_a_quantity_or_one_sentence(text: str) -> None:
    with suppress(UnitError):
        assert read_value(text, suffix="mm").text == text
        return
    with pytest.raises(UnitError, match=r"[.?]$"):
        read_value(text, suffix="mm")
