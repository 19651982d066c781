"""Suppliers, lots, customers, gauges and sheets."""

from datetime import date

import pytest

from castworthy.actions import gauges, sheets, trade
from castworthy.actions.errors import DeedRefused
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups import customers, suppliers
from castworthy.records.lookups import gauges as gauge_lookups
from castworthy.records.lookups import sheets as sheet_lookups
from castworthy.records.models import Head, Person, SheetRevision, Trail
from factories import shop
from factories.sheet_texts import SMALL


def test_names_are_on_record_once(owner: Person) -> None:
    gale = trade.add_supplier(name=" Gale Foundry ", contact="a\r\nb  ", by=owner)
    assert (gale.name, gale.contact) == ("Gale Foundry", "a\nb")
    lode = trade.add_supplier(name="Lode Foundry", by=owner)
    with pytest.raises(DeedRefused, match="on record already"):
        trade.add_supplier(name="gale foundry", by=owner)
    with pytest.raises(DeedRefused, match="on record already"):
        trade.change_supplier(supplier_id=lode.pk, name="Gale Foundry", by=owner)
    trade.change_supplier(supplier_id=lode.pk, name="LODE Foundry", by=owner)
    trade.add_lot(supplier_id=gale.pk, code="7F", received_on=date(2026, 3, 14), by=owner)
    with pytest.raises(DeedRefused, match="Lot 7f of Gale Foundry is on record"):
        trade.add_lot(supplier_id=gale.pk, code="7f", by=owner)
    trade.add_lot(supplier_id=lode.pk, code="7F", by=owner)
    with pytest.raises(DeedRefused, match="no such supplier"):
        trade.add_lot(supplier_id=0, code="7F", by=owner)
    assert [line.name for line in suppliers.suppliers()] == ["Gale Foundry", "LODE Foundry"]
    assert suppliers.supplier_page(gale.pk).lots[0].received_on == date(2026, 3, 14)
    with pytest.raises(NotOnRecord):
        suppliers.supplier_page(0)


def test_a_viewer_changes_nothing(viewer: Person) -> None:
    rows = Trail.objects.count()
    for deed in (
        lambda: trade.add_supplier(name="Gale", by=viewer),
        lambda: trade.add_customer(name="Ridge", by=viewer),
        lambda: gauges.add_gauge(name="DG-1", unit="in", u="0.0002", by=viewer),
        lambda: sheets.write_sheet(text=SMALL, by=viewer),
    ):
        with pytest.raises(DeedRefused, match="may look but not change") as refusal:
            deed()
        assert refusal.value.code == "role"
    assert Trail.objects.count() == rows


def test_a_customer_with_heads(head: Head, owner: Person) -> None:
    ridge = trade.add_customer(name="Ridge Farms", by=owner)
    trade.change_customer(customer_id=ridge.pk, name="Ridge Farm", contact="Jo", by=owner)
    page = customers.customer_page(ridge.pk)
    assert (page.name, page.contact, page.heads) == ("Ridge Farm", "Jo", ())
    assert customers.customers()[0].heads_count == 0
    with pytest.raises(DeedRefused, match="no such customer"):
        trade.change_customer(customer_id=0, name="x", by=owner)


def test_what_was_read_with_a_gauge_is_counted(head: Head, owner: Person, gauge: str) -> None:
    for place in ("1A", "1B"):
        shop.kept(head.tag, "recession", place, "0.039 in", by=owner, gauge=gauge)
    gauges.add_gauge(name="DG-9", unit="mm", u="0.003", by=owner)
    counts = {g.name: (g.readings_count, g.heads_count) for g in gauge_lookups.gauges()}
    assert counts == {gauge: (2, 1), "DG-9": (0, 0)}


def test_a_gauges_figures_are_in_its_own_unit(owner: Person) -> None:
    gauge = gauges.add_gauge(
        name="DG-1", unit="in", u="0.2 thou", u_bias="0.00254 mm", resolution=".0001", by=owner
    )
    assert gauge.u == pytest.approx(0.0002, rel=1e-12)
    assert gauge.u_bias == pytest.approx(0.0001, rel=1e-12)
    assert gauge.resolution == pytest.approx(0.0001, rel=1e-12)
    fine = gauges.add_gauge(name="FX-1", unit="µm", u="0.5", by=owner)
    gauges.add_gauge(name="SC-1", unit="lbf", u="0.5", by=owner)
    assert [g.name for g in gauge_lookups.gauges_for("mm")] == ["DG-1", "FX-1"]
    assert [g.name for g in gauge_lookups.gauges_for("um")] == ["FX-1"]
    gauges.change_gauge(gauge_id=fine.pk, name="FX-1", unit="µm", u="1", retired=True, by=owner)
    assert [g.name for g in gauge_lookups.gauges_for("mm")] == ["DG-1"]
    assert gauge_lookups.gauge(fine.pk).retired


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"name": ""}, "name", "empty"),
        ({"name": "dg-2"}, "name", "on record already"),
        ({"unit": "furlong"}, "unit", "reads in one of"),
        ({"unit": "°C"}, "unit", "reads in one of"),
        ({"u": ""}, "u", "no number"),
        ({"u": "0"}, "u", "no gauge has"),
        ({"u": "-1"}, "u", "less than nothing"),
        ({"u": "0.5 kPa"}, "u", "kPa"),
        ({"u_bias": "0.0003"}, "u_bias", "larger than the whole"),
        ({"resolution": "fine"}, "resolution", "no number"),
    ],
)
def test_a_wrong_gauge_is_refused(
    change: dict[str, str], field: str, says: str, owner: Person, gauge: str
) -> None:
    sent = {"name": "DG-9", "unit": "in", "u": "0.0002"}
    with pytest.raises(DeedRefused) as refusal:
        gauges.add_gauge(**{**sent, **change}, by=owner)
    assert refusal.value.field == field
    assert says in refusal.value.sentence


def test_a_sheet_gets_a_revision_only_when_it_changed(owner: Person, sheet: str) -> None:
    rows = Trail.objects.count()
    same = sheets.write_sheet(text=SMALL.replace("\n", "\r\n"), by=owner)
    assert (same.number, same.changed, Trail.objects.count()) == (1, False, rows)
    tighter = SMALL.replace("high = 0.003", "high = 0.002")
    second = sheets.write_sheet(text=tighter, note="tighter", by=owner, base_number=1)
    assert (second.number, second.changed) == (2, True)
    with pytest.raises(DeedRefused, match="Revision 2 was written by Olive Marsh at") as refusal:
        sheets.write_sheet(text=f"{SMALL}\n# more\n", by=owner, base_number=1)
    assert refusal.value.code == "overtaken"
    page = sheet_lookups.sheet_page(sheet)
    assert (page.number, page.newest, page.note, page.text) == (2, True, "tighter", tighter)
    assert [line.number for line in page.revisions] == [2, 1]
    assert not sheet_lookups.sheet_page(sheet, number=1).newest
    with pytest.raises(NotOnRecord):
        sheet_lookups.sheet_page(sheet, number=3)


def test_a_sheet_keeps_its_code_and_a_new_one_is_new(owner: Person, sheet: str) -> None:
    other = SMALL.replace('code = "F2"', 'code = "F3"')
    with pytest.raises(DeedRefused, match="keep the code"):
        sheets.write_sheet(text=other, revises=sheet, by=owner)
    with pytest.raises(DeedRefused, match="is on record already") as refusal:
        sheets.write_sheet(text=f"{SMALL}\n", must_be_new=True, by=owner)
    assert refusal.value.code == "exists"
    assert sheets.write_sheet(text=other, must_be_new=True, by=owner).code == "F3"
    sheets.retire_sheet(code="F3", by=owner)
    lines = {line.code: line.retired for line in sheet_lookups.sheets()}
    assert lines == {"F2": False, "F3": True}
    sheets.retire_sheet(code="F3", retired=False, by=owner)
    assert not sheet_lookups.sheet_page("F3").retired


@pytest.mark.parametrize("text", ["", "code =", "[head]\n", "x" * 1_000_001])
def test_a_text_that_is_no_sheet_is_refused(text: str, owner: Person) -> None:
    with pytest.raises(DeedRefused) as refusal:
        sheets.write_sheet(text=text, by=owner)
    assert refusal.value.field == "text"
    assert "\n" not in refusal.value.sentence
    assert not SheetRevision.objects.exists()
