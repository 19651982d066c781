"""From a sheet and readings to the planner's model: DOMAIN's arithmetic, written once."""

from collections.abc import Collection, Iterable, Sequence
from math import pi

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.loads import FROM_SPRING_HEIGHT, derived_readings
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.head import Cylinder, HeadSheet, Reading, Valve, ValveKind
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.model import (
    DEEPEST_CUT_MM,
    Columns,
    DeckColumns,
    Model,
    Row,
    Terms,
    Trigger,
    ValveColumns,
    WorkRow,
)
from castworthy.calc.rework.surface import Surface

CURED_BY_SURFACING = (
    Quantity.FLATNESS,
    Quantity.LOCAL_FLATNESS,
    Quantity.WAVINESS_WT,
    Quantity.FINISH_RA,
    Quantity.FINISH_RZ,
)
"""A reading of these outside its limit forces a deck cut."""

CURED_BY_SEAT_CUT = (Quantity.SEAT_RUNOUT, Quantity.SEAT_WIDTH, Quantity.VACUUM_HOLD)
"""A reading of these outside its limit forces a seat cut at that valve."""

_BY_DECK = (Quantity.DECK_THICKNESS, Quantity.HEAD_HEIGHT)
_BY_SPRING = (Quantity.SPRING_HEIGHT, *FROM_SPRING_HEIGHT)


def build_model(
    sheet: HeadSheet, *, readings: Sequence[Reading], rings_owed: Collection[str] = ()
) -> Model:
    """Lay out what can be done to a head and what each operation moves.

    The grooves of the cylinders in ``rings_owed`` are recut whatever else is done.

    References
    ----------
    DOMAIN sections 3 and 10; the arithmetic is common practice, no source.

    """
    return _Builder(sheet, readings, frozenset(rings_owed)).model()


class _Builder:
    def __init__(
        self, sheet: HeadSheet, readings: Sequence[Reading], rings_owed: frozenset[str]
    ) -> None:
        self.sheet = sheet
        self.rings_owed = rings_owed
        self.readings = readings
        self.read = {(r.quantity, r.place): r for r in readings}
        self.labour_per_min = sheet.prices.labour_per_hour / 60.0
        self.surface = Surface(sheet, readings=readings)
        self.columns = Columns()
        self.work_rows: list[WorkRow] = []
        self.judged = self._judge_unmovable()

    def model(self) -> Model:
        self.deck = self._deck()
        self.valves = {valve.name: self._valve(valve) for valve in self.sheet.valves}
        self.switches = self._switches()
        self.rings = {
            cylinder.name: self._used(self.sheet.prices.ring_min, self.sheet.prices.ring)
            for cylinder in self.sheet.cylinders
            if cylinder.name in self.rings_owed or (Quantity.RING_STAND, cylinder.name) in self.read
        }
        self.work_rows += [
            WorkRow(terms={ring: 1.0, self.deck.used: -1.0}, low=0.0)
            for ring in self.rings.values()
        ]
        self.work_rows += [
            WorkRow(terms={self.rings[name]: 1.0}, low=1.0) for name in sorted(self.rings_owed)
        ]
        self.washers = {c.name: self._washers(c) for c in self.sheet.cylinders}
        every = (*self.readings, *derived_readings(self.sheet, readings=self.readings))
        rows = tuple(row for reading in every if (row := self._row(reading)) is not None)
        moved = {(row.quantity, row.place) for row in rows}
        return Model(
            sheet=self.sheet,
            readings=self.readings,
            surface=self.surface,
            columns=self.columns,
            deck=self.deck,
            valves=self.valves,
            rings=self.rings,
            owed=self.rings_owed,
            washers=self.washers,
            rows=rows,
            work_rows=tuple(self.work_rows),
            cut_rows=tuple(self._cut_rows()),
            triggers=tuple(self._triggers()),
            kept=tuple(
                r
                for r in self.readings
                if (r.quantity, r.place) not in moved
                and self.sheet.limit_for(r.quantity, place=r.place) is not None
            ),
            read_again=tuple(
                (j.quantity, j.place) for j in self.judged if j.verdict is Verdict.CLOSE
            ),
        )

    def _judge_unmovable(self) -> tuple[Judgement, ...]:
        confidence = self.sheet.work.confidence_probability
        return tuple(
            judge(reading, limit=limit, confidence_probability=confidence)
            for reading in self.readings
            if not self._movable(reading)
            and (limit := self.sheet.limit_for(reading.quantity, place=reading.place)) is not None
        )

    def _movable(self, reading: Reading) -> bool:
        if reading.quantity in (Quantity.SEAT_LOAD, Quantity.OPEN_LOAD):
            return self.sheet.spring_for(reading.place) is not None
        return reading.quantity in (
            *_BY_DECK,
            *_BY_SPRING,
            Quantity.RECESSION,
            Quantity.TIP_HEIGHT,
            Quantity.MARGIN,
            Quantity.INJECTOR_PROTRUSION,
            Quantity.CHAMBER_VOLUME,
        )

    # columns

    def _used(self, minutes: float, parts: float = 0.0, *, most: int = 1) -> int:
        return self.columns.count(most, cost=minutes * self.labour_per_min + parts)

    def _deck(self) -> DeckColumns:
        work = self.sheet.work
        most = DEEPEST_CUT_MM if work.largest_deck_cut_mm is None else work.largest_deck_cut_mm
        reach = max(
            max(spread) - min(spread) for spread in zip(*self.sheet.outline_mm, strict=True)
        )
        used, depth = self._used(self.sheet.prices.deck_min), self.columns.amount(most)
        a = b = None
        if work.largest_tilt_ratio > 0.0:
            tilt = work.largest_tilt_ratio * reach
            a, b = (self.columns.amount(tilt, lower_mm=-tilt) for _ in "ab")
        return DeckColumns(
            used=used, depth=depth, a=a, b=b, origin_mm=self.surface.origin_mm, reach_mm=reach
        )

    def _valve(self, valve: Valve) -> ValveColumns:
        work, prices = self.sheet.work, self.sheet.prices
        gain = self._margin_gain(valve)
        price = prices.valve_intake if valve.kind is ValveKind.INTAKE else prices.valve_exhaust
        insert = prices.insert is not None and prices.insert_stock_mm is not None
        stock = prices.insert_stock_mm or 0.0 if insert else 0.0
        guide = prices.guide is not None and self._outside(Quantity.GUIDE_CLEARANCE, valve.name)
        columns = ValveColumns(
            valve=valve,
            seat=self.columns.amount(work.seat_depth_left_mm + stock),
            seat_used=self._used(prices.seat_min),
            face=self.columns.amount(work.face_cut_limit_mm),
            face_used=self._used(prices.face_min),
            tip=self.columns.amount(work.tip_grind_limit_mm),
            tip_used=self._used(prices.tip_min),
            shims=tuple(
                self._used(prices.shim_min, prices.shim, most=work.most_shims_count)
                for _ in work.shims_mm
            ),
            new_valve=None if gain is None or price is None else self._used(0.0, price),
            new_insert=self._used(prices.insert_min, prices.insert or 0.0) if insert else None,
            new_guide=self._used(prices.guide_min, prices.guide or 0.0) if guide else None,
            margin_gain_mm=gain or 0.0,
            insert_stock_mm=stock,
        )
        self.work_rows += self._valve_rows(columns)
        return columns

    def _margin_gain(self, valve: Valve) -> float | None:
        margin = self.read.get((Quantity.MARGIN, valve.name))
        new = self.sheet.prices.new_valve_margin_mm
        return None if margin is None or new is None else new - margin.value

    def _valve_rows(self, v: ValveColumns) -> Iterable[WorkRow]:
        work = self.sheet.work
        yield WorkRow(terms={v.seat: 1.0, v.seat_used: -work.smallest_seat_cut_mm}, low=0.0)
        depth = {v.seat: 1.0, v.seat_used: -work.seat_depth_left_mm}
        if v.new_insert is not None:
            depth[v.new_insert] = -v.insert_stock_mm
            yield WorkRow(terms={v.seat_used: 1.0, v.new_insert: -1.0}, low=0.0)
        yield WorkRow(terms=depth, high=0.0)
        if v.new_guide is not None:
            yield WorkRow(terms={v.seat_used: 1.0, v.new_guide: -1.0}, low=0.0)
        yield from _switched(
            v.face, v.face_used, low=work.smallest_face_cut_mm, high=work.face_cut_limit_mm
        )
        yield WorkRow(terms={v.seat_used: 1.0, v.face_used: -1.0}, low=0.0)
        if v.new_valve is not None:
            yield WorkRow(terms={v.face_used: 1.0, v.new_valve: 1.0}, high=1.0)
        yield from _switched(
            v.tip, v.tip_used, low=work.smallest_tip_grind_mm, high=work.tip_grind_limit_mm
        )
        if v.shims:
            yield WorkRow(terms=dict.fromkeys(v.shims, 1.0), high=work.most_shims_count)

    def _washers(self, cylinder: Cylinder) -> tuple[int, ...]:
        work, prices = self.sheet.work, self.sheet.prices
        if (Quantity.INJECTOR_PROTRUSION, cylinder.name) not in self.read:
            return ()
        washers = tuple(
            self._used(prices.washer_min, prices.washer, most=work.most_washers_count)
            for _ in work.washers_mm
        )
        if washers:
            most = work.most_washers_count
            self.work_rows.append(WorkRow(terms=dict.fromkeys(washers, 1.0), high=most))
        return washers

    def _cut_rows(self) -> Iterable[WorkRow]:
        """What holds of every deck cut: the smallest cut, and that the whole face cleans up."""
        work, deck = self.sheet.work, self.deck
        yield WorkRow(terms={deck.depth: 1.0}, low=work.smallest_deck_cut_mm)
        corners = self.sheet.outline_mm if deck.a is not None else ()
        edge = 0.0
        if self.surface.measured and deck.a is None:
            low = work.allowance_mm + self.surface.range_mm
            yield WorkRow(terms={deck.depth: 1.0}, low=low)
        elif self.surface.measured:
            points = zip(self.surface.spots_mm, self.surface.heights_mm, strict=True)
            for (x, y), height in points:
                stock = deck.stock(float(height), spot_mm=(float(x), float(y)))
                yield WorkRow(terms=stock, low=work.allowance_mm)
        if not self.surface.measured:
            flatness = self.read.get((Quantity.FLATNESS, ""))
            edge = work.allowance_mm + (0.0 if flatness is None else max(flatness.value, 0.0))
            yield WorkRow(terms={deck.depth: 1.0}, low=edge)
        for spot, height in zip(corners, self.surface.at(corners), strict=True):
            yield WorkRow(terms=deck.stock(float(height), spot_mm=spot), low=edge)

    # rows

    def _row(self, reading: Reading) -> Row | None:
        if not self._movable(reading):
            return None
        quantity, place = reading.quantity, reading.place
        if quantity in _BY_DECK:
            return self._as_row(reading, _times(self._stock(quantity, place), -1.0))
        if quantity is Quantity.INJECTOR_PROTRUSION:
            terms = self._stock(quantity, place)
            for washer, thick in zip(self.washers[place], self.sheet.work.washers_mm, strict=True):
                terms[washer] = -thick
            return self._as_row(reading, terms)
        if quantity is Quantity.CHAMBER_VOLUME:
            return self._as_row(reading, self._chamber(place))
        return self._as_row(reading, self._valve_terms(quantity, self.valves[place]))

    def _valve_terms(self, quantity: Quantity, v: ValveColumns) -> Terms:
        if quantity is Quantity.RECESSION:
            stock = _times(self._stock(quantity, v.valve.name), -1.0)
            return {**stock, **_times(v.sink, v.valve.sink_ratio)}
        if quantity is Quantity.TIP_HEIGHT:
            return {**v.sink, v.tip: -1.0}
        if quantity is Quantity.MARGIN:
            new = {} if v.new_valve is None else {v.new_valve: v.margin_gain_mm}
            return {v.face: -1.0, **new}
        shims = dict(zip(v.shims, (-t for t in self.sheet.work.shims_mm), strict=True))
        length = {**v.sink, **shims}
        if quantity in (Quantity.SEAT_LOAD, Quantity.OPEN_LOAD):
            return _times(length, -self._rate(v.valve.name))
        return length

    def _chamber(self, name: str) -> Terms:
        cylinder = next(c for c in self.sheet.cylinders if c.name == name)
        area_mm2 = cylinder.chamber_area_mm2
        own = [v for v in self.valves.values() if v.valve.cylinder == name]
        if area_mm2 is None:
            area_mm2 = sum(_head_area(v.valve) for v in own)
        terms = _times(self._stock(Quantity.CHAMBER_VOLUME, name), -area_mm2 / 1000.0)
        for v in own:
            terms.update(_times(v.sink, _head_area(v.valve) / 1000.0))
        return terms

    def _as_row(self, reading: Reading, terms: Terms) -> Row:
        """A row with the uncertainty each operation adds: that of a column it rests on."""
        site = (reading.quantity, reading.place)
        derived = site not in self.read
        slope = 1.0
        if derived and reading.quantity is not Quantity.COIL_BIND:
            slope = -self._rate(reading.place)
        return Row(
            quantity=reading.quantity,
            place=reading.place,
            value=reading.value,
            u=reading.u,
            limit=self.sheet.limit_for(reading.quantity, place=reading.place),
            terms={column: k for column, k in terms.items() if k != 0.0},
            spread=tuple(
                (self.switches[column][0], k * self.switches[column][1])
                for column, k in terms.items()
                if column in self.switches and k * self.switches[column][1] != 0.0
            ),
            rests_on=(Quantity.SPRING_HEIGHT, reading.place) if derived else site,
            slope=slope,
        )

    def _switches(self) -> dict[int, tuple[int, float]]:
        """For each amount with an uncertainty: the column that switches it on, and how much."""
        work = self.sheet.work
        switches = {self.deck.depth: (self.deck.used, work.u_deck_cut_mm)}
        for v in self.valves.values():
            switches[v.seat] = (v.seat_used, work.u_seat_cut_mm)
            switches[v.face] = (v.face_used, work.u_seat_cut_mm)
        return switches

    def _stock(self, quantity: Quantity, place: str) -> Terms:
        spot = self.sheet.spot_mm(quantity, place=place)
        return self.deck.stock(float(self.surface.at([spot])[0]), spot_mm=spot)

    def _rate(self, place: str) -> float:
        spring = self.sheet.spring_for(place)
        return 0.0 if spring is None else spring.rate_n_per_mm

    # triggers

    def _outside(self, quantity: Quantity, place: str) -> bool:
        return any(
            j.quantity is quantity and j.place == place and j.verdict is Verdict.OUTSIDE
            for j in self.judged
        )

    def _triggers(self) -> Iterable[Trigger]:
        for judged in self.judged:
            if judged.verdict is not Verdict.OUTSIDE or judged.value is None:
                continue
            low, high = judged.low, judged.high
            past_high = high is not None and (low is None or judged.value >= low)
            limit = high if past_high else low
            yield Trigger(
                quantity=judged.quantity,
                place=judged.place,
                bound="high" if past_high else "low",
                limit=0.0 if limit is None else limit,
                column=self._cure(judged),
            )

    def _cure(self, judged: Judgement) -> int | None:
        if judged.quantity in CURED_BY_SURFACING:
            return self.deck.used
        if judged.quantity in CURED_BY_SEAT_CUT:
            return self.valves[judged.place].seat_used
        if judged.quantity is Quantity.RING_STAND:
            return self.rings[judged.place]
        if judged.quantity is Quantity.GUIDE_CLEARANCE:
            return self.valves[judged.place].new_guide
        return None


def _switched(amount: int, used: int, *, low: float, high: float) -> Iterable[WorkRow]:
    if low > 0.0:
        yield WorkRow(terms={amount: 1.0, used: -low}, low=0.0)
    yield WorkRow(terms={amount: 1.0, used: -high}, high=0.0)


def _times(terms: Terms, factor: float) -> Terms:
    return {column: factor * k for column, k in terms.items()}


def _head_area(valve: Valve) -> float:
    return pi / 4.0 * valve.head_diameter_mm**2
