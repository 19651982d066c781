"""The invented shop: Millrace Engine Works at Old Harbour, its heads, makers and people.

Everything goes through the deeds a person at the bench uses.  Names, engines and figures are
invented; a seeded generator makes the readings, so every build is the same.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from importlib.resources import files
from uuid import UUID

import numpy as np

from castworthy.actions import gauges, heads, people, readings, sheets, trade
from castworthy.actions.deed import deeds_at
from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.demo.habits import HABITS, Habit, reading_of
from castworthy.records.standing import walk
from castworthy.sheets.spec import read_sheet

PASSWORD = "seven brass shims"  # noqa: S105 - the demo's own, printed when it starts
SEED = 42
SHEETS = ("t66", "f14")
GAUGES = (
    ("DG-2", "depth gauge", "in", "0.0001", "0.0005"),
    ("UT-1", "ultrasonic thickness gauge", "in", "0.002", "0.001"),
    ("HG-4", "height gauge", "in", "0.0003", "0.0005"),
    ("IB-1", "bore gauge", "in", "0.0001", "0.0001"),
    ("ST-3", "stylus instrument", "µin", "0.8", "0.1"),
    ("BU-1", "burette", "cm³", "0.1", "0.1"),
    ("SP-1", "spring tester", "lbf", "0.6", "0.5"),
)
GAUGE_OF: Mapping[Quantity, str] = {
    Quantity.RECESSION: "DG-2",
    Quantity.DECK_THICKNESS: "UT-1",
    Quantity.FINISH_RA: "ST-3",
    Quantity.FINISH_RZ: "ST-3",
    Quantity.CHAMBER_VOLUME: "BU-1",
    Quantity.SEAT_LOAD: "SP-1",
    Quantity.OPEN_LOAD: "SP-1",
    Quantity.GUIDE_CLEARANCE: "IB-1",
    Quantity.FLATNESS: "DG-2",
    Quantity.LOCAL_FLATNESS: "DG-2",
    Quantity.INJECTOR_PROTRUSION: "DG-2",
}
_STEADY = "HG-4"


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """One head of the demo: how many of its readings are taken, and how long ago it came."""

    tag: str
    sheet: str
    lot: str
    customer: str
    share: float
    days: float
    history: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """What a person needs to look around."""

    owner: str
    password: str
    heads_count: int
    readings_count: int


ARRIVALS = (
    Arrival(tag="T66-0039", sheet="T66", lot="7F", customer="", share=1.0, days=6.2),
    Arrival(tag="T66-0042", sheet="T66", lot="7F", customer="", share=0.85, days=2.1),
    Arrival(tag="T66-0043", sheet="T66", lot="7F", customer="", share=0.2, days=1.9),
    Arrival(tag="T66-0044", sheet="T66", lot="12", customer="", share=0.0, days=1.1),
    Arrival(tag="T66-0045", sheet="T66", lot="12", customer="", share=0.0, days=0.9),
    Arrival(
        tag="T66-0046",
        sheet="T66",
        lot="",
        customer="Harbour Dredging Co-operative",
        share=0.05,
        days=0.4,
        history="Coolant lost on the quay, stopped within a minute.",
    ),
    *(
        Arrival(tag=f"F14-{200 + at}", sheet="F14", lot=lot, customer="", share=share, days=days)
        for at, (lot, share, days) in enumerate(
            (
                ("A3", 1.0, 9.0),
                ("A3", 1.0, 8.5),
                ("A3", 1.0, 5.0),
                ("7F", 1.0, 4.5),
                ("7F", 1.0, 3.0),
                ("12", 1.0, 2.5),
                ("12", 0.6, 1.5),
                ("A3", 0.3, 0.7),
                ("7F", 0.0, 0.3),
            )
        )
    ),
    Arrival(
        tag="F14-209",
        sheet="F14",
        lot="",
        customer="Ridge Farms",
        share=1.0,
        days=3.5,
        history="Overheated last summer; cut once before.",
    ),
)


def build_demo(*, now: datetime) -> Demo:
    """Fill an empty record with the invented shop as it stands at ``now``."""
    shop = _Builder(now=now)
    shop.open()
    for arrival in ARRIVALS:
        shop.take_in(arrival)
    return Demo(
        owner="ana",
        password=PASSWORD,
        heads_count=len(ARRIVALS),
        readings_count=shop.readings_count,
    )


class _Builder:
    """Goes through the deeds in the order of the calendar."""

    def __init__(self, *, now: datetime) -> None:
        self.now = now
        self.rng = np.random.default_rng(SEED)
        self.readings_count = 0
        self.sheets: dict[str, HeadSheet] = {}
        self.lots: dict[str, int] = {}
        self.customers: dict[str, int] = {}

    def open(self) -> None:
        """The shop, its people, sheets, gauges, suppliers and customers."""
        with deeds_at(self.now - timedelta(days=90)):
            self.owner = people.create_shop(
                shop_name="Millrace Engine Works",
                username="ana",
                full_name="Ana Ruse",
                password=PASSWORD,
                address="3 Weir Lane, Old Harbour",
                phone="555 0142",
            )
            self.jon = self._hire("jon", "Jon Petty", "machinist")
            self._hire("vera", "Vera Holm", "viewer")
            for name in SHEETS:
                text = (files("castworthy.demo") / "sheets" / f"{name}.toml").read_text("utf-8")
                sheets.write_sheet(text=text, by=self.owner)
                sheet = read_sheet(text, file=name)
                self.sheets[sheet.code] = sheet
            for name, reads, unit, u, resolution in GAUGES:
                gauges.add_gauge(
                    name=name,
                    reads=reads,
                    unit=unit,
                    u=u,
                    resolution=resolution,
                    calibrated_until=(self.now + timedelta(days=120)).date(),
                    by=self.owner,
                )
            for maker, lot in (
                ("Gale Foundry", "7F"),
                ("Low Moor Castings", "12"),
                ("Three Pines Iron", "A3"),
            ):
                supplier = trade.add_supplier(name=maker, by=self.owner)
                self.lots[lot] = trade.add_lot(supplier_id=supplier.pk, code=lot, by=self.owner).pk
            for customer in ("Harbour Dredging Co-operative", "Ridge Farms"):
                self.customers[customer] = trade.add_customer(name=customer, by=self.owner).pk

    def _hire(self, username: str, full_name: str, role: str) -> people.Person:
        return people.add_person(
            username=username, full_name=full_name, password=PASSWORD, role=role, by=self.owner
        )

    def take_in(self, arrival: Arrival) -> None:
        """One head in, and as many readings as it has by now."""
        came = self.now - timedelta(days=arrival.days)
        sheet = self.sheets[arrival.sheet]
        with deeds_at(came):
            heads.take_in_head(
                sheet=arrival.sheet,
                kind="core" if arrival.customer else "new casting",
                loaded=not arrival.customer,
                tag=arrival.tag,
                lot_id=self.lots.get(arrival.lot),
                customer_id=self.customers.get(arrival.customer),
                history=arrival.history,
                by=self.owner,
            )
        sites = [site for site in walk(sheet) if site.required and site.limit]
        habit = HABITS[arrival.lot]
        for at, site in enumerate(sites[: round(arrival.share * len(sites))]):
            with deeds_at(came + timedelta(minutes=20, seconds=25 * at)):
                self._read(arrival.tag, site.quantity, site.place, sheet=sheet, habit=habit)

    def _read(
        self, tag: str, quantity: Quantity, place: str, *, sheet: HeadSheet, habit: Habit
    ) -> None:
        typed, side = reading_of(quantity, place, sheet=sheet, habit=habit, rng=self.rng)
        readings.record_reading(
            tag=tag,
            uuid=UUID(bytes=self.rng.bytes(16), version=4),
            quantity=quantity.value,
            place=place,
            typed=typed,
            side=side if FACTS[quantity].sided else "",
            gauge=GAUGE_OF.get(quantity, _STEADY),
            slip_kept=True,
            by=self.jon,
        )
        self.readings_count += 1
