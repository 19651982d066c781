"""How far cylinders differ: volumes and ratios by hand, and the head that fills them."""

from math import pi

import pytest

from castworthy.records.lookups.sums import sheet_for_sums
from castworthy.records.models import Head, Person
from factories import shop
from factories.bench_sums import MM, answer_of, error_at, page_of, plan_work

BASE = {"bore": "100", "stroke": "100", "chamber": "50", "gasket": "0"}
SWEPT = pi / 4 * 100**2 * 100 / 1000


def ratio(chamber_cm3: float) -> str:
    """(Vs + Vc) / Vc, textbook."""
    return f"{1 + SWEPT / chamber_cm3:.2f}"


def test_chambers_in_one_line() -> None:
    answer = answer_of("ratio", BASE | {"chambers": "50 52 49 50.5"}, show=MM)
    assert answer.table is not None
    assert answer.table.heads == ("Cylinder", "Now, cm³", "Ratio")
    assert answer.table.rows == (
        ("1", "50.00", ratio(50)),
        ("2", "52.00", ratio(52)),
        ("3", "49.00", ratio(49)),
        ("4", "50.50", ratio(50.5)),
    )
    row = next(row for row in answer.rows if row.label == "Cylinders differ by")
    assert row.value == f"{SWEPT / 49 - SWEPT / 52:.2f}"
    assert row.note == "3.00 cm³ apart; 3 has the smallest chamber, 2 the largest"


def test_the_typed_cut_takes_from_every_chamber() -> None:
    # By hand: 2000 mm2 times 0.5 mm is 1 cm3.
    typed = BASE | {"chambers": "50, 52", "deck_cut": "0.5", "area": "2000"}
    answer = answer_of("ratio", typed, show=MM)
    assert answer.table.rows[1] == ("2", "52.00", ratio(52), "51.00", ratio(51))
    assert next(row for row in answer.rows if row.label == "after the work by").value == (
        f"{SWEPT / 49 - SWEPT / 51:.2f}"
    )


def test_names_and_what_a_plan_makes_of_each() -> None:
    typed = BASE | {"chambers": "A 50 48.5\nB; 52 cc; 51\nC 51"}
    answer = answer_of("ratio", typed, show=MM)
    assert [row[0] for row in answer.table.rows] == ["A", "B", "C"]
    assert [row[3] for row in answer.table.rows] == ["48.50", "51.00", "51.00"]


def test_limits_name_the_chambers_outside() -> None:
    typed = BASE | {"chambers": "50 52 49", "low_chamber": "49.5", "high_chamber": "51"}
    answer = answer_of("ratio", typed, show=MM)
    assert [row[-1] for row in answer.table.rows] == ["inside", "outside", "outside"]
    assert answer.cautions[-1:] == (
        "The chambers of 2, 3 lie outside: 49.50 to 51.00 cm³ is asked.",
    )
    assert answer.tone == "outside"
    one = answer_of("ratio", BASE | {"chambers": "50 52", "high_chamber": "51"}, show=MM)
    assert one.cautions[-1:] == ("The chamber of 2 lies outside: at most 51.00 cm³ is asked.",)


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"chambers": "50"}, "chambers", "between 2 and 24 cylinders (got 1)"),
        ({"chambers": "50 x"}, "chambers", "Line 1"),
        ({"chambers": "A 50\nB 52 51 50"}, "chambers", "Line 2: write name, chamber"),
        ({"chambers": "A 50\nA 52"}, "chambers", "A stands there twice"),
        ({"chambers": "50 5000"}, "chambers", "0 to 2000 cm³ (got 5000)"),
        ({"chambers": "50 0.5", "deck_cut": "0.5", "area": "2000"}, "chambers", "whole chamber"),
        ({"chambers": "50 51", "low_chamber": "51", "high_chamber": "50"}, "high_chamber", "least"),
    ],
)
def test_what_cannot_be_is_told_at_its_field(typed: dict[str, str], field: str, said: str) -> None:
    assert said in error_at("ratio", BASE | typed, field, show=MM)


def test_one_chamber_alone_has_no_table() -> None:
    assert answer_of("ratio", BASE, show=MM).table is None


ENGINE = """
[limit.chamber_volume]
low = "40 cm3"
high = "52 cm3"

[engine]
stroke = 4.5
gasket = 0.05
bowl = "52 cm3"
deck_clearance = -0.014
"""


@pytest.fixture
def engined(owner: Person) -> Head:
    """Two cylinders of which both chambers were read."""
    head = shop.take_in(owner, code=shop.write_sheet(owner, text=shop.SMALL + ENGINE))
    for cylinder, volume in (("1", "50 cm3"), ("2", "53 cm3")):
        shop.kept(head.tag, "chamber_volume", cylinder, volume, by=owner)
    return head


def test_a_head_fills_every_chamber_and_what_its_plan_makes_of_it(
    engined: Head, owner: Person
) -> None:
    plan_work(engined, ("surface", "", 0.254), ("seat", "2A", 0.508), by=owner)
    page = page_of("ratio", {}, head=sheet_for_sums(engined.tag, place="2"))
    typed = {each.field.name: each.typed for each in page.fields}
    # By hand: valve heads of 38.1 and 35.56 mm shrink by 0.254; 2A sinks 0.508 over 38.1.
    valve_1, valve_2 = (pi / 4 * d**2 / 1000 for d in (38.1, 35.56))
    off = 0.254 * (valve_1 + valve_2)
    after = 53 - off + 0.508 * valve_1
    assert typed["chambers"] == f"1 50.00 {50 - off:.2f}\n2 53.00 {after:.2f}"
    assert (typed["chamber"], typed["low_chamber"], typed["high_chamber"]) == ("53", "40", "52")
    assert (typed["deck_cut"], typed["sinks"]) == ("0.01", "0.02 0")
    assert page.answer.tone == "outside"
    assert "The chamber of 2 lies outside" in page.answer.cautions[0]
    then = next(row for row in page.answer.rows if row.label == "chamber then")
    assert then.value == f"{after:.2f} cm³"


def test_without_a_plan_the_chambers_stand_alone(engined: Head) -> None:
    page = page_of("ratio", {}, head=sheet_for_sums(engined.tag, place="1"))
    assert page.answer.table.rows[0][:2] == ("1", "50.00")
    assert len(page.answer.table.heads) == 4
