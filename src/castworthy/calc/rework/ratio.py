"""The compression ratio of every cylinder before and after a plan."""

from dataclasses import dataclass

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderRatio:
    """One cylinder's ratio as measured and as planned, with the standard uncertainty planned."""

    cylinder: str
    before_ratio: float
    after_ratio: float
    u_after_ratio: float | None


def ratios_of(plan: Plan, *, sheet: HeadSheet) -> tuple[CylinderRatio, ...]:
    """Compression ratios of the cylinders whose chamber volume was measured.

    Empty where the sheet tells no engine.

    References
    ----------
    Ratio = (swept + clearance volume) / clearance volume; first-order propagation, JCGM
    100:2008, 5.1.2.

    """
    if sheet.engine is None:
        return ()
    bores = {each.name: each.bore_mm for each in sheet.cylinders}
    found = []
    for row in plan.after:
        if row.quantity is not Quantity.CHAMBER_VOLUME:
            continue
        bore_mm = bores[row.place]
        swept = sheet.engine.swept_cm3(bore_mm=bore_mm)
        after = row.value + sheet.engine.under_cm3(bore_mm=bore_mm)
        found.append(
            CylinderRatio(
                cylinder=row.place,
                before_ratio=sheet.engine.ratio(chamber_cm3=row.before, bore_mm=bore_mm),
                after_ratio=sheet.engine.ratio(chamber_cm3=row.value, bore_mm=bore_mm),
                u_after_ratio=None if row.u is None else swept / after**2 * row.u,
            )
        )
    return tuple(found)


def ratio_sentence(plan: Plan, *, sheet: HeadSheet) -> str:
    """The ratios in a sentence; empty where none is known."""
    found = ratios_of(plan, sheet=sheet)
    if not found:
        return ""
    before = [each.before_ratio for each in found]
    after = [each.after_ratio for each in found]
    told = f"Compression ratio {_range(before)} now, {_range(after)} after"
    if len(found) > 1:
        told += f"; between cylinders {max(after) - min(after):.2f}"
    return f"{told}."


def _range(values: list[float]) -> str:
    low, high = f"{min(values):.2f}", f"{max(values):.2f}"
    return low if low == high else f"{low} to {high}"
