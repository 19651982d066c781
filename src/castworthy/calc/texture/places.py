"""Where a deck is traced: the webs between the bores and both ends, across the lay."""

from dataclasses import dataclass
from itertools import pairwise

from castworthy.calc.head import HeadSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class TracePlace:
    """A place to trace, named as a person finds it on the deck; (x, y) in mm."""

    name: str
    x_mm: float
    y_mm: float


def trace_places(sheet: HeadSheet) -> tuple[TracePlace, ...]:
    """The places worth a trace, along the deck.

    The narrow webs between neighbouring bores seal worst and are cut with the least support, so
    each is one; the lands at both ends are the other two.

    References
    ----------
    Common practice, no source: at least three places, between the bores included.

    """
    line = sorted(sheet.cylinders, key=lambda cylinder: (cylinder.x_mm, cylinder.y_mm))
    first, last = line[0], line[-1]
    xs = [x for x, _ in sheet.outline_mm]
    left = TracePlace(
        name="left end", x_mm=(min(xs) + first.x_mm - first.bore_mm / 2) / 2, y_mm=first.y_mm
    )
    right = TracePlace(
        name="right end", x_mm=(max(xs) + last.x_mm + last.bore_mm / 2) / 2, y_mm=last.y_mm
    )
    webs = (
        TracePlace(
            name=f"between {a.name} and {b.name}",
            x_mm=(a.x_mm + b.x_mm) / 2,
            y_mm=(a.y_mm + b.y_mm) / 2,
        )
        for a, b in pairwise(line)
    )
    return (left, *webs, right)
