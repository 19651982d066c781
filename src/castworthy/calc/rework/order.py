"""The work of a plan, step by step in the order of the shop."""

from collections.abc import Collection, Iterable

from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.model import Model
from castworthy.calc.rework.results import DeckCut, OperationKind, ValveWork, WorkStep

_ORDER = {kind: place for place, kind in enumerate(OperationKind)}
_FITTING = (OperationKind.RING, OperationKind.SHIM, OperationKind.WASHER)


def in_shop_order(steps: Iterable[WorkStep]) -> tuple[WorkStep, ...]:
    """Steps in the order of the shop; those of one kind stay as they come.

    Parameters
    ----------
    steps : iterable of WorkStep
        The steps.

    References
    ----------
    DOMAIN section 10, shop order; common practice, no source.

    """
    return tuple(sorted(steps, key=lambda step: _ORDER[step.kind]))


class WorkList:
    """Turns what a plan does into steps with minutes, cost and reason."""

    def __init__(self, model: Model) -> None:
        """Take prices and reasons from the model's sheet and triggers."""
        self.model = model
        self.prices = model.sheet.prices
        self.outside = {(t.quantity, t.place) for t in model.triggers}

    def steps(
        self,
        *,
        deck: DeckCut | None,
        valves: dict[str, ValveWork],
        seated: Collection[str],
        rings: Iterable[str],
        washers: dict[str, tuple[float, ...]],
    ) -> tuple[WorkStep, ...]:
        """Every step in shop order; none when nothing is done."""
        steps: list[WorkStep] = []
        if deck is not None:
            steps += self._deck_steps(deck)
        for name in rings:
            steps += self._ring_steps(name)
        for name, work in valves.items():
            steps += self._valve_steps(name, work, seated=name in seated)
        for name, sizes in washers.items():
            steps += self._washer_steps(name, sizes)
        if any(step.kind not in _FITTING for step in steps):
            steps += [
                WorkStep(kind=OperationKind.CLEAN, why="before anything is checked or cut"),
                WorkStep(kind=OperationKind.CRACK_CHECK, why="before work is spent on it"),
                WorkStep(kind=OperationKind.WASH, why="chips out before assembly"),
            ]
        return in_shop_order(steps)

    def _step(
        self,
        kind: OperationKind,
        place: str,
        *,
        minutes: float,
        parts_price: float = 0.0,
        amount_mm: float | None = None,
        parts: tuple[float, ...] = (),
        why: str = "",
    ) -> WorkStep:
        return WorkStep(
            kind=kind,
            place=place,
            amount_mm=amount_mm,
            parts=parts,
            minutes=minutes,
            cost=minutes * self.prices.labour_per_hour / 60.0 + parts_price,
            why=why,
        )

    def _deck_steps(self, deck: DeckCut) -> Iterable[WorkStep]:
        above = self.model.sheet.work.straighten_above_mm
        bow = self._bow_mm()
        if self.model.sheet.overhead_cam and above is not None and bow > above:
            yield self._step(
                OperationKind.STRAIGHTEN,
                "",
                minutes=0.0,
                why="the bow runs into the cam bores; measure the heights again afterwards",
            )
        yield self._step(
            OperationKind.SURFACE,
            "",
            minutes=self.prices.deck_min,
            amount_mm=deck.depth_mm,
            why=self._why_deck(),
        )

    def _bow_mm(self) -> float:
        if self.model.surface.measured:
            return self.model.surface.bow_mm
        for reading in self.model.readings:
            if reading.quantity is Quantity.FLATNESS:
                return reading.value
        return 0.0

    def _why_deck(self) -> str:
        names = {
            Quantity.FLATNESS: "the deck is not flat",
            Quantity.LOCAL_FLATNESS: "the deck is not flat",
            Quantity.WAVINESS_WT: "the deck is wavy",
            Quantity.FINISH_RA: "the finish is outside its limit",
            Quantity.FINISH_RZ: "the finish is outside its limit",
        }
        reasons = dict.fromkeys(names[q] for q, _ in self.outside if q in names)
        return ", ".join(sorted(reasons)) or "brings the valves and the deck to their limits"

    def _ring_steps(self, name: str) -> Iterable[WorkStep]:
        again = (Quantity.RING_STAND, name) in self.outside
        why = "the deck cut makes the groove shallower"
        if name in self.model.owed:
            why = "the deck was cut since, so the groove is too shallow"
        elif again:
            why = "the ring's stand is outside"
        yield self._step(OperationKind.RING_GROOVE, name, minutes=self.prices.ring_min, why=why)
        yield self._step(
            OperationKind.RING, name, minutes=0.0, parts_price=self.prices.ring, why="a new wire"
        )

    def _valve_steps(self, name: str, work: ValveWork, *, seated: bool) -> Iterable[WorkStep]:
        prices = self.prices
        kind = self.model.valves[name].valve.kind.value
        price = prices.valve_intake if kind == "intake" else prices.valve_exhaust
        if work.new_guide:
            yield self._step(
                OperationKind.GUIDE,
                name,
                minutes=prices.guide_min,
                parts_price=prices.guide or 0.0,
                why="the guide's clearance is outside",
            )
        if work.new_insert:
            yield self._step(
                OperationKind.INSERT,
                name,
                minutes=prices.insert_min,
                parts_price=prices.insert or 0.0,
                why="the seat has too little metal left",
            )
        if work.new_valve:
            yield self._step(
                OperationKind.VALVE,
                name,
                minutes=0.0,
                parts_price=price or 0.0,
                why="its full margin brings the valve up",
            )
        yield from self._cut_steps(name, work, seated=seated)
        if work.shims_mm:
            n = len(work.shims_mm)
            yield self._step(
                OperationKind.SHIM,
                name,
                minutes=n * prices.shim_min,
                parts_price=n * prices.shim,
                parts=work.shims_mm,
                amount_mm=sum(work.shims_mm),
                why="brings the spring back to its height",
            )

    def _cut_steps(self, name: str, work: ValveWork, *, seated: bool) -> Iterable[WorkStep]:
        prices = self.prices
        if work.face_cut_mm > 0.0:
            yield self._step(
                OperationKind.FACE,
                name,
                minutes=prices.face_min,
                amount_mm=work.face_cut_mm,
                why="sinks the valve where the seat alone cannot",
            )
        if seated:
            yield self._step(
                OperationKind.SEAT,
                name,
                minutes=prices.seat_min,
                amount_mm=work.seat_metal_mm,
                why=self._why_seat(name, work),
            )
        if work.tip_grind_mm > 0.0:
            yield self._step(
                OperationKind.TIP,
                name,
                minutes=prices.tip_min,
                amount_mm=work.tip_grind_mm,
                why="brings the tip down to its height",
            )

    def _why_seat(self, name: str, work: ValveWork) -> str:
        if work.new_insert:
            return "cuts the new insert to depth"
        if work.new_guide:
            return "true to the new guide"
        reasons = {
            Quantity.SEAT_RUNOUT: "the seat runs out",
            Quantity.SEAT_WIDTH: "the seat's width is outside",
            Quantity.VACUUM_HOLD: "the seat leaks",
        }
        for quantity, reason in reasons.items():
            if (quantity, name) in self.outside:
                return reason
        if work.face_cut_mm > 0.0:
            return "to the refaced valve"
        return "sinks the valve to its limits"

    def _washer_steps(self, name: str, sizes: tuple[float, ...]) -> Iterable[WorkStep]:
        n = len(sizes)
        if n:
            yield self._step(
                OperationKind.WASHER,
                name,
                minutes=n * self.prices.washer_min,
                parts_price=n * self.prices.washer,
                parts=sizes,
                amount_mm=sum(sizes),
                why="brings the injector back to its protrusion",
            )
