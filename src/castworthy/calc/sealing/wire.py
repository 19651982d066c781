"""The rings of a head and the wire they take."""

from collections.abc import Sequence
from dataclasses import dataclass

from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet
from castworthy.calc.sealing.groove import FILING_MM, KERF_MM, cut_length_mm, ring_length_mm

PRACTICES = (
    "File both ends square and deburr them; leave the wire long rather than short and try it until "
    "the ends just meet.",
    "Start the joint beside a stud or head bolt: clamping is greatest there.",
    "Tap the wire in with a soft tool; a hard hammer dents it and makes a leak path.",
    "Read the stand at four places and on both sides of the joint.",
    "Do not surface the deck again with the ring in: the groove would have to be recut.",
)
"""How a ring is fitted.  Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """The groove of one cylinder on the deck [mm]: centre, centreline diameter, width."""

    cylinder: str
    x_mm: float
    y_mm: float
    diameter_mm: float
    width_mm: float

    @property
    def inner_mm(self) -> float:
        """Radius of the inner edge [mm]."""
        return (self.diameter_mm - self.width_mm) / 2.0

    @property
    def outer_mm(self) -> float:
        """Radius of the outer edge [mm]."""
        return (self.diameter_mm + self.width_mm) / 2.0


def rings_of(sheet: HeadSheet, *, diameter_mm: float, width_mm: float) -> tuple[Ring, ...]:
    """One groove round every cylinder of a head.

    Parameters
    ----------
    sheet
        the head
    diameter_mm, width_mm
        centreline diameter and width of each groove [mm], scalars, > 0

    Returns
    -------
    tuple of Ring
        in the sheet's order of cylinders

    Raises
    ------
    InputError
        If a size is not positive or the groove is wider than its diameter.

    References
    ----------
    Common practice, no source.

    """
    if not 0.0 < width_mm < diameter_mm:
        raise InputError(
            f"A groove's width is above 0 mm and below its diameter, got {width_mm:g} and "
            f"{diameter_mm:g} mm."
        )
    return tuple(
        Ring(
            cylinder=each.name,
            x_mm=each.x_mm,
            y_mm=each.y_mm,
            diameter_mm=diameter_mm,
            width_mm=width_mm,
        )
        for each in sheet.cylinders
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WireRow:
    """The wire of one ring [mm]."""

    cylinder: str
    ring_length_mm: float
    cut_length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WireList:
    """The wire of a head: one row a ring, spares, and the length to have at hand [mm]."""

    rows: tuple[WireRow, ...]
    spare_count: int
    total_mm: float

    @property
    def rings_count(self) -> int:
        """Rings to cut, spares included."""
        return len(self.rows) + self.spare_count


def wire_list(
    rings: Sequence[Ring],
    *,
    gap_mm: float = 0.0,
    filing_mm: float = FILING_MM,
    kerf_mm: float = KERF_MM,
    spare_count: int = 0,
) -> WireList:
    """Lengths of wire for every ring of a head, and in all.

    Parameters
    ----------
    rings
        the grooves of the head
    gap_mm, filing_mm
        gap between the ends and what is filed off them, per ring [mm], scalars, >= 0
    kerf_mm
        wire lost at each cut [mm], scalar, >= 0
    spare_count
        rings cut beside those of the head [-]; a spare is as long as the longest

    Returns
    -------
    WireList
        finished and cut length of each ring; the total with a kerf for every ring [mm]

    Raises
    ------
    InputError
        If there is no ring, or a length or the number of spares is negative.

    References
    ----------
    Common practice, no source.

    """
    if not rings or kerf_mm < 0.0 or spare_count < 0:
        raise InputError(
            "A wire list needs at least one ring, and no negative kerf or spares, got "
            f"{len(rings)} rings, {kerf_mm:g} mm and {spare_count} spares."
        )
    rows = tuple(
        WireRow(
            cylinder=ring.cylinder,
            ring_length_mm=ring_length_mm(ring.diameter_mm, gap_mm=gap_mm),
            cut_length_mm=cut_length_mm(ring.diameter_mm, gap_mm=gap_mm, filing_mm=filing_mm),
        )
        for ring in rings
    )
    longest = max(row.cut_length_mm for row in rows)
    cut = sum(row.cut_length_mm for row in rows) + spare_count * longest
    return WireList(
        rows=rows,
        spare_count=spare_count,
        total_mm=cut + (len(rows) + spare_count) * kerf_mm,
    )
