"""Deeds about a deck's form: a scan taken in, feeler gaps kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from math import sqrt
from pathlib import PurePath
from typing import Any
from uuid import uuid4

import numpy as np
from django.core.files.base import ContentFile
from scipy.spatial import cKDTree

from castworthy import __version__
from castworthy.actions.deed import WORKERS, check_role, deed, head_for_work
from castworthy.actions.entry import judged_json, store_taken
from castworthy.actions.errors import DeedRefused
from castworthy.actions.settle import settle
from castworthy.calc.deck.derive import FROM_HEIGHTS
from castworthy.calc.deck.feeler import FeelerFlatness, Gap, feeler_flatness, feeler_sentence
from castworthy.calc.deck.form import DeckForm, Heights
from castworthy.calc.deck.survey import form_of
from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.heights import HeightsFile, read_heights
from castworthy.records.errors import printable
from castworthy.records.measured import Taken, worked_of
from castworthy.records.models import Gauge, Head, Person, Scan
from castworthy.records.standing import judge_once
from castworthy.records.to_calc import fits, gauge_of, sheet_for
from castworthy.units import Show

LARGEST_BYTES = 48 * 1024 * 1024
"""Largest scan taken in at the page; the command line reads larger ones."""
_OFF_RATIO = 0.02
_ROOM_MM = 5.0
_NEAR_COUNT = 8
_REACH_MM = 12.0
_UM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanTaken:
    """What a scan gave: readings written, what its reader noted and what is asked about it."""

    readings_count: int
    form: DeckForm
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Figure:
    """One reading worked out."""

    quantity: Quantity
    place: str
    value_mm: float
    u_mm: float | None


def take_scan(*, tag: str, name: str, content: bytes, by: Person, gauge: str = "") -> ScanTaken:
    """Take in the heights of a whole deck from a file and judge its form.

    The grid places of the sheet get the mean of the points about them, flatness and local flatness
    are of all points.  ``gauge`` is the name of the instrument.

    Raises
    ------
    DeedRefused
        If the file cannot be read, lies off the deck, or cannot be judged.

    """
    check_role(by, may=WORKERS)
    read = _read(name, content)
    with deed("scan taken", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        _refuse_off(read.heights, sheet=sheet, name=name)
        row = _gauge(gauge) if gauge else None
        u_mm = None if row is None else gauge_of(row, suffix="mm").u
        form = _form(read.heights, sheet=sheet, u_mm=u_mm, by=by)
        scan = _row(head, name=name, content=content, read=read, form=form, gauge=row, by=by)
        scan.at = told.at
        try:
            scan.save()
        except BaseException:
            scan.file.delete(save=False)
            raise
        figures = [*_grid(read.heights, sheet=sheet, u_mm=u_mm), *_flat(form, sheet=sheet)]
        why = f"from scan {scan.file_name}"[:200]
        for figure in figures:
            _write(figure, head=head, sheet=sheet, gauge=row, why=why, by=by, at=told.at)
        settle(head, at=told.at)
        told.about(head=head, subject=scan.file_name, points=scan.points_count)
    return ScanTaken(readings_count=len(figures), form=form, notes=(*read.notes, *form.warnings))


def keep_feeler(*, tag: str, gaps: Sequence[Gap], by: Person) -> str:
    """Keep what straightedge and feeler say of flatness: between two bounds.

    The reading is the middle of the bounds, its uncertainty that of an even spread between
    them.  Answers the sentence of the verdict.

    Raises
    ------
    DeedRefused
        If nothing bounds the flatness from above, or there is no such head.

    """
    with deed("feeler gaps kept", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        try:
            found = feeler_flatness(gaps)
        except ValueError as fault:
            raise DeedRefused(str(fault), field="goes") from fault
        if found.high_um is None:
            raise DeedRefused(
                "On one line no leaf was tried that stops, so the gap has no upper bound; try a "
                "thicker leaf.",
                field="stops",
            )
        figure = _Figure(
            quantity=Quantity.FLATNESS,
            place="",
            value_mm=(found.low_um + found.high_um) / 2 / _UM,
            u_mm=(found.high_um - found.low_um) / (2 * sqrt(3.0)) / _UM or None,
        )
        show = Show(length=by.show_length)
        why = f"straightedge and feeler: {_between(found, show=show)}"[:200]
        _write(figure, head=head, sheet=sheet, gauge=None, why=why, by=by, at=told.at)
        settle(head, at=told.at)
        told.about(head=head, subject="flatness", between=_between(found, show=show))
        return _feeler_words(found, gaps=gaps, sheet=sheet, show=show)


def _feeler_words(
    found: FeelerFlatness, *, gaps: Sequence[Gap], sheet: HeadSheet, show: Show
) -> str:
    limit = sheet.limit_for(Quantity.FLATNESS)
    if limit is None or limit.high is None:
        return f"Flatness {_between(found, show=show)}."
    steps = [g.stops_mm - g.goes_mm for g in gaps if g.stops_mm is not None]
    return feeler_sentence(
        found, high_mm=limit.high, leaf_step_mm=min(steps) if steps else None, show=show
    )


def _between(found: FeelerFlatness, *, show: Show) -> str:
    low = show.number(found.low_um / _UM, suffix="mm", difference=True)
    high = show.value((found.high_um or 0.0) / _UM, suffix="mm", difference=True)
    return f"between {low} and {high}"


def _read(name: str, content: bytes) -> HeightsFile:
    if len(content) > LARGEST_BYTES:
        raise DeedRefused(
            f"{name} is larger than {LARGEST_BYTES // 1024**2} MB; read it with castworthy deck on "
            "the command line.",
            field="scan",
        )
    try:
        return read_heights(content, file=name)
    except InstrumentError as fault:
        raise DeedRefused(str(fault), field="scan") from fault


def _refuse_off(heights: Heights, *, sheet: HeadSheet, name: str) -> None:
    xs = [x for x, _ in sheet.outline_mm]
    ys = [y for _, y in sheet.outline_mm]
    off = (
        (heights.x_mm < min(xs) - _ROOM_MM)
        | (heights.x_mm > max(xs) + _ROOM_MM)
        | (heights.y_mm < min(ys) - _ROOM_MM)
        | (heights.y_mm > max(ys) + _ROOM_MM)
    )
    if off.mean() > _OFF_RATIO:
        raise DeedRefused(
            f"{off.mean():.0%} of the points of {name} lie off the deck of sheet {sheet.code}; its "
            "x and y must be those of the sheet. Shift it, or choose another head.",
            field="scan",
        )


def _form(heights: Heights, *, sheet: HeadSheet, u_mm: float | None, by: Person) -> DeckForm:
    limit = sheet.limit_for(Quantity.LOCAL_FLATNESS)
    form = form_of(
        heights,
        windows_mm=() if limit is None or limit.span_mm is None else (limit.span_mm,),
        largest_tilt_ratio=sheet.work.largest_tilt_ratio,
        u_height_mm=u_mm,
        show=Show(length=by.show_length),
    )
    if isinstance(form, Refused):
        raise DeedRefused(form.sentence, field="scan")
    return form


def _row(
    head: Head,
    *,
    name: str,
    content: bytes,
    read: HeightsFile,
    form: DeckForm,
    gauge: Gauge | None,
    by: Person,
) -> Scan:
    uuid = uuid4()
    scan = Scan(
        uuid=uuid,
        head=head,
        file_name=printable(PurePath(name).name)[:120],
        digest=sha256(content).hexdigest(),
        points_count=len(read.heights.z_mm),
        gauge=gauge,
        result={
            "flatness_um": form.flatness_um,
            "cleanup_level_mm": form.cleanup_level.cut_mm,
            "sentence": form.shape.sentence,
        },
        software=__version__,
        operations_done_count=_done_count(head),
        by=by,
    )
    scan.file.save(f"{uuid}.scan", ContentFile(content), save=False)
    return scan


def _grid(heights: Heights, *, sheet: HeadSheet, u_mm: float | None) -> list[_Figure]:
    """Height at every grid place: the mean of the points about it; none where there are none."""
    places = sheet.sites_of(Quantity.HEIGHT)
    tree = cKDTree(np.column_stack((heights.x_mm, heights.y_mm)))
    figures = []
    for place in places:
        spot = sheet.spot_mm(Quantity.HEIGHT, place=place)
        away, at = tree.query(spot, k=min(_NEAR_COUNT, len(heights.z_mm)))
        near = np.atleast_1d(at)[np.atleast_1d(away) <= _REACH_MM]
        if near.size:
            value_mm = float(heights.z_mm[near].mean())
            figures.append(
                _Figure(quantity=Quantity.HEIGHT, place=place, value_mm=value_mm, u_mm=u_mm)
            )
    return figures


def _flat(form: DeckForm, *, sheet: HeadSheet) -> list[_Figure]:
    u_mm = None if form.u_flatness_um is None else form.u_flatness_um / _UM
    values = {Quantity.FLATNESS: form.flatness_um}
    if form.local:
        values[Quantity.LOCAL_FLATNESS] = form.local[0].flatness_um
    return [
        _Figure(quantity=quantity, place="", value_mm=values[quantity] / _UM, u_mm=u_mm)
        for quantity in FROM_HEIGHTS
        if quantity in values and sheet.limit_for(quantity) is not None
    ]


def _write(
    figure: _Figure,
    *,
    head: Head,
    sheet: HeadSheet,
    gauge: Gauge | None,
    why: str,
    by: Person,
    at: Any,
) -> None:
    show = Show(length=by.show_length)
    limit = sheet.limit_for(figure.quantity, place=figure.place)
    reading = Reading(
        quantity=figure.quantity, place=figure.place, value=figure.value_mm, u=figure.u_mm
    )
    judged = (
        None if limit is None else judge_once(reading, limit, sheet.work.confidence_probability)
    )
    digits = 4 if show.metric else 5
    taken = Taken(
        id=0,
        uuid=uuid4(),
        quantity=figure.quantity,
        place=figure.place,
        typed=show.number(figure.value_mm, suffix=FACTS[figure.quantity].suffix, digits=digits),
        unit=show.unit("mm"),
        side="",
        value=figure.value_mm,
        u=figure.u_mm,
        u_bias=0.0,
        resolution=None,
        gauge_id=gauge.pk if gauge else None,
        gauge=gauge.name if gauge else "",
        gauge_overdue=bool(gauge and gauge.calibrated_until and gauge.calibrated_until < at.date()),
        epoch=_done_count(head),
        replaces_id=None,
        replaced=False,
        why=why,
        slip_kept="",
        alone=True,
        judged={},
        by=str(by),
        at=at,
    )
    store_taken(taken, head=head, judged=judged_json(judged, revision=head.revision.number), by=by)


def _done_count(head: Head) -> int:
    return max((each.number for each in worked_of(head)), default=0)


def _gauge(name: str) -> Gauge:
    row = Gauge.objects.filter(name=printable(name)).first()
    if row is None or row.retired or not fits(row, suffix="mm"):
        raise DeedRefused(
            f"{name!r} is no gauge that reads heights; choose one of the list.", field="gauge"
        )
    return row
