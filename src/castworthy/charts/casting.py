"""The deck itself, as cast and bored: outline, bores, valves, studs, openings, places."""

from math import hypot

from castworthy.calc.head import HeadSheet, OpeningKind, PlaceKind, Valve
from castworthy.calc.quantity import Quantity
from castworthy.charts.field import Shading, shaded
from castworthy.charts.layout import Window
from castworthy.charts.svg import element, number, path
from castworthy.charts.theme import Ink

_CORNER_PX = 24.0
_DASHES = {
    OpeningKind.COOLANT: (3.0, 2.4),
    OpeningKind.OIL: (1.0, 2.0),
    OpeningKind.AIR: (6.0, 2.4),
    OpeningKind.PUSHROD: (6.0, 2.0),
}


def casting(
    sheet: HeadSheet, *, window: Window, px_mm: float, ink: Ink, shading: Shading | None = None
) -> str:
    """Everything under the marks that shows in a window, the face shaded where that is asked."""
    parts = [
        _outline(sheet, px_mm=px_mm, ink=ink),
        *([shaded(sheet, shading=shading, px_mm=px_mm, ink=ink)] if shading else []),
        *_openings(sheet, window=window, px_mm=px_mm, ink=ink),
        *_studs(sheet, window=window, px_mm=px_mm, ink=ink),
        _places(sheet, window=window, px_mm=px_mm, ink=ink),
        *_bores(sheet, window=window, px_mm=px_mm, ink=ink),
        *_valves(sheet, window=window, px_mm=px_mm, ink=ink),
        _injectors(sheet, window=window, px_mm=px_mm, ink=ink),
    ]
    return element("g", *parts, class_="cw-casting")


def rounded(corners: tuple[tuple[float, float], ...], *, radius: float) -> str:
    """Path data of a polygon with its corners rounded, no more than its edges allow."""
    steps: list[str] = []
    count = len(corners)
    for index, (x, y) in enumerate(corners):
        before, after = corners[index - 1], corners[(index + 1) % count]
        enter = _toward((x, y), before, radius)
        leave = _toward((x, y), after, radius)
        lead = "M" if index == 0 else "L"
        steps.append(
            f"{lead}{number(enter[0])} {number(enter[1])}"
            f"Q{number(x)} {number(y)} {number(leave[0])} {number(leave[1])}"
        )
    return "".join(steps) + "Z"


def _toward(
    start: tuple[float, float], end: tuple[float, float], radius: float
) -> tuple[float, float]:
    length = hypot(end[0] - start[0], end[1] - start[1])
    share = min(radius / length, 0.45) if length else 0.0
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _outline(sheet: HeadSheet, *, px_mm: float, ink: Ink) -> str:
    corners = tuple((x, -y) for x, y in sheet.outline_mm)
    return element(
        "path",
        d=rounded(corners, radius=_CORNER_PX * px_mm),
        fill=ink.metal,
        fill_opacity=ink.metal_opacity,
        stroke=ink.ink,
        stroke_width=1.8 * px_mm,
        stroke_linejoin="round",
        class_="cw-outline",
    )


def _openings(sheet: HeadSheet, *, window: Window, px_mm: float, ink: Ink) -> list[str]:
    return [
        element(
            "circle",
            cx=opening.x_mm,
            cy=-opening.y_mm,
            r=opening.diameter_mm / 2,
            fill=ink.card,
            fill_opacity=0.5,
            stroke=ink.steel,
            stroke_width=1.1 * px_mm,
            stroke_dasharray=" ".join(number(dash * px_mm) for dash in _DASHES[opening.kind]),
            class_=f"cw-opening cw-{opening.kind.value}",
        )
        for opening in sheet.openings
        if window.touches(opening.x_mm, -opening.y_mm, opening.diameter_mm)
    ]


def _studs(sheet: HeadSheet, *, window: Window, px_mm: float, ink: Ink) -> list[str]:
    parts: list[str] = []
    for stud in sheet.studs:
        if not window.touches(stud.x_mm, -stud.y_mm, stud.diameter_mm):
            continue
        parts.append(
            element(
                "circle",
                cx=stud.x_mm,
                cy=-stud.y_mm,
                r=stud.diameter_mm / 2,
                fill=ink.card,
                stroke=ink.steel,
                stroke_width=1.5 * px_mm,
                class_="cw-stud",
            )
        )
        parts.append(
            element(
                "circle", cx=stud.x_mm, cy=-stud.y_mm, r=stud.diameter_mm * 0.19, fill=ink.steel
            )
        )
    return parts


def _bores(sheet: HeadSheet, *, window: Window, px_mm: float, ink: Ink) -> list[str]:
    ringed = sheet.ring is not None or any(
        limit.quantity is Quantity.RING_STAND for limit in sheet.limits
    )
    parts: list[str] = []
    for cylinder in sheet.cylinders:
        x, y, radius = cylinder.x_mm, -cylinder.y_mm, cylinder.bore_mm / 2
        if not window.touches(x, y, radius * 1.1):
            continue
        parts.append(
            element(
                "circle",
                cx=x,
                cy=y,
                r=radius,
                fill=ink.card,
                fill_opacity=0.55,
                stroke=ink.ink,
                stroke_width=1.3 * px_mm,
                class_="cw-bore",
            )
        )
        if ringed:
            parts.append(
                element(
                    "circle",
                    cx=x,
                    cy=y,
                    r=sheet.ring.groove_diameter_mm / 2 if sheet.ring else radius + 4.0 * px_mm,
                    fill="none",
                    stroke=ink.steel,
                    stroke_width=1.1 * px_mm,
                    stroke_dasharray=f"{number(px_mm)} {number(2.6 * px_mm)}",
                    class_="cw-ring-line",
                )
            )
    return parts


def _valves(sheet: HeadSheet, *, window: Window, px_mm: float, ink: Ink) -> list[str]:
    return [
        element(
            "circle",
            cx=valve.x_mm,
            cy=-valve.y_mm,
            r=valve.head_diameter_mm / 2,
            fill=ink.card,
            stroke=ink.soft,
            stroke_width=px_mm,
            class_=f"cw-valve cw-{valve.kind.value}",
        )
        for valve in sheet.valves
        if window.touches(valve.x_mm, -valve.y_mm, valve.head_diameter_mm / 2)
    ]


def _injectors(sheet: HeadSheet, *, window: Window, px_mm: float, ink: Ink) -> str:
    """Injector bores, where the sheet limits them; as large as the valves about them leave."""
    if not any(limit.quantity is Quantity.INJECTOR_PROTRUSION for limit in sheet.limits):
        return ""
    parts: list[str] = []
    for cylinder in sheet.cylinders:
        room = _room(cylinder.x_mm, cylinder.y_mm, sheet.valves) - 1.5 * px_mm
        radius = min(room, cylinder.bore_mm * 0.055)
        if radius > 2 * px_mm and window.touches(cylinder.x_mm, -cylinder.y_mm, radius):
            parts.append(
                element(
                    "circle",
                    cx=cylinder.x_mm,
                    cy=-cylinder.y_mm,
                    r=radius,
                    fill=ink.card,
                    stroke=ink.steel,
                    stroke_width=1.1 * px_mm,
                    class_="cw-injector",
                )
            )
    return "".join(parts)


def _room(x: float, y: float, valves: tuple[Valve, ...]) -> float:
    gaps = (hypot(v.x_mm - x, v.y_mm - y) - v.head_diameter_mm / 2 for v in valves)
    return min(gaps, default=float("inf"))


def _places(sheet: HeadSheet, *, window: Window, px_mm: float, ink: Ink) -> str:
    """Measuring places as small crosses: upright for a height, slanted for a thickness."""
    strokes: list[str] = []
    reach = 3.2 * px_mm
    for place in sheet.places:
        x, y = place.x_mm, -place.y_mm
        if not window.touches(x, y, reach):
            continue
        if place.kind is PlaceKind.HEIGHT:
            strokes += [path((x - reach, y), (x + reach, y)), path((x, y - reach), (x, y + reach))]
        else:
            slant = reach * 0.75
            strokes += [
                path((x - slant, y - slant), (x + slant, y + slant)),
                path((x - slant, y + slant), (x + slant, y - slant)),
            ]
    if not strokes:
        return ""
    return element(
        "path",
        d="".join(strokes),
        stroke=ink.rule if ink.hatched else ink.steel,
        stroke_width=0.9 * px_mm,
        fill="none",
        class_="cw-places",
    )
