"""Where the pieces of a deck go: one long row on a bench screen, rows of cylinders on a phone."""

from dataclasses import dataclass
from itertools import pairwise

from castworthy.calc.head import Cylinder, HeadSheet

_WIDE_PX, _TALLEST_PX, _LARGEST_PX_PER_MM = 1230.0, 430.0, 3.2
_PRINT_PX, _PRINT_TALLEST_PX = 720.0, 300.0
_EDGE_PX, _WHOLE_EDGE_PX, _MARKED_EDGE_PX = 4.0, 12.0, 26.0
_LEAST_MM = 1.0
_PHONE_PX, _TARGET_PX = 358.0, 44.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A part of the deck, in drawing coordinates: x as on the deck, y turned downwards [mm]."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.top + self.height

    def touches(self, x: float, y: float, reach: float) -> bool:
        """True when something of that reach about (x, y) shows in it."""
        across = self.left - reach <= x <= self.right + reach
        return across and self.top - reach <= y <= self.bottom + reach

    def holds(self, x: float, y: float) -> bool:
        """True when (x, y) lies in it."""
        return self.left <= x < self.right and self.top <= y <= self.bottom


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """The windows to draw, top to bottom, and how many mm one screen pixel stands for."""

    windows: tuple[Window, ...]
    px_mm: float
    compact: bool
    edge_px: float

    @property
    def edge_mm(self) -> float:
        """Room round each window for lines and marks that stand over its edge."""
        return self.edge_px * self.px_mm

    @property
    def width_mm(self) -> float:
        """The widest window."""
        return max(window.width for window in self.windows)


def whole(sheet: HeadSheet, *, printed: bool, everywhere: bool) -> Layout:
    """The whole deck in one window."""
    window = _extent(sheet)
    edge_px = _EDGE_PX if printed and not everywhere else _WHOLE_EDGE_PX
    wide, tall = (_PRINT_PX, _PRINT_TALLEST_PX) if printed else (_WIDE_PX, _TALLEST_PX)
    scale = min((wide - 2 * edge_px) / window.width, tall / window.height, _LARGEST_PX_PER_MM)
    return Layout(windows=(window,), px_mm=1 / scale, compact=False, edge_px=edge_px)


def rows(sheet: HeadSheet, *, everywhere: bool) -> Layout:
    """Rows of cylinders wide enough that a finger finds each valve.

    ``everywhere`` keeps the whole width of the deck; otherwise a row is the band of the bores.
    """
    deck = _extent(sheet)
    edge_px = _MARKED_EDGE_PX if everywhere else _EDGE_PX
    room_px = _PHONE_PX - 2 * edge_px
    line = sorted(sheet.cylinders, key=lambda cylinder: cylinder.x_mm)
    edges = _edges(line, deck)
    pitch = min((right - left for left, right in pairwise(edges)), default=deck.width)
    across = min((valve.head_diameter_mm for valve in sheet.valves), default=pitch / 3)
    fitting = room_px * across / (_TARGET_PX * pitch) if pitch > 0 else len(line)
    in_row = max(1, min(len(line), round(fitting)))
    if len(line) < 2 or deck.height > deck.width:
        return Layout(windows=(deck,), px_mm=deck.width / room_px, compact=True, edge_px=edge_px)
    top, height = (deck.top, deck.height) if everywhere else _band(sheet, deck)
    count = -(-len(line) // in_row)
    in_row = -(-len(line) // count)
    cuts = [*edges[:-1:in_row], edges[-1]]
    width = max(right - left for left, right in pairwise(cuts))
    windows = tuple(
        Window(left=left, top=top, width=right - left, height=height)
        for left, right in pairwise(cuts)
    )
    return Layout(windows=windows, px_mm=width / room_px, compact=True, edge_px=edge_px)


def _extent(sheet: HeadSheet) -> Window:
    xs = [x for x, _ in sheet.outline_mm]
    ys = [-y for _, y in sheet.outline_mm]
    return Window(
        left=min(xs),
        top=min(ys),
        width=max(max(xs) - min(xs), _LEAST_MM),
        height=max(max(ys) - min(ys), _LEAST_MM),
    )


def _edges(line: list[Cylinder], deck: Window) -> list[float]:
    between = [(a.x_mm + b.x_mm) / 2 for a, b in pairwise(line)]
    return [deck.left, *between, deck.right]


def _band(sheet: HeadSheet, deck: Window) -> tuple[float, float]:
    margin = 0.08 * max(cylinder.bore_mm for cylinder in sheet.cylinders)
    rounds = [(c.y_mm, c.bore_mm / 2) for c in sheet.cylinders]
    rounds += [(v.y_mm, v.head_diameter_mm / 2) for v in sheet.valves]
    top = max(min(-y - radius for y, radius in rounds) - margin, deck.top)
    bottom = min(max(-y + radius for y, radius in rounds) + margin, deck.bottom)
    return top, bottom - top
