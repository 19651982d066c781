"""The marks on a deck: a verdict's shape and its figure at each place."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.charts.shapes import hatch_round, shape, strike
from castworthy.charts.svg import clean, element, number, text, width_of
from castworthy.charts.theme import HOOKS, Ink

_TARGET_PX = 22.0
_PLACE_PX = 11.0
_SMALLEST_PX = 6.5
_WORST_FIRST = (Verdict.OUTSIDE, Verdict.CLOSE, Verdict.MISSING, Verdict.INSIDE)


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckMark:
    """What is known at one place: its verdict and the figure to write there.

    ``ringed`` is what is to be measured next; ``stale`` a reading that later work has made a
    reading of the past.  ``href`` makes the mark a link.  ``spot_mm`` puts it at a point of its
    own, for what is measured at no place of the sheet; ``title`` says what it is where that is no
    quantity.
    """

    quantity: Quantity
    place: str
    verdict: Verdict
    text: str = ""
    href: str = ""
    ringed: bool = False
    stale: bool = False
    spot_mm: tuple[float, float] | None = None
    title: str = ""

    @property
    def site(self) -> Site:
        """What kind of place it is at."""
        return FACTS[self.quantity].site if self.spot_mm is None else Site.HEIGHT


def found_marks(
    places: Iterable[tuple[str, tuple[float, float] | None]], *, title: str
) -> list[DeckMark]:
    """Marks numbered from 1 at the places where something was found, by their words.

    A place that is nowhere on the deck (``None``) has a number and no mark.
    """
    return [
        DeckMark(
            quantity=Quantity.PRESSURE_HOLD,
            place=f"{number}. {words}",
            verdict=Verdict.OUTSIDE,
            text=str(number),
            spot_mm=spot_mm,
            title=title,
        )
        for number, (words, spot_mm) in enumerate(places, start=1)
        if spot_mm is not None
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A mark in its place on the drawing; ``room`` is how far it is to the next mark [mm]."""

    mark: DeckMark
    others: tuple[DeckMark, ...]
    x: float
    y: float
    radius: float
    room: float

    @property
    def site(self) -> Site:
        """What kind of place it is."""
        return self.mark.site


def spots_of(sheet: HeadSheet, *, marks: Sequence[DeckMark], px_mm: float) -> list[Spot]:
    """The marks that have a place of their own, the worst one where several share it."""
    shared: dict[tuple[Site, str], list[DeckMark]] = {}
    for mark in marks:
        shared.setdefault((mark.site, mark.place), []).append(mark)
    placed = []
    for (site, place), group in shared.items():
        if site is Site.HEAD:
            continue
        group.sort(key=lambda mark: (not mark.ringed, _WORST_FIRST.index(mark.verdict)))
        x, y = group[0].spot_mm or sheet.spot_mm(group[0].quantity, place=place)
        placed.append((group, x, -y, _radius(sheet, site, place, px_mm)))
    centres = [(x, y) for _, x, y, _ in placed]
    return [
        Spot(mark=group[0], others=tuple(group[1:]), x=x, y=y, radius=radius, room=room)
        for (group, x, y, radius), room in zip(placed, _rooms(centres), strict=True)
    ]


def spoken(mark: DeckMark) -> str:
    """A mark in words: where, what, the figure, the verdict."""
    facts = FACTS[mark.quantity]
    if mark.title:
        return f"{mark.title} {mark.place}".strip()
    where = f"{mark.place} {facts.title.lower()}" if mark.place else facts.title
    figure = f" {mark.text}" if mark.text and mark.text != mark.place else ""
    past = ", before later work" if mark.stale else ""
    following = ", next" if mark.ringed else ""
    return f"{where}{figure}, {mark.verdict.value}{past}{following}"


def draw_spot(spot: Spot, *, px_mm: float, ink: Ink) -> str:
    """One mark with its shape, its figure and its target for a finger."""
    mark = spot.mark
    parts = [element("title", clean("; ".join(spoken(m) for m in (mark, *spot.others))))]
    if mark.ringed:
        parts.append(_ring(spot, px_mm=px_mm, ink=ink))
    draw = _in_round if spot.site is Site.VALVE else _at_point
    parts += draw(spot, px_mm=px_mm, ink=ink)
    parts.append(_target(spot, px_mm=px_mm))
    return wrap(mark, *parts)


def wrap(mark: DeckMark, *parts: str) -> str:
    """A mark's pieces as a link where it leads somewhere, as a group where it does not."""
    hooks = ["cw-mark", HOOKS[mark.verdict]]
    hooks += ["cw-stale"] if mark.stale else []
    hooks += ["cw-next"] if mark.ringed else []
    return element(
        "a" if mark.href else "g",
        *parts,
        href=mark.href or None,
        class_=" ".join(hooks),
        data_place=mark.place,
        data_quantity=mark.quantity.value,
    )


def bare_names(sheet: HeadSheet, *, px_mm: float, ink: Ink) -> str:
    """The names of valves and places, for a deck that is drawn before anything is read."""
    lines: list[str] = []
    for valve in sheet.valves:
        wide = width_of(valve.name, size=px_mm) or px_mm
        size = min(13.0, 1.5 * valve.head_diameter_mm / 2 / wide, valve.head_diameter_mm / px_mm)
        if size >= _SMALLEST_PX:
            y = -valve.y_mm + 0.35 * size * px_mm
            lines.append(text(valve.name, x=valve.x_mm, y=y, size=size * px_mm, fill=ink.soft))
    middle = sheet.spot_mm(Quantity.HEAD_HEIGHT, place="")[1]
    rooms = _rooms([(place.x_mm, place.y_mm) for place in sheet.places])
    for place, room in zip(sheet.places, rooms, strict=True):
        if room > 28.0 * px_mm:
            y = -place.y_mm + (13.0 if place.y_mm > middle else -6.0) * px_mm
            lines.append(text(place.name, x=place.x_mm, y=y, size=9.5 * px_mm, fill=ink.soft))
    return element("g", *lines, class_="cw-names") if lines else ""


def _radius(sheet: HeadSheet, site: Site, place: str, px_mm: float) -> float:
    if site is Site.VALVE:
        return sheet.valve(place).head_diameter_mm / 2
    return _PLACE_PX * px_mm * (1.5 if site is Site.CYLINDER else 1.0)


def _rooms(centres: list[tuple[float, float]]) -> list[float]:
    return [
        min(
            (hypot(x - a, y - b) for j, (a, b) in enumerate(centres) if j != i),
            default=float("inf"),
        )
        for i, (x, y) in enumerate(centres)
    ]


def _ring(spot: Spot, *, px_mm: float, ink: Ink) -> str:
    return element(
        "circle",
        cx=spot.x,
        cy=spot.y,
        r=spot.radius + 1.2 * px_mm,
        fill=ink.card,
        stroke=ink.blue,
        stroke_width=4.0 * px_mm,
        class_="cw-ringed",
    )


def _target(spot: Spot, *, px_mm: float) -> str:
    reach = max(min(_TARGET_PX * px_mm, spot.room / 2), min(spot.radius, spot.room))
    return element(
        "circle",
        cx=spot.x,
        cy=spot.y,
        r=reach,
        fill="none",
        pointer_events="all",
        class_="cw-target",
    )


def _in_round(spot: Spot, *, px_mm: float, ink: Ink) -> list[str]:
    """Shape over figure inside the valve."""
    mark, radius_px = spot.mark, spot.radius / px_mm
    figure, known = (mark.text, True) if mark.text else (mark.place, False)
    size = min(16.0, 2.0 + 0.4 * radius_px, 1.6 * radius_px / max(width_of(figure, size=1.0), 0.1))
    written = size >= _SMALLEST_PX
    mark_px = min(8.0, max(3.5, radius_px * 0.225)) if written else radius_px * 0.45
    lift = 0.33 * spot.radius if written else 0.0
    parts = _disc(spot, px_mm=px_mm, ink=ink)
    parts += _verdict(spot, y=spot.y - lift, radius=mark_px * px_mm, ink=ink)
    if written:
        parts.append(
            text(
                figure,
                x=spot.x,
                y=spot.y + 0.42 * spot.radius,
                size=size * px_mm,
                fill=ink.ink if known and not mark.stale else ink.soft,
                weight="700" if known else None,
            )
        )
    if written and known and radius_px >= 36:
        parts.append(_name(spot, px_mm=px_mm, ink=ink))
    return parts


def _name(spot: Spot, *, px_mm: float, ink: Ink) -> str:
    size = min(11.0, spot.radius / px_mm * 0.24)
    return text(
        spot.mark.place,
        x=spot.x,
        y=spot.y + 0.76 * spot.radius,
        size=size * px_mm,
        fill=ink.soft,
    )


def _disc(spot: Spot, *, px_mm: float, ink: Ink) -> list[str]:
    """The valve again in its verdict's line; hatched on paper where it is outside."""
    verdict, stale = spot.mark.verdict, spot.mark.stale
    if verdict not in {Verdict.OUTSIDE, Verdict.CLOSE} and not stale:
        return []
    loud = verdict is Verdict.OUTSIDE
    parts = []
    if ink.hatched and loud:
        parts.append(
            hatch_round(
                x=spot.x,
                y=spot.y,
                radius=spot.radius,
                gap=3.4 * px_mm,
                colour=ink.rule,
                line=0.8 * px_mm,
            )
        )
    dash = f"{number(3 * px_mm)} {number(2.4 * px_mm)}" if stale else None
    parts.append(
        element(
            "circle",
            cx=spot.x,
            cy=spot.y,
            r=spot.radius,
            fill="none",
            stroke=ink.of(verdict) if verdict is not Verdict.INSIDE else ink.soft,
            stroke_width=(2.0 if loud else 1.3) * px_mm,
            stroke_dasharray=dash,
        )
    )
    return parts


def _verdict(spot: Spot, *, y: float, radius: float, ink: Ink) -> list[str]:
    mark = spot.mark
    parts = [shape(mark.verdict, x=spot.x, y=y, radius=radius, ink=ink, hollow=mark.stale)]
    if mark.stale and mark.verdict is not Verdict.MISSING:
        parts.append(strike(x=spot.x, y=y, radius=radius, colour=ink.of(mark.verdict)))
    return parts


def _at_point(spot: Spot, *, px_mm: float, ink: Ink) -> list[str]:
    """A small disc on the place, its figure below where the next mark leaves room."""
    mark = spot.mark
    radius = min(spot.radius, spot.room * 0.42)
    size = 11.0
    parts = [
        element(
            "circle",
            cx=spot.x,
            cy=spot.y,
            r=radius,
            fill=ink.card,
            stroke=ink.soft if mark.verdict is Verdict.INSIDE else ink.of(mark.verdict),
            stroke_width=px_mm,
        ),
        *_verdict(spot, y=spot.y, radius=min(5.5 * px_mm, radius * 0.55), ink=ink),
    ]
    figure = mark.text or mark.place
    if width_of(figure, size=size) * px_mm < spot.room and spot.room > 34 * px_mm:
        parts.append(
            text(
                figure,
                x=spot.x,
                y=spot.y + radius + size * px_mm,
                size=size * px_mm,
                fill=ink.ink if mark.text and not mark.stale else ink.soft,
                weight="700" if mark.text else None,
                stroke=ink.card,
                stroke_width=3 * px_mm,
                stroke_linejoin="round",
                paint_order="stroke",
            )
        )
    return parts
