"""One limit, one cut: what would bring a single reading inside, before there is a plan.

A hint for the bench while a head is still being measured.  It looks at one limit only; the plan
looks at all of them at once.
"""

from dataclasses import dataclass
from math import hypot

from scipy.special import ndtri

from castworthy.calc.head import HeadSheet, Limit, Reading, Rule
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleCut:
    """The least cut that brings one reading inside its limit.

    ``kind`` is ``SURFACE`` or ``SEAT``; ``amount_mm`` what is taken (a seat's along the valve);
    ``after_mm`` the reading then, ``to_spare_mm`` how far it lies inside the nearest limit.
    """

    kind: OperationKind
    place: str
    amount_mm: float
    after_mm: float
    to_spare_mm: float


def single_cut(sheet: HeadSheet, *, reading: Reading) -> SingleCut | None:
    """The least deck or seat cut that brings a recession inside its limit by itself.

    A deck cut lowers recession one for one; a seat cut raises it by its axial depth times the
    cosine of the valve's tilt.  A guarded limit is tightened by the normal quantile of the
    sheet's confidence times the standard uncertainty of reading and cut together.

    Parameters
    ----------
    sheet : HeadSheet
        The sheet with its limit, smallest cuts and what a cut is worth (lengths mm).
    reading : Reading
        A recession in mm, positive below the deck.

    Returns
    -------
    SingleCut or None
        ``None`` for any other quantity, a reading that needs no cut, or where no single cut
        keeps both limits.

    References
    ----------
    Arithmetic of a cut: common practice, no source.  Guarding: JCGM 106:2012, clause 8.3.

    """
    limit = sheet.limit_for(reading.quantity, place=reading.place)
    if reading.quantity is not Quantity.RECESSION or limit is None:
        return None
    work = sheet.work
    deep = _room(sheet, limit=limit, u_mm=hypot(reading.u or 0.0, work.u_deck_cut_mm))
    high = _room(sheet, limit=limit, u_mm=hypot(reading.u or 0.0, work.u_seat_cut_mm))
    if limit.high is not None and reading.value > limit.high:
        amount = max(reading.value - deep[1], work.smallest_deck_cut_mm)
        return _cut(OperationKind.SURFACE, reading, amount, -amount, limit=limit, room=deep)
    if limit.low is not None and reading.value < limit.low:
        ratio = sheet.valve(reading.place).sink_ratio
        amount = max((high[0] - reading.value) / ratio, work.smallest_seat_cut_mm)
        return _cut(OperationKind.SEAT, reading, amount, amount * ratio, limit=limit, room=high)
    return None


def _room(sheet: HeadSheet, *, limit: Limit, u_mm: float) -> tuple[float, float]:
    """The limit as a cut must keep it."""
    guarded = limit.rule is Rule.GUARDED
    guard = float(ndtri(sheet.work.confidence_probability)) * u_mm if guarded else 0.0
    low = float("-inf") if limit.low is None else limit.low + guard
    high = float("inf") if limit.high is None else limit.high - guard
    return low, high


def _cut(
    kind: OperationKind,
    reading: Reading,
    amount_mm: float,
    moves_mm: float,
    *,
    limit: Limit,
    room: tuple[float, float],
) -> SingleCut | None:
    after = reading.value + moves_mm
    if after < room[0] - 1e-9 or after > room[1] + 1e-9:
        return None
    spare = min(
        after - limit.low if limit.low is not None else float("inf"),
        limit.high - after if limit.high is not None else float("inf"),
    )
    return SingleCut(
        kind=kind,
        place="" if kind is OperationKind.SURFACE else reading.place,
        amount_mm=amount_mm,
        after_mm=after,
        to_spare_mm=spare,
    )
