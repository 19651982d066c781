"""The sealing ring of a sheet.

The figures are the trade's own (common practice, no source): a stainless wire of 0.041 in in a
groove 0.032 in deep and 0.038 in wide.
"""

import pytest

from castworthy.calc.ring_spec import RingSpec
from castworthy.calc.sealing.sheet import groove_of
from castworthy.sheets.draft import read_draft
from castworthy.sheets.draft_text import write_draft
from castworthy.sheets.errors import SheetError
from castworthy.sheets.spec import read_sheet
from castworthy.sheets.write import write_sheet
from factories.sheet_texts import SMALL

RING = """
[ring]
wire = 0.041
groove_depth = 0.032
groove_width = 0.038
groove_diameter = 4.2
tol_wire = 0.0002
tol_depth = "0.5 thou"
tol_width = "0.01 mm"
fire_ring = 4.35
insert_wall = 0.1
source = "ring maker's card 12"
"""
LEAST = """
[ring]
wire = 0.041
groove_depth = 0.032
groove_width = 0.038
groove_diameter = 4.2
"""


def test_every_figure_is_read_in_its_unit() -> None:
    ring = read_sheet(SMALL + RING).ring
    assert ring is not None
    groove = groove_of(ring)
    sizes = (groove.wire_mm, groove.depth_mm, groove.width_mm, groove.diameter_mm)
    assert sizes == pytest.approx((1.0414, 0.8128, 0.9652, 106.68))
    assert ring.tol_depth_mm == pytest.approx(0.0127)
    assert ring.tol_width_mm == pytest.approx(0.01)
    assert ring.fire_ring_mm == pytest.approx(110.49)
    assert ring.insert_wall_mm == pytest.approx(2.54)
    assert ring.source == "ring maker's card 12"


def test_what_is_left_out_is_nothing_and_the_source_is_the_heads() -> None:
    ring = read_sheet(SMALL + LEAST).ring
    assert isinstance(ring, RingSpec)
    assert (ring.tol_wire_mm, ring.insert_wall_mm, ring.fire_ring_mm) == (0.0, 0.0, None)
    assert ring.source == "invented for the tests"


def test_a_sheet_without_a_ring_has_none() -> None:
    assert read_sheet(SMALL).ring is None


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("text", [RING, LEAST])
def test_written_and_read_back_it_is_the_same(unit: str, text: str) -> None:
    sheet = read_sheet(SMALL + text)
    assert read_sheet(write_sheet(sheet, unit=unit)) == sheet


def test_the_form_keeps_it() -> None:
    draft = read_draft(SMALL + RING)
    assert draft.section("ring")["groove_depth"] == "0.032"
    assert read_sheet(write_draft(draft)).ring == read_sheet(SMALL + RING).ring


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("wire = 0.041", "", "wire"),
        ("groove_depth = 0.032", "groove_depth = 0", "groove_depth"),
        ("groove_diameter = 4.2", "groove_diameter = 2.1", "outside the bore of cylinder"),
        ("groove_width = 0.038", "groove_width = 4.2", "narrower than its own diameter"),
        ("tol_wire = 0.0002", "tol_wire = 0.041", "smaller than wire itself"),
        ("tol_wire = 0.0002", "tol_wire = -0.0002", "tol_wire"),
        ("insert_wall", "insert_walls", "insert_wall"),
        ('"0.5 thou"', '"0.5 psi"', "psi"),
    ],
)
def test_what_is_refused(old: str, new: str, says: str) -> None:
    with pytest.raises(SheetError, match=says):
        read_sheet(SMALL + RING.replace(old, new, 1))
