"""The groove set-up sheet: grooves from the datum corner, tolerances, joints, boxes to fill."""

from collections.abc import Iterable

from castworthy.actions.errors import DeedRefused
from castworthy.actions.setting.press import Press, facts_of, unit_words
from castworthy.calc.sealing.joint import Joint
from castworthy.calc.sealing.wire import PRACTICES
from castworthy.charts.deck import deck_plan
from castworthy.charts.rings import RingMark
from castworthy.charts.theme import Theme
from castworthy.records.cautions import CUTTING, LAST_WORD
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.ring import PlacedRing, RingDesign, RingPage, ring_page
from castworthy.records.ring_words import (
    PRACTICE,
    cut_sentences,
    design_cautions,
    fit_lines,
    fit_sentence,
    joint_clock,
    joint_words,
    share_sentence,
    wire_words,
)
from castworthy.reports.groove import FitRow, GroovePaper, GrooveRow
from castworthy.reports.parts import Fact
from castworthy.units import Show

CUTTER_PATH = (
    "Turn the cutter round by hand once with the spindle stopped: clear of dowels, clamps and "
    "seats all the way."
)
"""What to look at before a groove is cut.  Common practice, no source."""


def groove_paper(tag: str, *, press: Press) -> GroovePaper:
    """What the groove set-up sheet of a head says.

    Raises
    ------
    DeedRefused
        If the sheet has no sealing ring.

    """
    head, page, show = head_facts(tag), ring_page(tag), press.show
    design = page.design
    if design is None:
        raise DeedRefused(
            f"Sheet {page.sheet.code} says nothing of a sealing ring, so there is no groove to set "
            "up; write it under Sealing ring first.",
            code="ring",
        )
    placed = tuple(each.placed for each in page.cylinders if each.placed is not None)
    total = wire_words(design.wire.total_mm, show=show)
    return GroovePaper(
        imprint=press.imprint,
        tag=tag,
        address=press.address,
        title=head.sheet_title,
        facts=facts_of(head),
        summary=fit_sentence(design, show=show),
        warnings=(*cut_sentences(page, show=show), *design_cautions(page, show=show)),
        datum="x and y from the datum corner of the sheet, seen as on the deck",
        units=unit_words(show),
        deck_svg=_deck(page, placed=placed, show=show),
        cutter=tuple(_cutter(design, show=show)),
        rows=tuple(_row(each, show=show) for each in placed),
        joints=tuple(_joints(placed, show=show)),
        fit=tuple(
            FitRow(name=name, figure=figure, note=note)
            for name, figure, note in fit_lines(design, show=show)
        ),
        share=share_sentence(page),
        wire=f"Wire for the head: {total} for {design.wire.rings_count} rings, cuts included.",
        practices=(PRACTICE, *PRACTICES),
        cautions=(CUTTING, CUTTER_PATH),
        last_word=LAST_WORD,
    )


def _deck(page: RingPage, *, placed: tuple[PlacedRing, ...], show: Show) -> str:
    rings = [
        RingMark(
            x_mm=each.ring.x_mm,
            y_mm=each.ring.y_mm,
            inner_mm=each.ring.inner_mm,
            outer_mm=each.ring.outer_mm,
            joint_deg=each.joint.angle_deg if isinstance(each.joint, Joint) else None,
            title=joint_words(each, show=show),
        )
        for each in placed
    ]
    return deck_plan(page.sheet, theme=Theme.PRINT, rings=rings, show=show)


def _cutter(design: RingDesign, *, show: Show) -> Iterable[Fact]:
    spec = design.spec
    for label, size_mm, tol_mm in (
        ("depth", spec.groove_depth_mm, spec.tol_depth_mm),
        ("width", spec.groove_width_mm, spec.tol_width_mm),
        ("centreline across", spec.groove_diameter_mm, 0.0),
        ("wire", spec.wire_mm, spec.tol_wire_mm),
    ):
        value = show.value(size_mm, suffix="mm")
        if tol_mm > 0.0:
            value += f" ± {show.value(tol_mm, suffix='mm', difference=True)}"
        yield Fact(label=label, value=value)


def _row(placed: PlacedRing, *, show: Show) -> GrooveRow:
    ring, least = placed.ring, placed.lands.smallest

    def size(size_mm: float) -> str:
        return show.number(size_mm, suffix="mm")

    return GrooveRow(
        cylinder=ring.cylinder,
        x=size(ring.x_mm),
        y=size(ring.y_mm),
        inner=size(2.0 * ring.inner_mm),
        outer=size(2.0 * ring.outer_mm),
        joint=joint_clock(placed) or "no clear place",
        stud=placed.joint.stud if isinstance(placed.joint, Joint) else "",
        cut=wire_words(placed.wire.cut_length_mm, show=show),
        land=f"{size(least.land_mm)} to {least.called}",
        left="not read"
        if placed.deck_left_mm is None
        else f"{size(placed.deck_left_mm)} at {placed.thickness_place}",
    )


def _joints(placed: tuple[PlacedRing, ...], *, show: Show) -> Iterable[str]:
    """Why the joints lie where they do, and every ring that has no place for one."""
    found = [each for each in placed if isinstance(each.joint, Joint)]
    if found:
        yield (
            "Joints counter-clockwise from the right, as on the drawing: beside the stud named, "
            "where clamping is greatest, clear of passages and of the narrow lands."
        )
    for each in placed:
        if not isinstance(each.joint, Joint):
            yield joint_words(each, show=show)
