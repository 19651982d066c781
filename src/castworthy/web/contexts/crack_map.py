"""Cracks on the deck: the map with a mark at every place found, and the rows to add one."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.head import HeadSheet
from castworthy.charts.deck import deck_plan
from castworthy.charts.spots import found_marks
from castworthy.records.crack_places import CrackPlace, CrackTyped, crack_places, named_spots
from castworthy.records.proving import Tested, TestKind
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class CrackSeen:
    """One place found; ``number`` is its mark on the map."""

    number: int
    words: str
    photo: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class CrackMap:
    """The map with its places; ``spots`` is what a tap on it may mean, as JSON."""

    drawn: SafeString
    seen: tuple[CrackSeen, ...]
    spots: str
    names: tuple[str, ...]
    unit_words: str
    unit_mm: float


def crack_map(sheet: HeadSheet, *, tests: Iterable[Tested], show: Show) -> CrackMap:
    """The map of a deck with what some crack checks found."""
    found = [(test, place) for test in tests for place in crack_places(test) if place.where]
    spots = named_spots(sheet)
    return CrackMap(
        drawn=_drawn(sheet, [place for _, place in found]),
        seen=tuple(
            CrackSeen(
                number=number,
                words=place.words,
                photo=place.photo,
                by=test.by,
                at=test.at,
            )
            for number, (test, place) in enumerate(found, start=1)
        ),
        spots=json.dumps([[each.words, each.x_mm, each.y_mm, each.reach_mm] for each in spots]),
        names=tuple(each.words for each in spots),
        unit_words="millimetres" if show.metric else "inches",
        unit_mm=1.0 if show.metric else 25.4,
    )


def rows_typed(
    *, places: Sequence[str], found: Sequence[str], photos: Sequence[str]
) -> tuple[CrackTyped, ...]:
    """The places of a form, one row each, fields that were not sent empty."""
    count = max(len(places), len(found), len(photos))
    columns = [[*column, *[""] * (count - len(column))] for column in (places, found, photos)]
    return tuple(
        CrackTyped(where=where, found=what, photo=photo)
        for where, what, photo in zip(*columns, strict=True)
    )


def cracks_found(history: Iterable[Tested]) -> tuple[Tested, ...]:
    """The crack checks that found something at a place."""
    return tuple(
        test
        for test in history
        if test.kind is TestKind.CRACK and any(place.where for place in crack_places(test))
    )


def _drawn(sheet: HeadSheet, places: Sequence[CrackPlace]) -> SafeString:
    marks = found_marks(((each.words, each.spot_mm) for each in places), title="crack")
    drawn = deck_plan(sheet, marks=marks, named=True)
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes
