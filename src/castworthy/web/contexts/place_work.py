"""What a plan does at one place, in the few words beside its bar."""

from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.results import After, Plan, ValveWork
from castworthy.units import Show
from castworthy.web.contexts.work_lines import part_size


def work_words(row: After, *, plan: Plan, show: Show) -> str:
    """The work that moves one quantity at one place: "seat cut 10.3 thou"; empty for none."""
    if FACTS[row.quantity].site is Site.VALVE:
        return _work_words(plan.valves.get(row.place), quantity=row.quantity, show=show)
    return _washer_words(plan, row=row, show=show)


def _work_words(work: ValveWork | None, *, quantity: Quantity, show: Show) -> str:
    if work is None:
        return ""
    words = {
        Quantity.RECESSION: _seat_words,
        Quantity.TIP_HEIGHT: _tip_words,
        Quantity.SPRING_HEIGHT: _shim_words,
        Quantity.SEAT_LOAD: _shim_words,
        Quantity.OPEN_LOAD: _shim_words,
        Quantity.MARGIN: _face_words,
        Quantity.GUIDE_CLEARANCE: _guide_words,
    }
    return words[quantity](work, show) if quantity in words else ""


def _seat_words(work: ValveWork, show: Show) -> str:
    parts = []
    if work.new_insert:
        parts.append("new insert")
    if work.new_valve:
        parts.append("new valve")
    if work.seat_metal_mm > 0:
        parts.append(f"seat cut {_taken(work.seat_metal_mm, show)}")
    if work.face_cut_mm > 0:
        parts.append(f"face cut {_taken(work.face_cut_mm, show)}")
    return ", ".join(parts)


def _tip_words(work: ValveWork, show: Show) -> str:
    return f"tip ground {_taken(work.tip_grind_mm, show)}" if work.tip_grind_mm > 0 else ""


def _shim_words(work: ValveWork, show: Show) -> str:
    if not work.shims_mm:
        return ""
    sizes = " + ".join(part_size(shim, show=show) for shim in work.shims_mm)
    return f"shim {sizes}"


def _face_words(work: ValveWork, show: Show) -> str:
    if work.new_valve:
        return "new valve"
    return f"face cut {_taken(work.face_cut_mm, show)}" if work.face_cut_mm > 0 else ""


def _guide_words(work: ValveWork, show: Show) -> str:
    return "new guide" if work.new_guide else ""


def _washer_words(plan: Plan, *, row: After, show: Show) -> str:
    washers = plan.washers_mm.get(row.place, ())
    if row.quantity is not Quantity.INJECTOR_PROTRUSION or not washers:
        return ""
    return "washer " + " + ".join(part_size(washer, show=show) for washer in washers)


def _taken(amount_mm: float, show: Show) -> str:
    return show.value(amount_mm, suffix="mm", difference=True)
