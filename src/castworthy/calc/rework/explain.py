"""The plan in sentences a machinist reads at the bench, in the person's units."""

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.phrases import WORDINGS, amount_phrase, reading_phrase, subject
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.decision.words import verdict_sentence
from castworthy.calc.head import Limit, Reading, Rule
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.compare import Card, CardKind
from castworthy.calc.rework.edges import Edges
from castworthy.calc.rework.results import (
    After,
    Conflict,
    NoPlan,
    OperationKind,
    Plan,
    Relief,
    ValveWork,
    WorkStep,
)
from castworthy.units import Show
from castworthy.units.phrase import listed

_SINKS = (
    Quantity.RECESSION,
    Quantity.TIP_HEIGHT,
    Quantity.SPRING_HEIGHT,
    Quantity.SEAT_LOAD,
    Quantity.OPEN_LOAD,
    Quantity.COIL_BIND,
)
_SPRING = _SINKS[2:]
_DECK = (
    Quantity.RECESSION,
    Quantity.DECK_THICKNESS,
    Quantity.HEAD_HEIGHT,
    Quantity.INJECTOR_PROTRUSION,
    Quantity.CHAMBER_VOLUME,
)


def work_sentence(step: WorkStep, *, show: Show) -> str:
    """One step of the work with its figures, as in "Cut the seat of 5C: 10.3 thou"."""
    at, amount = step.place, _cut(step.amount_mm or 0.0, show)
    text = {
        OperationKind.CLEAN: "Clean the head",
        OperationKind.CRACK_CHECK: "Check for cracks",
        OperationKind.STRAIGHTEN: "Straighten the head",
        OperationKind.GUIDE: f"Fit a new guide at {at}",
        OperationKind.SURFACE: f"Surface the deck: {amount} from first touch",
        OperationKind.RING_GROOVE: f"Recut the ring groove of cylinder {at}",
        OperationKind.INSERT: f"Fit a new seat insert at {at}",
        OperationKind.VALVE: f"Fit a new valve at {at}",
        OperationKind.FACE: f"Reface valve {at}: sinks it {amount}",
        OperationKind.SEAT: f"Cut the seat of {at}: {amount} along the valve",
        OperationKind.TIP: f"Grind the tip of {at}: {amount}",
        OperationKind.WASH: "Wash the head",
        OperationKind.RING: f"Fit a new sealing ring at cylinder {at}",
        OperationKind.SHIM: f"Shim the spring of {at}: {_parts(step, show)}",
        OperationKind.WASHER: f"Washer under the injector of cylinder {at}: {_parts(step, show)}",
    }[step.kind]
    return f"{text} ({step.why})." if step.why else f"{text}."


def before_after_sentence(after: After, *, plan: Plan, show: Show) -> str:
    """What one quantity is by the bare limits now and what the plan makes of it.

    As in "2B is too deep by 2.8 thou. Taking 4.0 thou off the deck brings it inside with
    1.2 thou to spare."
    """
    if after.low is None and after.high is None:
        value = reading_phrase(after.before, quantity=after.quantity, show=show)
        now = f"{subject(after.quantity, place=after.place)} is {value}."
    else:
        now = verdict_sentence(_bare(after), show=show)
    if not after.moved:
        return now
    deeds = _deeds(after, plan=plan, show=show)
    verb = "brings" if len(deeds) == 1 else "bring"
    return f"{now} {_capital(listed(deeds))} {_outcome(after, verb=verb, show=show)}."


def binding_sentences(plan: Plan, *, show: Show) -> tuple[str, ...]:
    """The limits that stop the plan, with what they end at."""
    return tuple(_binding(row, plan=plan, show=show) for row in plan.binding)


def span_sentence(plan: Plan, *, edges: Edges, show: Show) -> str:
    """The deck cuts that keep every limit, and what breaks on either side."""
    low, high = plan.deck_cut_span_mm
    if high <= 0.0:
        first = "No deck cut keeps every limit."
    elif low <= 0.0:
        first = f"No deck cut, or up to {_cut(high, show)}, keeps every limit."
    elif high - low < _LEAST_SPAN_MM:
        first = f"Only {_cut(low, show)} keeps every limit."
    else:
        start = show.number(low, suffix="mm", difference=True)
        first = f"{start} to {_cut(high, show)} keeps every limit."
    words = [first]
    if edges.below is not None:
        words.append(f"Below: {_edge(edges.below, 'the face does not clean up')}.")
    if edges.above is not None:
        words.append(f"Above: {_edge(edges.above, 'it is past the largest cut of the sheet')}.")
    elif high > 0.0:
        words.append("No limit stops a deeper cut.")
    return " ".join(words)


def conflict_sentences(answer: NoPlan, *, show: Show) -> tuple[str, ...]:
    """Why there is no plan, what would free the head, and the odds of the surest offer."""
    return (
        _conflict(answer.conflict),
        *relief_sentences(answer.relief, show=show),
        *(() if answer.surest is None else (odds_sentence(answer.surest),)),
    )


def relief_sentences(reliefs: tuple[Relief, ...], *, show: Show) -> tuple[str, ...]:
    """What would free an impossible head, as in "It would work if T3 had 7.9 thou more deck"."""
    alone = [r for r in reliefs if r.quantity is not None and not r.together]
    joint = [r for r in reliefs if r.quantity is not None and r.together]
    words = [f"It would work if {_gives(relief, show)}." for relief in alone]
    if joint:
        words.append(f"It would work if {listed(tuple(_gives(r, show) for r in joint))}.")
    words += [
        f"It would work with {r.parts}, which the sheet does not offer." for r in reliefs if r.parts
    ]
    return tuple(words)


def odds_sentence(plan: Plan) -> str:
    """How likely all limits hold after the work, in words."""
    odds = _odds(plan.probability)
    if plan.guarded:
        return f"All limits hold in {odds}."
    return (
        "No work brings every limit in with certainty enough; the surest work by the bare limits "
        f"holds them all in {odds}."
    )


def open_sentences(plan: Plan) -> tuple[str, ...]:
    """What the plan leaves open: not measured, to be read again, to be measured afterwards."""
    words: list[str] = []
    if plan.missing:
        words.append(f"Not measured, so not planned for: {_sites(plan.missing)}.")
    if plan.read_again:
        words.append(f"Read again, too close to call: {_sites(plan.read_again)}.")
    if plan.unproved:
        words.append(f"Measure after the work: {_sites(plan.unproved)}.")
    return tuple(words)


def card_sentence(card: Card) -> str:
    """A choice against the price of a casting."""
    if card.kind is CardKind.SEND_BACK:
        if card.casting is None:
            return "The sheet prices no new casting."
        return f"A new casting costs {card.casting:,.2f}."
    if card.plan is None:
        return "There is no such plan."
    if card.saves is None:
        return f"The work costs {card.cost:,.2f}."
    if card.saves < 0.0:
        return f"The work costs {-card.saves:,.2f} more than a new casting."
    return f"The work costs {card.saves:,.2f} less than a new casting."


_LEAST_SPAN_MM = 1e-3
_ANY_CONFIDENCE = 0.95


def _bare(after: After) -> Judgement:
    """The quantity as it was, by the bare limits."""
    limit = Limit(
        quantity=after.quantity, low=after.low, high=after.high, aim=after.aim, rule=Rule.SIMPLE
    )
    reading = Reading(
        quantity=after.quantity, place=after.place, value=after.before, u=after.before_u
    )
    return judge(reading, limit=limit, confidence_probability=_ANY_CONFIDENCE)


def _deeds(after: After, *, plan: Plan, show: Show) -> tuple[str, ...]:
    """What the plan does to a quantity, as a person says it."""
    found: list[str] = []
    if plan.deck is not None and after.quantity in _DECK:
        level = plan.deck.level
        found.append(
            f"taking {_cut(plan.deck.depth_mm, show)} off the deck"
            if level
            else "surfacing the deck at its tilt"
        )
    work = plan.valves.get(after.place, ValveWork())
    if after.quantity in _SINKS:
        found += _sinking(work, show)
    if after.quantity is Quantity.TIP_HEIGHT and work.tip_grind_mm > 0.0:
        found.append(f"grinding {_cut(work.tip_grind_mm, show)} off the tip")
    if after.quantity in _SPRING and work.shims_mm:
        found.append(f"shimming the spring {_cut(sum(work.shims_mm), show)}")
    if after.quantity is Quantity.MARGIN:
        found.append("refacing the valve" if work.face_cut_mm > 0.0 else "fitting a new valve")
    if after.quantity is Quantity.INJECTOR_PROTRUSION and plan.washers_mm.get(after.place):
        found.append(f"adding {_cut(sum(plan.washers_mm[after.place]), show)} of washers")
    return tuple(found) or ("the work on its valves",)


def _sinking(work: ValveWork, show: Show) -> list[str]:
    found: list[str] = []
    if work.new_valve:
        found.append("fitting a new valve")
    if work.new_insert:
        found.append("fitting a new insert")
    if work.seat_metal_mm > 0.0:
        found.append(f"cutting its seat {_cut(work.seat_metal_mm, show)}")
    if work.face_cut_mm > 0.0:
        found.append(f"refacing the valve {_cut(work.face_cut_mm, show)}")
    return found


def _outcome(after: After, *, verb: str, show: Show) -> str:
    spare = _spare(after, after.value)
    if spare is None:
        value = reading_phrase(after.value, quantity=after.quantity, show=show)
        return f"{verb} it to {value}"
    if (_spare(after, after.before) or 0.0) >= -_ON_LIMIT:
        verb = "leaves" if verb == "brings" else "leave"
    if spare <= _ON_LIMIT:
        return f"{verb} it on its limit"
    by = amount_phrase(spare, quantity=after.quantity, show=show)
    return f"{verb} it inside with {by} to spare"


def _spare(after: After, value: float) -> float | None:
    rooms = [value - after.low] if after.low is not None else []
    if after.high is not None:
        rooms.append(after.high - value)
    return min(rooms, default=None)


def _binding(row: After, *, plan: Plan, show: Show) -> str:
    value = reading_phrase(row.value, quantity=row.quantity, show=show)
    words = WORDINGS[row.quantity]
    low = row.low is not None and (row.high is None or row.value - row.low <= row.high - row.value)
    limit = words.low_limit if low else words.high_limit
    kept = _spare(row, row.value) or 0.0
    guard = ""
    if plan.guarded and kept > _ON_LIMIT:
        by = amount_phrase(kept, quantity=row.quantity, show=show)
        guard = f", {by} kept for the uncertainty"
    what = subject(row.quantity, place=row.place)
    return f"{what} ends at {value}: that is its {limit}{guard}."


def _conflict(conflict: tuple[Conflict, ...]) -> str:
    if not conflict:
        return (
            "The rules of the work itself leave nothing: a deck cut must clean the face and lie "
            "between the smallest and the largest cut."
        )
    if len(conflict) == 1:
        return f"Whatever is done, {conflict[0].reason}."
    return f"Whatever is done, {_either(tuple(c.reason for c in conflict))}."


def _either(reasons: tuple[str, ...]) -> str:
    return f"{', '.join(reasons[:-1])} or {reasons[-1]}"


def _edge(conflict: tuple[Conflict, ...], otherwise: str) -> str:
    if not conflict:
        return otherwise
    return _either(tuple(c.reason for c in conflict)) if len(conflict) > 1 else conflict[0].reason


def _gives(relief: Relief, show: Show) -> str:
    """One limit giving way: ``T3 had 7.9 thou more deck``."""
    if relief.quantity is None:
        return ""
    name = subject(relief.quantity, place=relief.place)
    name = name if relief.quantity is Quantity.RECESSION else _small(name)
    by = amount_phrase(relief.needed or 0.0, quantity=relief.quantity, show=show)
    words = WORDINGS[relief.quantity]
    limit = words.low_limit if relief.bound == "low" else words.high_limit
    if relief.quantity is Quantity.DECK_THICKNESS and relief.bound == "low":
        return f"{relief.place} had {by} more deck"
    way = "lower" if relief.bound == "low" else "higher"
    return f"the {limit} of {name} were {by} {way}"


def _odds(probability: float) -> str:
    if probability >= _ALMOST_ALL:
        return "more than 999 of 1000 cases"
    if probability >= _MOST:
        return f"{int(probability * 1000)} of 1000 cases"
    return f"{int(probability * 100)} of 100 cases"


def _sites(sites: tuple[tuple[Quantity, str], ...]) -> str:
    """Quantities with their places, each quantity named once."""
    places: dict[Quantity, list[str]] = {}
    for quantity, place in sites:
        places.setdefault(quantity, []).append(place)
    return "; ".join(
        f"{FACTS[quantity].title.lower()} {', '.join(p for p in at if p)}".rstrip()
        for quantity, at in places.items()
    )


def _cut(amount_mm: float, show: Show) -> str:
    return show.value(amount_mm, suffix="mm", difference=True)


def _parts(step: WorkStep, show: Show) -> str:
    sizes = [show.value(size, suffix="mm") for size in step.parts]
    return " and ".join(sizes)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _small(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


_ON_LIMIT = 2e-6
_ALMOST_ALL = 0.9995
_MOST = 0.99
