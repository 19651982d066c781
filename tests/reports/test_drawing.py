"""The DXF drawing read back: every length where the sheet has it, nothing to repair."""

import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO, StringIO
from math import cos, radians, sin

import ezdxf
import pytest
from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.math import Vec2

from castworthy.calc.head import HeadSheet
from castworthy.calc.sealing.joint import Joint, joint_of
from castworthy.calc.sealing.lands import lands_of
from castworthy.calc.sealing.wire import rings_of
from castworthy.reports import drawing as layers
from castworthy.reports.drawing import LAYERS, OPENINGS, DeckDrawing, deck_dxf
from castworthy.sheets.spec import read_sheet
from factories.sheet_texts import SMALL

STUDS_AND_WATER = """
[[stud]]
name = "S1"
x = 1.0
y = 1.0
diameter = 0.5

[[stud]]
name = "S2"
x = 11.0
y = 6.0
diameter = 0.5

[[opening]]
name = "W1"
kind = "coolant"
x = 6.0
y = 6.2
diameter = 0.4

[[opening]]
name = "O1"
kind = "oil"
x = 6.0
y = 0.6
diameter = 0.3
"""


@pytest.fixture
def head() -> HeadSheet:
    return read_sheet(SMALL + STUDS_AND_WATER)


@pytest.fixture
def drawn(head: HeadSheet) -> DeckDrawing:
    rings = rings_of(head, diameter_mm=110.0, width_mm=1.14)
    lands = lands_of(head, rings=rings)
    joints = [joint_of(ring, sheet=head, lands=own) for ring, own in zip(rings, lands, strict=True)]
    assert all(isinstance(joint, Joint) for joint in joints)
    return DeckDrawing(sheet=head, rings=rings, joints=tuple(joints), notes=("Groove 0.97 deep",))


def opened(written: bytes) -> Drawing:
    return ezdxf.read(StringIO(written.decode("utf-8")))


def circles(document: Drawing, layer: str) -> list[tuple[float, float, float]]:
    """Centre and diameter of every circle of a layer, in the drawing's unit."""
    return sorted(
        (c.dxf.center.x, c.dxf.center.y, 2 * c.dxf.radius)
        for c in document.modelspace().query(f'CIRCLE[layer=="{layer}"]')
    )


def near(rows: list[tuple[float, ...]]) -> list[object]:
    return [pytest.approx(row, abs=1e-9) for row in sorted(rows)]


@pytest.mark.parametrize(("metric", "unit_mm"), [(True, 1.0), (False, 25.4)])
def test_every_length_is_where_the_sheet_has_it(
    drawn: DeckDrawing, metric: bool, unit_mm: float
) -> None:
    document = opened(deck_dxf(replace(drawn, metric=metric)))
    sheet, u = drawn.sheet, unit_mm

    def rows(things: tuple, size: Callable[..., float]) -> list[tuple[float, ...]]:
        return [(t.x_mm / u, t.y_mm / u, size(t) / u) for t in things]

    expected = {
        layers.BORES: rows(sheet.cylinders, lambda c: c.bore_mm),
        layers.VALVES: rows(sheet.valves, lambda v: v.head_diameter_mm),
        layers.STUDS: rows(sheet.studs, lambda s: s.diameter_mm),
        layers.GROOVE_CENTRELINES: rows(drawn.rings, lambda r: 110.0),
        layers.GROOVE_EDGES: [
            *rows(drawn.rings, lambda r: 110.0 - 1.14),
            *rows(drawn.rings, lambda r: 110.0 + 1.14),
        ],
        **{
            layer: rows(tuple(o for o in sheet.openings if o.kind is kind), lambda o: o.diameter_mm)
            for kind, layer in OPENINGS.items()
        },
    }
    for layer, wanted in expected.items():
        assert circles(document, layer) == near(wanted)
    (edge,) = document.modelspace().query(f'LWPOLYLINE[layer=="{layers.DECK_EDGE}"]')
    assert edge.closed
    corners = [tuple(point) for point in edge.get_points("xy")]
    assert corners == [pytest.approx((x / u, y / u)) for x, y in sheet.outline_mm]


@pytest.mark.parametrize(("metric", "code", "unit_mm"), [(True, 4, 1.0), (False, 1, 25.4)])
def test_the_header_says_the_unit(
    drawn: DeckDrawing, metric: bool, code: int, unit_mm: float
) -> None:
    """$INSUNITS 1 is inches and 4 millimetres (DXF reference, header section)."""
    document = opened(deck_dxf(replace(drawn, metric=metric)))

    assert document.header["$INSUNITS"] == code
    assert document.header["$MEASUREMENT"] == int(metric)
    assert document.header["$EXTMAX"] == pytest.approx((304.8 / unit_mm, 177.8 / unit_mm, 0.0))


def test_joints_cross_their_grooves_along_the_radius(drawn: DeckDrawing) -> None:
    document = opened(deck_dxf(drawn))
    lines = list(document.modelspace().query(f'LINE[layer=="{layers.RING_JOINTS}"]'))
    texts = document.modelspace().query(f'TEXT[layer=="{layers.RING_JOINTS}"]')

    assert [text.dxf.text for text in texts] == ["JOINT 1", "JOINT 2"]
    for line, joint, ring in zip(lines, drawn.joints, drawn.rings, strict=True):
        middle = Vec2(ring.x_mm, ring.y_mm)
        start, end = Vec2(line.dxf.start) - middle, Vec2(line.dxf.end) - middle
        along = Vec2(cos(radians(joint.angle_deg)), sin(radians(joint.angle_deg)))
        assert start.magnitude < ring.inner_mm < ring.outer_mm < end.magnitude
        assert start.normalize().isclose(along, abs_tol=1e-9)
        assert end.normalize().isclose(along, abs_tol=1e-9)
        assert (along * ring.diameter_mm / 2 + middle).isclose(
            Vec2(joint.x_mm, joint.y_mm), abs_tol=1e-9
        )


def test_layers_in_trade_words_and_nothing_elsewhere(drawn: DeckDrawing) -> None:
    document = opened(deck_dxf(drawn))
    used = Counter(entity.dxf.layer for entity in document.modelspace())

    assert set(used) <= set(LAYERS)
    assert {layer.dxf.name for layer in document.layers} >= set(LAYERS)
    assert document.layers.get(layers.GROOVE_CENTRELINES).dxf.linetype == "CENTER"
    assert used[layers.NOTES] == 3
    names = {t.dxf.text for t in document.modelspace().query(f'TEXT[layer=="{layers.NAMES}"]')}
    assert names == {"1", "2", "1A", "1B", "2A", "2B", "S1", "S2", "W1", "O1"}


def test_nothing_to_repair(drawn: DeckDrawing) -> None:
    written = deck_dxf(drawn)
    document = opened(written)
    audited = document.audit()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        _, recovered = recover.read(BytesIO(written))

    assert (audited.errors, audited.fixes) == ([], [])
    assert (recovered.errors, recovered.fixes) == ([], [])


def test_names_with_breaks_and_foreign_signs_keep_the_file_whole(drawn: DeckDrawing) -> None:
    sheet = replace(drawn.sheet, title="Fen\n0\nEOF\r – Zylinder ø 2\x00")
    document = opened(deck_dxf(replace(drawn, sheet=sheet)))
    notes = [t.dxf.text for t in document.modelspace().query(f'TEXT[layer=="{layers.NOTES}"]')]

    assert notes[0] == "F2 Fen 0 EOF – Zylinder ø 2"
    assert document.audit().errors == []


def test_a_deck_without_rings(head: HeadSheet) -> None:
    document = opened(deck_dxf(DeckDrawing(sheet=head)))

    assert circles(document, layers.GROOVE_EDGES) == []
    assert len(circles(document, layers.BORES)) == 2
