"""The height field on a deck: shaded from layout blue (low) to vermilion (high), with contours.

On paper height is shaded by grey and depth by dots, so that it reads without colour.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import contourpy
import numpy as np
from numpy.typing import NDArray

from castworthy.calc.deck.field import Field
from castworthy.calc.head import HeadSheet
from castworthy.charts.svg import clean, element, number, path, text
from castworthy.charts.theme import Ink

_STEPS = 5
_STRONGEST = 0.62


@dataclass(frozen=True, slots=True, kw_only=True)
class Shading:
    """What is shaded: a field and the half width it is shaded over [um].

    ``uncut`` is the field over a trial plane: where it is below nought the old surface stays.
    ``contacts_mm`` are the points that hold the zone, ``labels`` the measured points with their
    figures; ``words`` name the drawing for people who do not see it.
    """

    field: Field
    half_um: float
    uncut: Field | None = None
    contacts_mm: tuple[tuple[float, float], ...] = ()
    labels: tuple[tuple[float, float, str], ...] = ()
    words: str = ""


def shaded(sheet: HeadSheet, *, shading: Shading, px_mm: float, ink: Ink) -> str:
    """The field inside the deck's outline, in the drawing's own coordinates."""
    corners = " ".join(f"{number(x)},{number(-y)}" for x, y in sheet.outline_mm)
    clip = element("clipPath", element("polygon", points=corners), id="cw-field")
    half = shading.half_um or 1.0
    parts = [
        *_bands(shading.field, half=half, ink=ink),
        *_lines(shading.field, half=half, px_mm=px_mm, ink=ink),
        *(_uncut(shading.uncut, px_mm=px_mm, ink=ink) if shading.uncut else ()),
        *_labels(shading.labels, px_mm=px_mm, ink=ink),
        *_contacts(shading.contacts_mm, px_mm=px_mm, ink=ink),
    ]
    return element(
        "g",
        element("title", clean(shading.words)),
        element("defs", clip),
        element("g", *parts, clip_path="url(#cw-field)"),
        class_="cw-field",
    )


def _bands(field: Field, *, half: float, ink: Ink) -> Iterable[str]:
    """Filled bands, each a step stronger away from the middle."""
    generator = contourpy.contour_generator(
        x=field.x_mm, y=field.y_mm, z=field.over_um, fill_type="OuterOffset"
    )
    edges = np.linspace(0.0, half, _STEPS + 1)
    edges[-1] = 1e9
    for step, (low, high) in enumerate(pairwise(edges.tolist()), start=1):
        opacity = _STRONGEST * step / _STEPS
        for fill, ends in ((ink.vermilion, (low, high)), (ink.blue, (-high, -low))):
            drawn = _outlines(generator.filled(*ends))
            if drawn:
                yield element(
                    "path",
                    d=drawn,
                    fill=fill if not ink.hatched else ink.ink,
                    fill_opacity=opacity if not ink.hatched else _grey(ends, half=half),
                    fill_rule="evenodd",
                    stroke="none",
                )


def _grey(ends: tuple[float, float], *, half: float) -> float:
    """On paper the face goes from white (low) to grey (high)."""
    middle = (max(ends[0], -half) + min(ends[1], half)) / 2.0
    return 0.5 * (middle / half + 1.0) * 0.55


def _lines(field: Field, *, half: float, px_mm: float, ink: Ink) -> Iterable[str]:
    generator = contourpy.contour_generator(x=field.x_mm, y=field.y_mm, z=field.over_um)
    for level in np.linspace(-half, half, 2 * _STEPS + 1)[1:-1]:
        lines: Any = generator.lines(float(level))
        drawn = "".join(_open(line) for line in lines)
        if drawn:
            low = level < 0.0
            yield element(
                "path",
                d=drawn,
                fill="none",
                stroke=ink.ink,
                stroke_opacity=0.5 if abs(level) > 1e-9 else 0.9,
                stroke_width=0.8 * px_mm,
                stroke_dasharray=f"{number(3 * px_mm)} {number(2.5 * px_mm)}" if low else None,
            )


def _uncut(field: Field, *, px_mm: float, ink: Ink) -> Iterable[str]:
    """Where the old surface stays: framed, and filled so that the shades under it are gone."""
    generator = contourpy.contour_generator(
        x=field.x_mm, y=field.y_mm, z=field.over_um, fill_type="OuterOffset"
    )
    drawn = _outlines(generator.filled(-1e9, 0.0))
    if drawn:
        yield element(
            "path",
            d=drawn,
            fill=ink.ochre if not ink.hatched else ink.card,
            fill_opacity=0.85,
            fill_rule="evenodd",
            stroke=ink.ink,
            stroke_width=1.6 * px_mm,
            class_="cw-uncut",
        )


def _contacts(
    spots_mm: tuple[tuple[float, float], ...], *, px_mm: float, ink: Ink
) -> Iterable[str]:
    for x, y in spots_mm:
        yield element(
            "circle",
            cx=x,
            cy=-y,
            r=7.0 * px_mm,
            fill="none",
            stroke=ink.ink,
            stroke_width=1.6 * px_mm,
            class_="cw-contact",
        )


def _labels(
    labels: tuple[tuple[float, float, str], ...], *, px_mm: float, ink: Ink
) -> Iterable[str]:
    """The measured points as small crosses with their figures under them."""
    arm = 3.0 * px_mm
    for x, y, words in labels:
        cross = path((x - arm, -y), (x + arm, -y)) + path((x, -y - arm), (x, -y + arm))
        yield element("path", d=cross, stroke=ink.ink, stroke_width=1.2 * px_mm, fill="none")
        yield text(
            words,
            x=x,
            y=-y + 14.0 * px_mm,
            size=10.5 * px_mm,
            fill=ink.ink,
            stroke=ink.card,
            stroke_width=3.0 * px_mm,
            stroke_linejoin="round",
            paint_order="stroke",
        )


def _outlines(filled: Any) -> str:
    points, offsets = filled
    return "".join(
        _open(polygon[start:end]) + "Z"
        for polygon, cuts in zip(points, offsets, strict=True)
        for start, end in pairwise(cuts.tolist())
    )


def _open(line: NDArray[np.float64]) -> str:
    return "M" + "L".join(f"{x:.1f} {-y:.1f}" for x, y in line)
