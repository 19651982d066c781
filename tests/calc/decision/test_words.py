"""Verdicts in one sentence: unit, side and amount, in the person's units."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.phrases import WORDINGS, amount_phrase, place_phrase, reading_phrase
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import (
    coarse_sentence,
    limit_sentence,
    remedy_sentence,
    rule_sentence,
    short_verdict,
    verdict_sentence,
)
from castworthy.calc.head import Limit, Reading, Rule
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.units import Show

INCH = 25.4
THOU = Show(length="thou")
MM = Show(length="mm")
RECESSION = Limit(quantity=Quantity.RECESSION, low=0.0325 * INCH, high=0.0465 * INCH)


def recession(value_in: float, *, u_in: float | None = 0.0003) -> Judgement:
    reading = Reading(
        quantity=Quantity.RECESSION,
        place="2B",
        value=value_in * INCH,
        u=None if u_in is None else u_in * INCH,
    )
    return judge(reading, limit=RECESSION, confidence_probability=0.95)


def judged(quantity: Quantity, value: float, *, low: float | None, high: float | None) -> Judgement:
    place = "2B" if FACTS[quantity].site == "valve" else "3"
    limit = Limit(quantity=quantity, low=low, high=high)
    return judge(
        Reading(quantity=quantity, place=place, value=value),
        limit=limit,
        confidence_probability=0.95,
    )


@pytest.mark.parametrize(
    ("value_in", "show", "sentence"),
    [
        (0.0493, THOU, "2B is too deep by 2.8 thou."),
        (0.0493, Show(length="in"), "2B is too deep by 2.8 thou."),
        (0.0493, MM, "2B is too deep by 0.071 mm."),
        (0.0309, THOU, "2B stands too high: 1.6 thou short of the shallow limit."),
        (0.0390, THOU, "2B is inside: 0.0390 in below the deck, 6.5 thou to spare."),
        (0.0390, MM, "2B is inside: 0.991 mm below the deck, 0.165 mm to spare."),
        (
            0.0463,
            THOU,
            "2B is too close to call: 0.0463 in below the deck, 0.2 thou inside the deep limit. "
            "Reading it 7 times in all would settle it, if the mean stays.",
        ),
        (
            0.0465,
            THOU,
            "2B is too close to call: 0.0465 in below the deck, on the deep limit. It lies on the "
            "limit itself: no gauge settles that; bring it further inside.",
        ),
        (
            0.04655,
            THOU,
            "2B is too close to call: 0.0465 in below the deck, 0.1 thou past the deep limit. A "
            "gauge with a standard uncertainty of 0.03 thou or less would settle it.",
        ),
        (-0.002, THOU, "2B stands too high: 34.5 thou short of the shallow limit."),
    ],
)
def test_recession(value_in: float, show: Show, sentence: str) -> None:
    assert verdict_sentence(recession(value_in), show=show) == sentence


OUTSIDE = [
    (Quantity.DECK_THICKNESS, 10.0, 11.0, None, "The deck at 3 is too thin by 1.000 mm."),
    (Quantity.HEAD_HEIGHT, 9.0, 10.0, 12.0, "The head is too low by 1.000 mm."),
    (Quantity.HEAD_HEIGHT, 13.0, 10.0, 12.0, "The head is too tall by 1.000 mm."),
    (Quantity.FLATNESS, 0.08, None, 0.05, "The deck is out of flat by 0.030 mm more than allowed."),
    (Quantity.FINISH_RA, 0.9, 0.3, 0.8, "The deck is too rough by 0.10 µm (Ra)."),
    (Quantity.FINISH_RA, 0.2, 0.3, 0.8, "The deck is too smooth by 0.10 µm (Ra)."),
    (Quantity.SPRING_HEIGHT, 35.0, 33.0, 34.0, "The spring of 2B stands too tall by 1.000 mm."),
    (Quantity.SEAT_LOAD, 170, 180, None, "The spring of 2B presses too little when shut by 10 N."),
    (
        Quantity.COIL_BIND,
        1.0,
        1.5,
        None,
        "The spring of 2B has 0.500 mm too little room before coil bind.",
    ),
    (Quantity.MARGIN, 0.5, 0.9, None, "The margin of 2B is too thin by 0.400 mm."),
    (Quantity.GUIDE_CLEARANCE, 0.1, 0.02, 0.08, "The guide of 2B is too loose by 0.020 mm."),
    (
        Quantity.INJECTOR_PROTRUSION,
        1.0,
        1.5,
        2.0,
        "The injector of cylinder 3 stands out too little by 0.500 mm.",
    ),
    (Quantity.CHAMBER_VOLUME, 55, 52, 54, "The chamber of cylinder 3 is too large by 1.00 cm³."),
    (Quantity.VACUUM_HOLD, 60, 70, None, "2B holds 10.0 kPa too little vacuum."),
]


@pytest.mark.parametrize(("quantity", "value", "low", "high", "sentence"), OUTSIDE)
def test_every_kind_of_outside(
    quantity: Quantity, value: float, low: float | None, high: float | None, sentence: str
) -> None:
    assert verdict_sentence(judged(quantity, value, low=low, high=high), show=MM) == sentence


NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])")
UNITS = {"in", "thou", "mm", "µm", "µin", "N", "lbf", "cm³", "in³", "kPa", "psi", "inHg"}


@given(
    quantity=st.sampled_from(sorted(Quantity)),
    value=st.floats(0.001, 900),
    low=st.floats(0.001, 400),
    span=st.floats(0.001, 400),
    u=st.one_of(st.none(), st.floats(0, 50)),
    length=st.sampled_from(["in", "thou", "mm"]),
)
def test_no_figure_stands_without_its_unit(
    quantity: Quantity, value: float, low: float, span: float, u: float | None, length: str
) -> None:
    """Whatever is judged: one or two sentences, every figure with a unit (but a count of times)."""
    limit = Limit(quantity=quantity, low=low, high=low + span)
    judgement = judge(
        Reading(quantity=quantity, place="B", value=value, u=u),
        limit=limit,
        confidence_probability=0.95,
    )
    sentence = verdict_sentence(judgement, show=Show(length=length))

    assert sentence.endswith(".")
    assert "None" not in sentence
    assert "{" not in sentence
    for found in NUMBER.finditer(sentence):
        assert sentence[found.end() :].split()[0].strip(".,:)") in UNITS | {"times"}


def test_every_quantity_has_its_words() -> None:
    assert set(WORDINGS) == set(Quantity)


def test_not_measured() -> None:
    missing = Judgement(quantity=Quantity.RECESSION, place="2B", verdict=Verdict.MISSING)

    assert verdict_sentence(missing, show=THOU) == "The recession of 2B is not measured yet."
    flat = replace(missing, quantity=Quantity.FLATNESS, place="")
    assert verdict_sentence(flat, show=THOU) == "The deck's flatness is not measured yet."


@pytest.mark.parametrize(
    ("value_in", "text"),
    [
        (0.0493, "2.8 thou past the deep limit"),
        (0.0309, "1.6 thou short of the shallow limit"),
        (0.0390, "inside"),
        (0.0463, "too close to call"),
    ],
)
def test_short_verdicts(value_in: float, text: str) -> None:
    assert short_verdict(recession(value_in), show=THOU) == text


@pytest.mark.parametrize(
    ("quantity", "low", "high", "show", "sentence"),
    [
        (Quantity.RECESSION, 0.8255, 1.1811, THOU, "allowed 0.0325 to 0.0465 in below the deck"),
        (Quantity.RECESSION, 0.8255, 1.1811, MM, "allowed 0.826 to 1.181 mm below the deck"),
        (
            Quantity.RECESSION,
            -0.05,
            0.1,
            MM,
            "allowed from 0.050 mm above the deck to 0.100 mm below the deck",
        ),
        (
            Quantity.RECESSION,
            0.0,
            0.1,
            MM,
            "allowed from flush with the deck to 0.100 mm below the deck",
        ),
        (Quantity.RECESSION, -1.2, -0.8, MM, "allowed 0.800 to 1.200 mm above the deck"),
        (Quantity.DECK_THICKNESS, 11.0, None, MM, "allowed 11.000 mm or more"),
        (Quantity.FLATNESS, None, 0.0508, THOU, "allowed up to 0.0020 in"),
        (Quantity.FINISH_RA, 0.3048, 0.762, THOU, "allowed 12 to 30 µin"),
        (Quantity.RECESSION, None, None, MM, "no limit"),
    ],
)
def test_limits(
    quantity: Quantity, low: float | None, high: float | None, show: Show, sentence: str
) -> None:
    assert limit_sentence(Limit(quantity=quantity, low=low, high=high), show=show) == sentence


def test_the_bare_rule_is_said_only_where_it_stands_in() -> None:
    assert rule_sentence(recession(0.039)) == ""
    assert rule_sentence(recession(0.039, u_in=None)) == (
        "The recession of 2B is judged on the bare reading: no gauge is known for it."
    )
    simple = replace(recession(0.039), rule=Rule.SIMPLE, rule_applied=Rule.SIMPLE)
    assert rule_sentence(simple) == ""


def test_coarse_gauges_are_named() -> None:
    assert coarse_sentence(recession(0.039), show=THOU) == ""
    assert coarse_sentence(replace(recession(0.039), coarse=True), show=THOU) == (
        "The gauge used for the recession of 2B reads in steps of more than a tenth of the allowed "
        "span of 14.0 thou; a finer one is wanted."
    )


def test_a_remedy_is_given_only_for_a_close_call() -> None:
    assert remedy_sentence(recession(0.0493), show=THOU) == ""


def test_nothing_is_rounded_to_nothing() -> None:
    show = Show(length="thou")

    assert amount_phrase(0.00002 * INCH, quantity=Quantity.RECESSION, show=show) == "0.02 thou"
    assert amount_phrase(1e-9, quantity=Quantity.RECESSION, show=show) == "less than 0.0001 thou"
    assert amount_phrase(0.0, quantity=Quantity.RECESSION, show=show) == "0.0 thou"
    assert reading_phrase(0.4 * 0.0254, quantity=Quantity.FINISH_RA, show=show) == "0.4 µin"


@pytest.mark.parametrize(
    ("quantity", "phrase"),
    [
        (Quantity.RECESSION, "valve 3"),
        (Quantity.CHAMBER_VOLUME, "cylinder 3"),
        (Quantity.DECK_THICKNESS, "3"),
        (Quantity.FLATNESS, "the head"),
    ],
)
def test_places(quantity: Quantity, phrase: str) -> None:
    assert place_phrase(quantity, place="3") == phrase
