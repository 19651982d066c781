"""A head comes in, is judged by a revision, and leaves."""

import pytest

from castworthy.actions import heads, sheets, trade
from castworthy.actions.errors import DeedRefused
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.history import history_of, shop_trail
from castworthy.records.lookups.take_in import take_in_choices
from castworthy.records.models import Head, Operation, Person, Trail
from castworthy.records.standing import standing_of
from factories import shop
from factories.sheet_texts import SMALL


def test_a_head_taken_in_waits_to_be_measured(machinist: Person, sheet: str) -> None:
    ridge = trade.add_customer(name="Ridge Farms", by=machinist)
    head = heads.take_in_head(
        tag=" f2-x.1 ",
        sheet=sheet,
        kind="core",
        loaded=True,
        mark="red dot",
        customer_id=ridge.pk,
        history="overheated",
        asked="hardened seats",
        by=machinist,
    )
    facts = head_facts(head.tag)
    assert (facts.tag, facts.step, facts.in_shop) == ("F2-X.1", "measure", True)
    assert (facts.kind_words, facts.origin) == ("core, loaded", "property of Ridge Farms")
    assert (facts.read_count, facts.required_count) == (0, 7)
    assert facts.next_words == "4 of 4 recession readings to take"
    assert (facts.revision_number, facts.newest_revision_number) == (1, 1)


def test_tags_run_on_by_sheet(machinist: Person, sheet: str) -> None:
    tags = [heads.take_in_head(sheet=sheet, kind="new casting", by=machinist).tag for _ in range(2)]
    heads.take_in_head(tag="F2-0041", sheet=sheet, kind="new casting", by=machinist)
    heads.take_in_head(tag="F2-spare", sheet=sheet, kind="new casting", by=machinist)
    assert tags == ["F2-0001", "F2-0002"]
    choices = take_in_choices()
    assert [(c.code, c.next_tag) for c in choices.sheets] == [("F2", "F2-0042")]
    assert choices.kinds == (("new casting", "new casting"), ("core", "core"))


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"tag": "F2-0001"}, "tag", "on record already: taken in by Olive Marsh at"),
        ({"tag": "f2-0001"}, "tag", "on record already"),
        ({"tag": "a tag"}, "tag", "is no tag"),
        ({"tag": "x" * 25}, "tag", "is no tag"),
        ({"tag": "../up"}, "tag", "is no tag"),
        ({"sheet": "T9"}, "sheet", "no sheet 'T9'"),
        ({"kind": "block"}, "kind", "not 'block'"),
        ({"kind": "core"}, "customer", "customer's property"),
        ({"lot_id": 99}, "lot", "no such lot"),
        ({"customer_id": 99}, "customer", "no such customer"),
        ({"mark": "x" * 61}, "mark", "60 characters"),
        ({"history": "x" * 4001}, "history", "4000 characters"),
        ({"note": "a\x00b"}, "note", "cannot be shown"),
    ],
)
def test_a_wrong_take_in_is_refused(
    change: dict[str, object], field: str, says: str, head: Head, machinist: Person
) -> None:
    rows = Trail.objects.count()
    sent = {"tag": "F2-0002", "sheet": "F2", "kind": "new casting", "by": machinist}
    with pytest.raises(DeedRefused) as refusal:
        heads.take_in_head(**{**sent, **change})
    assert refusal.value.field == field
    assert says in refusal.value.sentence
    assert (Head.objects.count(), Trail.objects.count()) == (1, rows)


def test_a_core_has_no_lot_and_a_retired_sheet_takes_nothing_in(
    head: Head, machinist: Person
) -> None:
    ridge = trade.add_customer(name="Ridge Farms", by=machinist)
    with pytest.raises(DeedRefused, match="not from a lot"):
        heads.take_in_head(
            sheet="F2", kind="core", lot_id=head.lot_id, customer_id=ridge.pk, by=machinist
        )
    sheets.retire_sheet(code="F2", by=machinist)
    with pytest.raises(DeedRefused, match="F2 is retired"):
        heads.take_in_head(sheet="F2", kind="new casting", by=machinist)


def test_a_change_says_what_changed(head: Head, machinist: Person) -> None:
    heads.change_head(tag=head.tag, mark="blue dot", lot_id=head.lot_id, by=machinist)
    assert head_facts(head.tag).mark == "blue dot"
    line = history_of(head.tag).trail[0]
    assert (line.deed, line.by) == ("head changed", "Ana Reed")
    assert line.detail["changed"] == {"mark": ["", "blue dot"]}
    assert shop_trail(most=1)[0] == line


def test_a_head_keeps_its_revision_until_it_adopts_another(head: Head, machinist: Person) -> None:
    shop.kept(head.tag, "flatness", "", "0.0025 in", by=machinist)
    assert len(standing_of(head.tag).outside) == 0
    sheets.write_sheet(text=SMALL.replace("high = 0.003", "high = 0.002"), by=machinist)
    facts = head_facts(head.tag)
    assert (facts.revision_number, facts.newest_revision_number) == (1, 2)
    assert len(standing_of(head.tag).outside) == 0
    heads.adopt_revision(tag=head.tag, by=machinist)
    assert len(standing_of(head.tag).outside) == 1
    with pytest.raises(DeedRefused, match="by revision 2 already"):
        heads.adopt_revision(tag=head.tag, by=machinist)
    with pytest.raises(DeedRefused, match="no revision 7"):
        heads.adopt_revision(tag=head.tag, number=7, by=machinist)


def test_a_revision_that_lost_a_place_read_is_not_adopted(head: Head, machinist: Person) -> None:
    shop.kept(head.tag, "deck_thickness", "T1", "0.4 in", by=machinist)
    sheets.write_sheet(text=SMALL.replace('"T1"', '"T9"'), by=machinist)
    with pytest.raises(DeedRefused, match="Revision 2 has no deck_thickness T1"):
        heads.adopt_revision(tag=head.tag, by=machinist)
    assert head_facts(head.tag).revision_number == 1


def test_planned_work_is_dropped_with_the_old_revision(head: Head, machinist: Person) -> None:
    operation = Operation.objects.create(head=head, position=1, kind="surface", planned_mm=0.1)
    sheets.write_sheet(text=SMALL.replace("high = 0.003", "high = 0.002"), by=machinist)
    heads.adopt_revision(tag=head.tag, by=machinist)
    operation.refresh_from_db()
    assert operation.state == "dropped"


@pytest.mark.parametrize(
    ("end", "outcome"), [(heads.send_back, "sent back"), (heads.scrap, "scrapped")]
)
def test_a_head_leaves_with_a_reason_and_may_come_back(
    end: object, outcome: str, head: Head, machinist: Person
) -> None:
    assert callable(end)
    with pytest.raises(DeedRefused, match="Say why") as refusal:
        end(tag=head.tag, note="  ", by=machinist)
    assert refusal.value.field == "note"
    end(tag=head.tag, note="deck too thin", by=machinist)
    facts = head_facts(head.tag)
    assert (facts.outcome, facts.outcome_note, facts.in_shop) == (outcome, "deck too thin", False)
    assert facts.next_words == ""
    with pytest.raises(DeedRefused, match=rf"was {outcome} on .* Return it to the shop first"):
        heads.change_head(tag=head.tag, by=machinist)
    heads.return_to_shop(tag=head.tag, note="weighed again", by=machinist)
    assert head_facts(head.tag).in_shop
    with pytest.raises(DeedRefused, match="in the shop already"):
        heads.return_to_shop(tag=head.tag, by=machinist)


def test_a_released_head_does_not_come_back_under_its_tag(head: Head, machinist: Person) -> None:
    Head.objects.update(outcome="released")
    with pytest.raises(DeedRefused, match="under a new tag"):
        heads.return_to_shop(tag=head.tag, by=machinist)
    with pytest.raises(DeedRefused, match="Take it in again under a new tag"):
        heads.scrap(tag=head.tag, note="x", by=machinist)


@pytest.mark.django_db
def test_an_unknown_head_is_said() -> None:
    with pytest.raises(NotOnRecord, match="no head 'F2-9' on record"):
        head_facts("F2-9")
