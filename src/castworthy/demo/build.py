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
from django.db import transaction

from castworthy.actions import gauges, heads, people, readings, sheets, trade
from castworthy.actions.deed import deeds_at
from castworthy.actions.rings import record_ring
from castworthy.actions.traces import CutWith, TraceUpload, add_traces
from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.texture.places import trace_places
from castworthy.demo.arrivals import ARRIVALS, Arrival, Reached
from castworthy.demo.floor import Floor
from castworthy.demo.habits import HABITS, Typed, again_of, reading_of, typed_of
from castworthy.demo.rings import stands_of
from castworthy.demo.sums import keep_sums
from castworthy.demo.traces import NOSE_MM, TRACED, trace_csv
from castworthy.records.predicted import readings_expected
from castworthy.records.standing import Site, standing_of, walk
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
    ("VG-2", "vacuum gauge", "inHg", "0.2", "0.1"),
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
class Demo:
    """What a person needs to look around."""

    owner: str
    password: str
    heads_count: int
    readings_count: int


def build_demo(*, now: datetime) -> Demo:
    """Fill an empty record with the invented shop as it stands at ``now``."""
    shop = _Builder(now=now)
    with transaction.atomic():
        shop.open()
        for arrival in ARRIVALS:
            shop.take_in(arrival)
        shop.trace()
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
        self.ring_rng = np.random.default_rng(SEED + 1)
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
        clock = came + timedelta(minutes=20)
        for site in self._to_read(arrival, sheet=sheet):
            clock += timedelta(seconds=25)
            fixed = arrival.fixed.get((site.quantity, site.place))
            with deeds_at(clock):
                self._read(
                    arrival.tag,
                    site.quantity,
                    site.place,
                    sheet=sheet,
                    typed=typed_of(fixed, quantity=site.quantity)
                    if fixed is not None
                    else reading_of(
                        site.quantity,
                        site.place,
                        sheet=sheet,
                        habit=HABITS[arrival.lot],
                        rng=self.rng,
                    ),
                )
        if arrival.reached >= Reached.MEASURED and sheet.limit_for(Quantity.RING_STAND):
            for cylinder in sheet.cylinders:
                clock += timedelta(minutes=2)
                self._ring(arrival.tag, cylinder.name, at=clock)
        clock = keep_sums(arrival.tag, early=True, at=clock, by=self.jon)
        if arrival.reached > Reached.MEASURED:
            floor = Floor(
                arrival=arrival,
                clock=clock,
                by=self.jon,
                rng=self.rng,
                measure_again=self.measure_again,
            )
            floor.go()
            clock = floor.clock
        keep_sums(arrival.tag, early=False, at=clock, by=self.jon)

    def trace(self) -> None:
        """The surface traces of the heads that were traced."""
        rng = np.random.default_rng(SEED)
        for traced in TRACED:
            sheet = standing_of(traced.tag).sheet
            place = trace_places(sheet)[traced.place]
            upload = TraceUpload(
                name=f"{traced.tag}-{traced.place + 1}.csv", content=trace_csv(traced, rng=rng)
            )
            cut = CutWith()
            if traced.machine:
                cut = CutWith(
                    machine=traced.machine,
                    feed=f"{traced.feed_mm} mm",
                    nose=f"{NOSE_MM} mm",
                    turning="900 rpm",
                )
            with deeds_at(self.now - timedelta(days=traced.days)):
                add_traces(
                    tag=traced.tag,
                    files=[upload],
                    place=place.name,
                    spot_mm=(place.x_mm, place.y_mm),
                    gauge="ST-3",
                    cut=cut,
                    by=self.jon,
                )

    def _to_read(self, arrival: Arrival, *, sheet: HeadSheet) -> list[Site]:
        if arrival.reached is Reached.DOOR:
            return []
        sites = [
            site
            for site in walk(sheet)
            if site.required
            and site.quantity is not Quantity.RING_STAND
            and (site.limit or (arrival.heights and not site.limit))
        ]
        if arrival.until is not None:
            keys = [(site.quantity, site.place) for site in sites]
            return sites[: keys.index(arrival.until)]
        return sites[: round(arrival.share * len(sites))]

    def measure_again(self, tag: str, clock: datetime) -> int:
        """Read what the work disturbed; how many readings that took."""
        standing = standing_of(tag)
        head = {(r.quantity, r.place): r.value for r in readings_expected(tag)}
        for spot in standing.missing:
            limit = standing.sheet.limit_for(spot.quantity, place=spot.place)
            if limit is None:
                continue
            clock += timedelta(seconds=25)
            if spot.quantity is Quantity.RING_STAND:
                self._ring(tag, spot.place, at=clock)
                continue
            expected = head.get((spot.quantity, spot.place))
            with deeds_at(clock):
                self._read(
                    tag,
                    spot.quantity,
                    spot.place,
                    sheet=standing.sheet,
                    typed=again_of(expected, limit=limit, rng=self.rng),
                )
        return len(standing.missing)

    def _ring(self, tag: str, cylinder: str, *, at: datetime) -> None:
        with deeds_at(at):
            record_ring(
                tag=tag,
                uuid=UUID(bytes=self.ring_rng.bytes(16), version=4),
                cylinder=cylinder,
                typed=stands_of(tag, cylinder, rng=self.ring_rng),
                gauge="DG-2",
                kept=True,
                by=self.jon,
            )

    def _read(
        self, tag: str, quantity: Quantity, place: str, *, sheet: HeadSheet, typed: Typed
    ) -> None:
        readings.record_reading(
            tag=tag,
            uuid=UUID(bytes=self.rng.bytes(16), version=4),
            quantity=quantity.value,
            place=place,
            typed=typed.text,
            side=typed.side if FACTS[quantity].sided else "",
            gauge=GAUGE_OF.get(quantity, _STEADY),
            slip_kept=True,
            by=self.jon,
        )
        self.readings_count += 1
