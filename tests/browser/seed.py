"""Fills the record that the browser tests look at, through the deeds; run as a program."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from castworthy.actions.people import Person

PEOPLE = (("Ana Reed", "machinist"), ("Vera Lock", "viewer"), ("Ben Dale", "machinist"))

BENCH_HEADS = ("F2-0101", "F2-0102", "F2-0103", "F2-0104", "F2-0105", "F2-0106", "F2-0107")
"""Heads with nothing read yet, each for one test of the bench."""

READ_HEAD = "F2-0201"
"""A head with every reading taken, one valve too deep."""

BIG_HEAD = "F66-0001"
"""Six cylinders, 24 valves, 60 deck heights, nothing read."""

TRACED_HEAD = "F8-0001"
"""Two cylinders with a grid of nine heights read and one trace of the deck."""

TRACE_HEADS = ("F2-0401", "F2-0402")
"""Heads with nothing read yet, to take traces in."""

WALK_HEADS = ("F2-0301", "F2-0302", "F2-0303", "F2-0304")
"""Heads with nothing read yet, for tests that carry one through the shop."""

RING_HEAD = "R2-0001"
"""A head whose sheet has a sealing ring, one ring read."""

SUM_HEAD = "F2-0601"
"""A head with nothing read yet, to take a sum's figure in."""

LEAK_HEADS = ("F2-0501", "F2-0502")
"""Heads assembled and ready to be proved."""


def fill() -> None:
    """The shop, its people, sheets, gauge and heads."""
    from castworthy.actions import heads, trade
    from factories import shop
    from factories.sheet_texts import SMALL, big_sheet_text

    owner = shop.open_shop()
    for name, role in PEOPLE:
        shop.hire(owner, name=name, role=role)
    shop.add_depth_gauge(owner)
    shop.write_sheet(owner, text=SMALL)
    shop.write_sheet(owner, text=big_sheet_text())
    supplier = trade.add_supplier(name="Lode Foundry", by=owner)
    lot = trade.add_lot(supplier_id=supplier.pk, code="7F", by=owner)
    trade.add_customer(name="Ridge Farms", by=owner)
    for tag in (*BENCH_HEADS, READ_HEAD, *WALK_HEADS, *TRACE_HEADS, *LEAK_HEADS, SUM_HEAD):
        heads.take_in_head(tag=tag, sheet="F2", kind="new casting", lot_id=lot.pk, by=owner)
    heads.take_in_head(tag=BIG_HEAD, sheet="F66", kind="new casting", lot_id=lot.pk, by=owner)
    _traced(owner)
    _ringed(owner)
    too_deep: Mapping[tuple[str, str], str] = {("recession", "2B"): "0.0493 in"}
    shop.measure_all(READ_HEAD, by=owner, other=too_deep)
    for tag in LEAK_HEADS:
        _assembled(tag, owner)


def _assembled(tag: str, owner: "Person") -> None:
    """Take a head to its tests."""
    from castworthy.actions import assembly, plans
    from castworthy.records.models import Plan
    from factories import shop

    shop.measure_all(tag, by=owner)
    made = plans.make_plans(tag=tag, by=owner)
    plans.choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=owner)
    assembly.tick(tag=tag, by=owner)


def _ringed(owner: "Person") -> None:
    """A head with sealing rings, the first of them read."""
    from uuid import uuid4

    from castworthy.actions import heads, rings
    from factories import shop
    from factories.ring_sheets import RINGED

    shop.write_sheet(owner, text=RINGED)
    heads.take_in_head(tag=RING_HEAD, sheet="R2", kind="new casting", by=owner)
    stands = rings.RingTyped(
        twelve="8.4", three="8.6", six="8.5", nine="8.3", before="8.4", after="8.5"
    )
    rings.record_ring(tag=RING_HEAD, uuid=uuid4(), cylinder="1", typed=stands, by=owner)


def _traced(owner: "Person") -> None:
    """A head whose deck was walked and traced."""
    from castworthy.actions import heads, traces
    from castworthy.calc.quantity import Quantity
    from castworthy.records.standing import standing_of
    from factories import shop
    from factories.sheet_texts import big_sheet_text
    from factories.traces import cusps

    text = big_sheet_text(cylinders_count=2, heights_count=9).replace('"F66"', '"F8"')
    shop.write_sheet(owner, text=text)
    heads.take_in_head(tag=TRACED_HEAD, sheet="F8", kind="new casting", by=owner)
    for number, place in enumerate(standing_of(TRACED_HEAD).sheet.sites_of(Quantity.HEIGHT)):
        shop.kept(TRACED_HEAD, "height", place, f"{0.2 * (number % 4)} thou", by=owner)
    upload = traces.TraceUpload(name="milled.csv", content=cusps(0.16))
    traces.add_traces(
        tag=TRACED_HEAD,
        files=[upload],
        place="between 1 and 2",
        spot_mm=(150.0, 114.0),
        cut=traces.CutWith(machine="Mill 2", feed="0.16 mm", nose="0.8 mm"),
        by=owner,
    )


if __name__ == "__main__":
    from castworthy.server.start import prepare

    prepare()
    fill()
