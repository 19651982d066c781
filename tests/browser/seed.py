"""Fills the record that the browser tests look at, through the deeds; run as a program."""

from collections.abc import Mapping

PEOPLE = (("Ana Reed", "machinist"), ("Vera Lock", "viewer"), ("Ben Dale", "machinist"))

BENCH_HEADS = ("F2-0101", "F2-0102", "F2-0103", "F2-0104", "F2-0105", "F2-0106", "F2-0107")
"""Heads with nothing read yet, each for one test of the bench."""

READ_HEAD = "F2-0201"
"""A head with every reading taken, one valve too deep."""

BIG_HEAD = "F66-0001"
"""Six cylinders, 24 valves, 60 deck heights, nothing read."""

WALK_HEADS = ("F2-0301", "F2-0302", "F2-0303", "F2-0304")
"""Heads with nothing read yet, for tests that carry one through the shop."""


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
    for tag in (*BENCH_HEADS, READ_HEAD, *WALK_HEADS):
        heads.take_in_head(tag=tag, sheet="F2", kind="new casting", lot_id=lot.pk, by=owner)
    heads.take_in_head(tag=BIG_HEAD, sheet="F66", kind="new casting", lot_id=lot.pk, by=owner)
    too_deep: Mapping[tuple[str, str], str] = {("recession", "2B"): "0.0493 in"}
    shop.measure_all(READ_HEAD, by=owner, other=too_deep)


if __name__ == "__main__":
    from castworthy.server.start import prepare

    prepare()
    fill()
