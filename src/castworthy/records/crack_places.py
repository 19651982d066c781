"""Where on a deck cracks were found: a valve, a stud, a cylinder, an opening, or a spot."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import hypot
from typing import Any

from castworthy.calc.head import HeadSheet
from castworthy.records.proving import Tested
from castworthy.sheets.outline import inside
from castworthy.units import Show, convert

_SPOT = re.compile(
    r"^\s*([+-]?\d*\.?\d+)\s*[,;\s]\s*([+-]?\d*\.?\d+)\s*(mm|in|\")?\s*$", re.IGNORECASE
)
_STUD_REACH = 1.5
"""A tap this many radii from a stud's centre means the stud."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedSpot:
    """A place of the sheet by its spoken name; ``reach_mm`` is how near a tap means it."""

    name: str
    words: str
    x_mm: float
    y_mm: float
    reach_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CrackTyped:
    """One place as a person gave it: where, what was found there, the uuid of a photo."""

    where: str = ""
    found: str = ""
    photo: str = ""

    @property
    def blank(self) -> bool:
        """True when nothing was given."""
        return not (self.where.strip() or self.found.strip() or self.photo.strip())


@dataclass(frozen=True, slots=True, kw_only=True)
class CrackPlace:
    """One place on record; ``spot_mm`` is ``None`` where it was only put in words."""

    where: str
    found: str
    photo: str
    spot_mm: tuple[float, float] | None

    @property
    def words(self) -> str:
        """Where and what: ``2B exhaust seat: 14 mm long``."""
        return ": ".join(part for part in (self.where, self.found) if part)

    @property
    def stored(self) -> dict[str, Any]:
        """The place as a test's conditions keep it."""
        x_mm, y_mm = self.spot_mm or (None, None)
        return {
            "where": self.where,
            "found": self.found,
            "photo": self.photo,
            "x_mm": x_mm,
            "y_mm": y_mm,
        }


class SpotFault(ValueError):  # noqa: N818
    """A spot that is none of the deck, in one sentence."""


def named_spots(sheet: HeadSheet) -> tuple[NamedSpot, ...]:
    """The places of a deck that have a name, seats before studs, openings and cylinders."""
    seats = (
        NamedSpot(
            name=valve.name,
            words=f"{valve.name} {valve.kind.value} seat",
            x_mm=valve.x_mm,
            y_mm=valve.y_mm,
            reach_mm=valve.head_diameter_mm / 2,
        )
        for valve in sheet.valves
    )
    studs = (
        NamedSpot(
            name=stud.name,
            words=f"stud {stud.name}",
            x_mm=stud.x_mm,
            y_mm=stud.y_mm,
            reach_mm=_STUD_REACH * stud.diameter_mm / 2,
        )
        for stud in sheet.studs
    )
    bores = (
        NamedSpot(
            name=cylinder.name,
            words=f"cylinder {cylinder.name}",
            x_mm=cylinder.x_mm,
            y_mm=cylinder.y_mm,
            reach_mm=0.0,
        )
        for cylinder in sheet.cylinders
    )
    return (*seats, *studs, *bores)


def crack_place(typed: CrackTyped, *, sheet: HeadSheet, show: Show) -> CrackPlace:
    """A place with its spot on the deck, where the words name one.

    Raises
    ------
    SpotFault
        If the spot lies off the deck.

    """
    where, spot_mm = _located(typed.where.strip(), sheet=sheet, show=show)
    return CrackPlace(
        where=where, found=typed.found.strip(), photo=typed.photo.strip(), spot_mm=spot_mm
    )


def crack_places(test: Tested | None) -> tuple[CrackPlace, ...]:
    """The places of a crack check on record."""
    return places_of(() if test is None else test.conditions.get("places", ()))


def places_of(stored: Iterable[Mapping[str, Any]]) -> tuple[CrackPlace, ...]:
    """Places as a test's conditions keep them."""
    return tuple(
        CrackPlace(
            where=each["where"],
            found=each["found"],
            photo=each["photo"],
            spot_mm=None if each["x_mm"] is None else (each["x_mm"], each["y_mm"]),
        )
        for each in stored
    )


def _located(typed: str, *, sheet: HeadSheet, show: Show) -> tuple[str, tuple[float, float] | None]:
    spots = named_spots(sheet)
    said = typed.casefold()
    for spot in spots:
        if said in {spot.words.casefold(), spot.name.casefold()}:
            return spot.words, (spot.x_mm, spot.y_mm)
    found = _SPOT.match(typed)
    if found is None:
        return typed, None
    unit = {'"': "in", "": show.unit("mm")}.get((found[3] or "").lower(), (found[3] or "").lower())
    x_mm, y_mm = (convert(float(found[at]), unit=unit, suffix="mm") for at in (1, 2))
    if not inside(x_mm=x_mm, y_mm=y_mm, corners_mm=sheet.outline_mm):
        raise SpotFault(
            f"{typed} {'' if found[3] else unit + ' '}lies off the deck; tap the map or choose a "
            "valve."
        )
    near = min(spots, key=lambda spot: hypot(spot.x_mm - x_mm, spot.y_mm - y_mm), default=None)
    words = f"{found[1]}, {found[2]} {unit}"
    return (words if near is None else f"{words}, near {near.words}"), (x_mm, y_mm)
