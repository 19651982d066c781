"""Piston to valve: sums by hand, the pasted table, and the head that fills the form."""

import pytest
from scipy.stats import norm

from castworthy.records.lookups.sums import sheet_for_sums
from castworthy.records.models import Head, Person
from factories import shop
from factories.bench_sums import (
    MM,
    answer_of,
    error_at,
    example_of,
    figures,
    page_of,
    plan_work,
)

BASE = {"gasket": "1.30", "side": "proud", "deck": "0.35", "recession": "1.00", "pocket": "0.40"}


def test_a_shut_valve_by_hand() -> None:
    # 1.30 - 0.35 + 1.00 + 0.40; piston to head 1.30 - 0.35.
    found = figures("piston", BASE, show=MM)
    assert found["Valve shut, piston at the top"] == "2.350 mm"
    assert found["Piston to head"] == "0.950 mm"


def test_a_lift_at_the_top_and_a_proud_valve() -> None:
    typed = BASE | {"valve_side": "above", "recession": "0.2", "lift": "0.74"}
    answer = answer_of("piston", typed, show=MM)
    # 1.30 - 0.35 - 0.20 + 0.40 - 0.74.
    assert answer.headline == "The valve keeps 0.410 mm from the piston at top dead centre."


def test_the_work_and_another_gasket() -> None:
    typed = BASE | {"deck_cut": "0.15", "sink": "0.10", "new_gasket": "1.40"}
    found = figures("piston", typed, show=MM)
    # 2.35 - 0.15 + 0.10 + 0.10; the head then keeps 1.40 - 0.35.
    assert found["After the work"] == "2.400 mm"
    assert found["with the other gasket"] == "1.050 mm"


def test_the_least_gap_of_a_pasted_table() -> None:
    # By hand: 4 degrees of crank 62 and rod 200 is 0.151 + 0.047 down; 2.35 + 0.198 - 1.07.
    answer = answer_of("piston", example_of("piston"), show=MM)
    found = {row.label: row.value for row in answer.rows}
    assert found["Least over the overlap"] == "1.478 mm"
    assert found["After the work"] == "1.328 mm"
    assert "cw-gap-after" in answer.svg
    assert "cw-gap-after" in answer.svg_phone
    assert answer.tone == "inside"


def test_what_is_asked_is_judged_with_what_is_known() -> None:
    typed = BASE | {"lift": "1.50", "least_valve": "0.80", "u_gasket": "0.03", "u_pocket": "0.04"}
    answer = answer_of("piston", typed, show=MM)
    # JCGM 106, 7.3, by scipy: 0.85 with u 0.05 against 0.80.
    sure = next(row.value for row in answer.rows if row.label == "Sure to keep what is asked")
    assert sure == f"{100 * norm.cdf(1.0):.1f} %"
    assert answer.tone == "close"
    assert answer.headline.endswith("too close to call.")
    short = answer_of("piston", typed | {"least_valve": "1.0"}, show=MM)
    assert short.headline.endswith("0.150 mm less than asked.")
    assert short.tone == "outside"


def test_metal_that_meets_is_said_first() -> None:
    answer = answer_of("piston", BASE | {"lift": "2.5"}, show=MM)
    assert "runs 0.150 mm into the piston" in answer.headline
    assert answer.tone == "outside"
    assert "do not turn this engine over" in answer.cautions[0]
    head = answer_of("piston", BASE | {"gasket": "0.30"}, show=MM)
    assert any("The piston meets the head" in words for words in head.cautions)
    near = answer_of("piston", BASE | {"least_head": "1.0"}, show=MM)
    assert "the head comes too near" in near.headline


def test_a_coarse_table_says_so() -> None:
    typed = BASE | {"stroke": "124", "rod": "200", "lifts": "-10 1.7\n0 0.8\n10 0.2"}
    answer = answer_of("piston", typed, show=MM)
    assert any("steps wider" in words for words in answer.cautions)


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"lifts": "-10 1.7\n0 0.8"}, "stroke", "needs the stroke"),
        ({"lifts": "0 0.8", "stroke": "124"}, "rod", "needs the rod"),
        ({"lifts": "0 0.8", "stroke": "124", "rod": "50"}, "rod", "longer than half"),
        ({"lifts": "0 0.8\n0 0.9"}, "lifts", "stands there twice"),
        ({"lifts": "top 0.8"}, "lifts", "Line 1: write degrees"),
        ({"lifts": "0 0.8\n10"}, "lifts", "Line 2: write degrees"),
        ({"lifts": "0 -0.8"}, "lifts", "Line 1: an overlap"),
        ({"lifts": "0 99"}, "lifts", "a bare lift counts in mm"),
    ],
)
def test_a_wrong_table_is_told_at_its_field(typed: dict[str, str], field: str, said: str) -> None:
    assert said in error_at("piston", BASE | typed, field, show=MM)


def test_a_table_takes_tabs_semicolons_units_and_any_order() -> None:
    base = BASE | {"stroke": "124", "rod": "200"}
    for lifts in ("0\t0.8\n-2\t1.0", "-2; 1.0 mm\n0; 0.8 mm", "−2°, 1.0\n0°, 0.8"):
        found = answer_of("piston", base | {"lifts": lifts}, show=MM)
        assert "at 2° before top dead centre" in found.headline


ENGINE = """
[engine]
stroke = 4.5
gasket = 0.05
bowl = "52 cm3"
deck_clearance = -0.014
"""


@pytest.fixture
def engined(owner: Person) -> Head:
    """A head whose sheet knows its engine."""
    return shop.take_in(owner, code=shop.write_sheet(owner, text=shop.SMALL + ENGINE))


def test_a_head_fills_engine_valve_and_planned_work(engined: Head, owner: Person) -> None:
    shop.kept(engined.tag, "recession", "2B", "0.0390 in", by=owner)
    steps = (("surface", "", 0.127), ("seat", "2B", 0.0762), ("seat", "2A", 0.254))
    plan_work(engined, *steps, by=owner)
    page = page_of("piston", {}, head=sheet_for_sums(engined.tag, place="2B"))
    typed = {each.field.name: each.typed for each in page.fields}
    assert (typed["gasket"], typed["side"], typed["deck"]) == ("0.05", "proud", "0.014")
    assert (typed["stroke"], typed["recession"]) == ("4.5", "0.039")
    assert (typed["deck_cut"], typed["sink"]) == ("0.005", "0.003")
    # By hand: 0.050 - 0.014 + 0.039 - 0.005 + 0.003.
    assert page.answer.headline.startswith("After the work the valve keeps 0.0730 in")


def test_a_new_insert_or_valve_still_planned_is_not_guessed(engined: Head, owner: Person) -> None:
    shop.kept(engined.tag, "recession", "2B", "0.0390 in", by=owner)
    plan_work(engined, ("new valve", "2B", 0.0), ("seat", "2B", 0.1), by=owner)
    head = sheet_for_sums(engined.tag, place="2B")
    assert head.planned_sinking_mm("2B") is None
