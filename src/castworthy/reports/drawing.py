"""A deck with its ring grooves and joints as a DXF drawing, to scale, for a machine or a print."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from io import StringIO
from math import cos, radians, sin

from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from castworthy.calc.head import Cylinder, HeadSheet, Opening, OpeningKind, Stud, Valve
from castworthy.calc.sealing.joint import Joint
from castworthy.calc.sealing.wire import Ring

DECK_EDGE = "DECK EDGE"
BORES = "BORES"
VALVES = "VALVES"
STUDS = "STUDS"
OPENINGS = {
    OpeningKind.COOLANT: "COOLANT OPENINGS",
    OpeningKind.OIL: "OIL OPENINGS",
    OpeningKind.AIR: "AIR OPENINGS",
    OpeningKind.PUSHROD: "PUSHROD OPENINGS",
}
GROOVE_EDGES = "GROOVE EDGES"
GROOVE_CENTRELINES = "GROOVE CENTRELINES"
RING_JOINTS = "RING JOINTS"
NAMES = "NAMES"
NOTES = "NOTES"

_COLOURS = {
    DECK_EDGE: 7,
    BORES: 7,
    VALVES: 8,
    STUDS: 8,
    OPENINGS[OpeningKind.COOLANT]: 5,
    OPENINGS[OpeningKind.OIL]: 30,
    OPENINGS[OpeningKind.AIR]: 4,
    OPENINGS[OpeningKind.PUSHROD]: 8,
    GROOVE_EDGES: 1,
    GROOVE_CENTRELINES: 1,
    RING_JOINTS: 6,
    NAMES: 8,
    NOTES: 7,
}
LAYERS = tuple(_COLOURS)
"""Every layer of a drawing, in the words of the trade."""

INCH_MM = 25.4
_TEXT_MM = 3.0
_NOTE_MM = 4.0
_NOTE_STEP_MM = 8.0
_JOINT_MM = 3.0
_DASHES_MM = 5.0
_VIEW_RATIO = 1.1
_SCREEN_RATIO = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckDrawing:
    """What a drawing shows; ``metric`` draws in mm, else in inches.  Notes stand below it."""

    sheet: HeadSheet
    rings: tuple[Ring, ...] = ()
    joints: tuple[Joint, ...] = ()
    notes: tuple[str, ...] = ()
    metric: bool = True


def deck_dxf(drawing: DeckDrawing) -> bytes:
    """Draw a deck seen as on its sheet, one drawing unit for one mm or one inch.

    Deck edge, bores, valves, studs and openings, both edges and the centreline of every
    groove, every joint as a short radial line with its cylinder.
    """
    document = new("R2010", setup=["linetypes"])
    scale = 1.0 if drawing.metric else 1.0 / INCH_MM
    document.units = units.MM if drawing.metric else units.IN
    document.header["$MEASUREMENT"] = int(drawing.metric)
    document.header["$LTSCALE"] = _DASHES_MM * scale
    for name in LAYERS:
        line = "CENTER" if name == GROOVE_CENTRELINES else "CONTINUOUS"
        document.layers.add(name, color=_COLOURS[name], linetype=line)
    pen = _Pen(space=document.modelspace(), scale=scale)
    _draw_deck(pen, drawing.sheet)
    for ring in drawing.rings:
        _draw_ring(pen, ring)
    for joint in drawing.joints:
        _draw_joint(pen, joint, rings=drawing.rings)
    _draw_notes(pen, drawing)
    _frame(document, drawing, scale=scale)
    written = StringIO()
    document.write(written)
    return document.encode(written.getvalue())


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pen:
    """Draws lengths in mm into a space of the drawing's own unit."""

    space: Modelspace
    scale: float

    def circle(self, x_mm: float, y_mm: float, diameter_mm: float, layer: str) -> None:
        k = self.scale
        centre, radius = (k * x_mm, k * y_mm), k * diameter_mm / 2.0
        self.space.add_circle(centre, radius, dxfattribs={"layer": layer})

    def hole(self, hole: Cylinder | Valve | Stud | Opening, diameter_mm: float, layer: str) -> None:
        self.circle(hole.x_mm, hole.y_mm, diameter_mm, layer)
        self.text(hole.name, (hole.x_mm, hole.y_mm), NAMES)

    def line(self, start: tuple[float, float], end: tuple[float, float], layer: str) -> None:
        k = self.scale
        first, last = ((k * x, k * y) for x, y in (start, end))
        self.space.add_line(first, last, dxfattribs={"layer": layer})

    def text(
        self, said: str, spot: tuple[float, float], layer: str, *, height_mm: float = _TEXT_MM
    ) -> None:
        k = self.scale
        written = self.space.add_text(
            _one_line(said), height=k * height_mm, dxfattribs={"layer": layer}
        )
        aligned = TextEntityAlignment.LEFT if layer == NOTES else TextEntityAlignment.MIDDLE_CENTER
        written.set_placement((k * spot[0], k * spot[1]), align=aligned)


def _draw_deck(pen: _Pen, sheet: HeadSheet) -> None:
    k = pen.scale
    corners = [(k * x, k * y) for x, y in sheet.outline_mm]
    pen.space.add_lwpolyline(corners, close=True, dxfattribs={"layer": DECK_EDGE})
    for bore in sheet.cylinders:
        pen.hole(bore, bore.bore_mm, BORES)
    for valve in sheet.valves:
        pen.hole(valve, valve.head_diameter_mm, VALVES)
    for stud in sheet.studs:
        pen.hole(stud, stud.diameter_mm, STUDS)
    for opening in sheet.openings:
        pen.hole(opening, opening.diameter_mm, OPENINGS[opening.kind])


def _draw_ring(pen: _Pen, ring: Ring) -> None:
    pen.circle(ring.x_mm, ring.y_mm, ring.diameter_mm, GROOVE_CENTRELINES)
    pen.circle(ring.x_mm, ring.y_mm, 2.0 * ring.inner_mm, GROOVE_EDGES)
    pen.circle(ring.x_mm, ring.y_mm, 2.0 * ring.outer_mm, GROOVE_EDGES)


def _draw_joint(pen: _Pen, joint: Joint, *, rings: tuple[Ring, ...]) -> None:
    """A radial line across the groove and a little past it, with the cylinder's name outside."""
    ring = next(each for each in rings if each.cylinder == joint.cylinder)
    along, across = cos(radians(joint.angle_deg)), sin(radians(joint.angle_deg))

    def out(radius: float) -> tuple[float, float]:
        return ring.x_mm + radius * along, ring.y_mm + radius * across

    pen.line(out(ring.inner_mm - _JOINT_MM), out(ring.outer_mm + _JOINT_MM), RING_JOINTS)
    spot = out(ring.outer_mm + _JOINT_MM + 2.0 * _TEXT_MM)
    pen.text(f"JOINT {joint.cylinder}", spot, RING_JOINTS)


def _draw_notes(pen: _Pen, drawing: DeckDrawing) -> None:
    left, below = _corner(drawing.sheet, min)
    for number, note in enumerate(_notes(drawing), start=1):
        pen.text(note, (left, below - _NOTE_STEP_MM * number), NOTES, height_mm=_NOTE_MM)


def _notes(drawing: DeckDrawing) -> tuple[str, ...]:
    lengths = "mm" if drawing.metric else "inches"
    return (
        f"{drawing.sheet.code}  {drawing.sheet.title}",
        f"Lengths in {lengths}, full size, seen as on the sheet.",
        *drawing.notes,
    )


def _corner(sheet: HeadSheet, end: Callable[[Iterable[float]], float]) -> tuple[float, float]:
    """The lowest or highest corner of the deck's square hull [mm]."""
    return end(x for x, _ in sheet.outline_mm), end(y for _, y in sheet.outline_mm)


def _frame(document: Drawing, drawing: DeckDrawing, *, scale: float) -> None:
    """The drawing's own extents, deck and notes, and a view that opens on all of it."""
    left, below = _corner(drawing.sheet, min)
    right, top = (scale * size for size in _corner(drawing.sheet, max))
    left, below = scale * left, scale * (below - _NOTE_STEP_MM * (len(_notes(drawing)) + 1))
    document.modelspace().reset_extents((left, below, 0.0), (right, top, 0.0))
    document.modelspace().reset_limits((left, below), (right, top))
    document.set_modelspace_vport(
        height=_VIEW_RATIO * max(top - below, (right - left) / _SCREEN_RATIO),
        center=((left + right) / 2.0, (below + top) / 2.0),
    )


def _one_line(said: str) -> str:
    """A text without breaks or control signs, which would end a line of the file."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in said).split())
