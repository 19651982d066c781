"""Lands and joint: plane geometry by hand, a typed deck, a sheet of the shop, a head beside."""

from math import hypot

import pytest

from castworthy.records.lookups.sums import sheet_for_sums
from castworthy.records.models import Person
from factories import shop
from factories.bench_sums import MM, answer_of, error_at, page_of
from factories.ring_sheets import RINGED

BASE = {"diameter": "118", "width": "2", "deck_from": "typed", "bore": "107"}
OUTER, INNER = 60.0, 58.0


def lands(typed: dict[str, str]) -> dict[str, str]:
    """The lands of the table by what they lead to."""
    return {row[0]: row[1] for row in answer_of("lands", BASE | typed, show=MM).table.rows}


def test_lands_to_everything_by_hand() -> None:
    found = lands(
        {
            "round": "coolant 0 70 10\noil -40 -50 8\nstud 66 66 14\nvalve 24 21.5 37\n"
            "bore 132 0 107\nedge -86 -84\nedge 218 -84\nedge 218 84\nedge -86 84",
        }
    )
    assert found["to the bore of cylinder 1"] == f"{INNER - 53.5:.3f} mm"
    assert found["to passage coolant 1"] == f"{70 - 5 - OUTER:.3f} mm"
    assert found["to passage oil 1"] == f"{hypot(40, 50) - 4 - OUTER:.3f} mm"
    assert found["to stud hole 1"] == f"{hypot(66, 66) - 7 - OUTER:.3f} mm"
    assert found["to the seat of valve 1"] == f"{INNER - hypot(24, 21.5) - 18.5:.3f} mm"
    assert found["to the groove of cylinder 2"] == f"{132 - 2 * OUTER:.3f} mm"
    assert found["to the edge of the deck"] == f"{84 - OUTER:.3f} mm"


def test_the_narrowest_is_named_and_judged() -> None:
    typed = BASE | {"round": "coolant 0 65.5 8", "least": "2"}
    answer = answer_of("lands", typed, show=MM)
    # By hand: 65.5 - 4 - 60.
    assert answer.headline == (
        "The groove of cylinder 1 leaves 1.500 mm to passage coolant 1, its narrowest land."
    )
    assert answer.tone == "outside"
    assert answer.cautions == ("Less land than asked at 1, by 0.500 mm at the most.",)
    assert answer_of("lands", typed | {"least": "1.5"}, show=MM).tone == "inside"


def test_a_groove_that_breaks_in_does_not_seal() -> None:
    answer = answer_of("lands", BASE | {"round": "oil 0 62 8"}, show=MM)
    assert answer.tone == "outside"
    assert "breaks into passage oil 1 by 2.000 mm" in answer.headline
    assert "does not seal: 1" in answer.cautions[0]


def test_the_joint_goes_beside_the_nearest_stud() -> None:
    typed = BASE | {"round": "stud 80 0 14\nstud 0 72 14\ncoolant 0 -66 6"}
    answer = answer_of("lands", typed, show=MM)
    joint = next(row for row in answer.rows if row.label == "Joint of cylinder 1")
    # By hand: straight up is 72 - 59 = 13 mm from a stud, to the right 80 - 59 = 21.
    assert joint.value == "12 o'clock, 90°"
    assert next(r.value for r in answer.rows if r.label == "middle of stud 2") == "13.00 mm"
    bare = answer_of("lands", BASE | {"round": "oil 90 0 8"}, show=MM)
    assert any("no studs" in words for words in bare.sentences)


def test_the_deck_is_drawn_with_its_groove_and_joint() -> None:
    answer = answer_of("lands", BASE | {"round": "stud 80 0 14"}, show=MM)
    for drawn in (answer.svg, answer.svg_phone):
        assert drawn.count("cw-groove") == 1
        assert "cw-joint" in drawn
    assert "only a frame" in answer.sentences[-1]


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"round": "hole 0 70 10"}, "round", "Line 1: write a kind"),
        ({"round": "oil 0 70 10\noil 0 70"}, "round", "Line 2: write a kind"),
        ({"round": "oil 0 70 psi"}, "round", "Line 1"),
        ({"round": "oil 0 70 0"}, "round", "a diameter is above 0"),
        ({"round": "oil 0 7000 4"}, "round", "lies on the deck"),
        ({"round": "oil 0 70 4", "diameter": "1"}, "width", "below its diameter"),
        ({"round": "edge 0 1 2"}, "round", "x and y only"),
    ],
)
def test_what_cannot_be_is_told_at_its_field(typed: dict[str, str], field: str, said: str) -> None:
    assert said in error_at("lands", BASE | typed, field, show=MM)


def test_units_and_separators_of_a_typed_deck() -> None:
    for line in ("oil 0 70 8", "oil; 0; 70; 8", "Oil, 0, 70, 8", "oil\t0 mm\t7 cm\t8 mm"):
        assert lands({"round": line})["to passage oil 1"] == "6.000 mm"


@pytest.fixture
def ringed(owner: Person) -> str:
    """A sheet with a ring; its code."""
    return shop.write_sheet(owner, text=RINGED)


def test_a_sheet_of_the_shop_by_its_code(ringed: str) -> None:
    typed = {"diameter": "4.5 in", "width": "0.04 in", "code": ringed}
    answer = answer_of("lands", typed, show=MM)
    assert [r.label for r in answer.rows if r.label.startswith("Cylinder")]
    assert "cw-groove" in answer.svg
    missing = error_at("lands", typed | {"code": "NONE-1"}, "code")
    assert "no sheet 'NONE-1'" in missing
    assert ringed in missing
    assert "it has 1, 2" in error_at("lands", typed | {"cylinder": "9"}, "cylinder")


def test_a_head_fills_its_sheet_and_its_ring(ringed: str, owner: Person) -> None:
    head = shop.take_in(owner, code=ringed)
    page = page_of("lands", {}, head=sheet_for_sums(head.tag))
    typed = {each.field.name: each.typed for each in page.fields}
    assert (typed["deck_from"], typed["code"]) == ("sheet", ringed)
    assert typed["diameter"]
    assert page.answer is not None
    one = page_of("lands", {}, head=sheet_for_sums(head.tag, place="2"))
    assert one.answer.table.heads[0] == "From the groove of 2"
    # Both grooves are alike: the one asked for is named.
    assert one.answer.headline.startswith("The groove of cylinder 2")


def test_a_head_on_an_older_sheet_keeps_its_own_deck(ringed: str, owner: Person) -> None:
    head = shop.take_in(owner, code=ringed)
    shop.write_sheet(owner, text=RINGED.replace("bore = 4.0", "bore = 3.9"))
    page = page_of("lands", {}, head=sheet_for_sums(head.tag), show=MM)
    typed = {each.field.name: each.typed for each in page.fields}
    assert typed["code"] == f"{ringed} 1"
    newest = page_of("lands", {"code": ringed}, head=sheet_for_sums(head.tag), show=MM)
    # By hand: a bore 0.1 in smaller leaves 0.05 in, 1.27 mm, more.
    bore_old, bore_new = (
        float(
            dict(row[:2] for row in each.answer.table.rows)["to the bore of cylinder 1"].split()[0]
        )
        for each in (page, newest)
    )
    assert bore_new - bore_old == pytest.approx(1.27, abs=2e-3)
    missing = error_at("lands", {"diameter": "4.2", "width": "0.04", "code": f"{ringed} 9"}, "code")
    assert "no revision 9" in missing


def test_a_head_fills_the_ring_with_the_wire_and_groove_of_its_sheet(
    ringed: str, owner: Person
) -> None:
    head = shop.take_in(owner, code=ringed)
    page = page_of("ring", {}, head=sheet_for_sums(head.tag))
    typed = {each.field.name: each.typed for each in page.fields}
    groove = (typed["wire"], typed["depth"], typed["width"], typed["diameter"])
    assert groove == ("0.041", "0.0325", "0.038", "4.2")
    assert (typed["tol_wire"], typed["tol_depth"], typed["low"]) == ("0.0002", "0.0005", "0.0075")
    # By hand: the wire less the groove's depth stands 8.5 thou, less its width is pressed 3.
    assert page.answer is not None
    assert page.answer.headline == (
        "The wire is pressed 3.0 thou and stands 8.5 thou above the deck."
    )
