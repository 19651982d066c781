"""Which grade of head gasket to fit, where the engine has several thicknesses."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite

from castworthy.calc.chamber.room import CylinderRoom, compression_ratio
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused

SAME = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class GasketGrade:
    """A gasket of the engine's range; its thickness as clamped."""

    name: str
    thickness_mm: float
    u_thickness_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeLimits:
    """What the sheet asks of every cylinder; ``None`` where it asks nothing.

    One aim at most: the ratio or the gap between piston and head.
    """

    low_ratio: float | None = None
    high_ratio: float | None = None
    aim_ratio: float | None = None
    low_gap_mm: float | None = None
    high_gap_mm: float | None = None
    aim_gap_mm: float | None = None

    def __post_init__(self) -> None:
        if self.aim_ratio is not None and self.aim_gap_mm is not None:
            raise InputError("A grade is chosen by one aim, ratio or gap, got both; leave one out.")
        for low, aim, high in (
            (self.low_ratio, self.aim_ratio, self.high_ratio),
            (self.low_gap_mm, self.aim_gap_mm, self.high_gap_mm),
        ):
            given = [each for each in (low, aim, high) if each is not None]
            if not all(map(isfinite, given)) or (-inf if low is None else low) > (
                inf if high is None else high
            ):
                raise InputError(
                    f"Limits are numbers, the low one at most the high one, got {low} to {high} "
                    f"with aim {aim}."
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeOption:
    """A grade tried: ratio and piston-to-head gap over the cylinders.

    ``off`` is the worst distance from the aim (ratio or mm), 0 without one; ``broken`` names
    what is outside, empty where every cylinder is inside.
    """

    grade: GasketGrade
    lowest_ratio: float
    highest_ratio: float
    smallest_gap_mm: float
    largest_gap_mm: float
    off: float
    broken: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeChoice:
    """The grade to fit and every grade tried, thinnest first."""

    chosen: GradeOption
    options: tuple[GradeOption, ...]


def choose_grade(
    rooms: Sequence[CylinderRoom], *, grades: Sequence[GasketGrade], limits: GradeLimits
) -> GradeChoice | Refused:
    """The grade that keeps every cylinder in its limits and comes nearest to the aim.

    One gasket serves all cylinders, so the worst of them decides.  Without an aim the thinnest
    grade within the limits is taken.

    Parameters
    ----------
    rooms : sequence of CylinderRoom
        The cylinders; the gasket each holds is left out.
    grades : sequence of GasketGrade
        The engine's range.
    limits : GradeLimits
        What the sheet asks.

    Returns
    -------
    GradeChoice or Refused
        ``Refused`` where no grade serves; it names what the nearest breaks.

    Raises
    ------
    InputError
        If there is no cylinder, no grade, or a grade is not thicker than 0.

    References
    ----------
    Common practice, no source: thickness graded by how far the pistons stand.

    """
    _check(rooms, grades=grades)
    options = tuple(
        _option(rooms, grade=grade, limits=limits)
        for grade in sorted(grades, key=lambda each: each.thickness_mm)
    )
    serving = [each for each in options if not each.broken]
    if serving:
        return GradeChoice(chosen=min(serving, key=lambda each: each.off), options=options)
    nearest = min(
        options, key=lambda each: (len(each.broken), _excess(each, limits=limits), each.off)
    )
    return Refused(
        code="no-grade",
        reason=(
            f"No gasket grade keeps every cylinder in; the nearest is {nearest.grade.name} "
            f"({nearest.grade.thickness_mm:.2f} mm): {'; '.join(nearest.broken)}."
        ),
        remedy="Look at the deck cuts of head and block and at how far the pistons stand.",
    )


def _check(rooms: Sequence[CylinderRoom], *, grades: Sequence[GasketGrade]) -> None:
    if not rooms or not grades or any(not grade.thickness_mm > 0.0 for grade in grades):
        raise InputError(
            "A grade is chosen for one cylinder or more from grades thicker than 0, got "
            f"{len(rooms)} cylinders and {len(grades)} grades."
        )


def _option(
    rooms: Sequence[CylinderRoom], *, grade: GasketGrade, limits: GradeLimits
) -> GradeOption:
    fitted = [
        replace(room, gasket_mm=grade.thickness_mm, u_gasket_mm=grade.u_thickness_mm)
        for room in rooms
    ]
    gaps = [room.piston_to_head_mm for room in fitted]
    ratios = [compression_ratio(room).ratio for room in fitted]
    if limits.aim_ratio is not None:
        off = max(abs(ratio - limits.aim_ratio) for ratio in ratios)
    elif limits.aim_gap_mm is not None:
        off = max(abs(gap - limits.aim_gap_mm) for gap in gaps)
    else:
        off = 0.0
    broken = (
        _under(min(ratios), low=limits.low_ratio, said="ratio {:.2f}"),
        _over(max(ratios), high=limits.high_ratio, said="ratio {:.2f}"),
        _under(min(gaps), low=limits.low_gap_mm, said="piston to head {:.3f} mm"),
        _over(max(gaps), high=limits.high_gap_mm, said="piston to head {:.3f} mm"),
    )
    return GradeOption(
        grade=grade,
        lowest_ratio=min(ratios),
        highest_ratio=max(ratios),
        smallest_gap_mm=min(gaps),
        largest_gap_mm=max(gaps),
        off=off,
        broken=tuple(each for each in broken if each),
    )


def _excess(option: GradeOption, *, limits: GradeLimits) -> float:
    """How far a grade is past its limits, in their own units, summed."""
    pasts = (
        (limits.low_ratio, option.lowest_ratio, -1.0),
        (limits.high_ratio, option.highest_ratio, 1.0),
        (limits.low_gap_mm, option.smallest_gap_mm, -1.0),
        (limits.high_gap_mm, option.largest_gap_mm, 1.0),
    )
    return sum(
        max(0.0, sign * (value - limit)) for limit, value, sign in pasts if limit is not None
    )


def _under(value: float, *, low: float | None, said: str) -> str:
    return (
        f"{said.format(value)} is below {low:g}" if low is not None and value < low - SAME else ""
    )


def _over(value: float, *, high: float | None, said: str) -> str:
    if high is None or value <= high + SAME:
        return ""
    return f"{said.format(value)} is above {high:g}"
