"""What a person is asked about heights before they are believed.

Like every reading, a height is asked about only when it is unlikely as it stands and one known
slip would make it likely.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.deck.form import Heights
from castworthy.calc.deck.frame import checked
from castworthy.units import Show

TYPED_BY_HAND_COUNT = 1000
"""Scans of more points come from a machine, which slips no decimals."""

SHORTEST_FACE_MM = 60.0
MOST_OUT_OF_FLAT_MM = 3.0

_MOST_ASKED = 3
_FEWEST = 6
_ENOUGH_FOR_CURVES = 12
_UNLIKELY = 6.0
_LIKELY = 3.0
_FINEST_MM = 5e-4
_DECIMALS = (10.0, 0.1, 100.0, 0.01)
_INCHES = (25.4, 1 / 25.4)

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightSlip:
    """A height that one slip would explain: its index, how many times it is off, the slip."""

    point: int
    x_mm: float
    y_mm: float
    times_ratio: float
    decimal: bool

    def sentence(self, show: Show) -> str:
        """The question as a person reads it."""
        cause = "was a decimal slipped" if self.decimal else "were inches and millimetres mixed"
        return (
            f"Point at {place_words(self.x_mm, y_mm=self.y_mm, show=show)} stands "
            f"{self.times_ratio:.0f} times further off than its neighbours: {cause}?"
        )


def height_slips(heights: Heights) -> tuple[HeightSlip, ...]:
    """Heights far off a smooth face through all the others, where one slip explains it.

    Parameters
    ----------
    heights
        points of shape (n,) [mm]; more than ``TYPED_BY_HAND_COUNT`` are never asked about

    Returns
    -------
    tuple of HeightSlip
        three at most, the furthest off first

    Raises
    ------
    InputError
        If the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source; deleted residuals are a textbook method of regression.

    """
    points = checked(heights)
    if len(points.z_mm) > TYPED_BY_HAND_COUNT:
        return ()
    return tuple(_slips(points))


def unit_questions(heights: Heights, *, flatness_um: float, show: Show) -> tuple[str, ...]:
    """Questions about a whole face whose size or form no head has.

    Parameters
    ----------
    heights
        points of shape (n,) [mm]
    flatness_um
        their minimum zone [um], scalar
    show
        the units of the sentences

    Returns
    -------
    tuple of str
        none for a usual face

    References
    ----------
    Common practice, no source: heads are longer than a hand is wide, and bow 2 mm at most.

    """
    asked = []
    spans = [float(np.ptp(v)) for v in (heights.x_mm, heights.y_mm)]
    if max(spans) < SHORTEST_FACE_MM:
        length, width = (show.value(v, suffix="mm") for v in spans)
        asked.append(
            f"The points span only {length} by {width}: are the places in mm, not in inches?"
        )
    if flatness_um > 1e3 * MOST_OUT_OF_FLAT_MM:
        said = show.value(flatness_um / 1e3, suffix="mm")
        asked.append(f"The face is out of flat by {said}: are the heights in mm, not in thou?")
    return tuple(asked)


def place_words(x_mm: float, *, y_mm: float, show: Show) -> str:
    """A place on the face as a person reads it: ``120, 40 mm``.

    Parameters
    ----------
    x_mm, y_mm
        the place [mm], scalars
    show
        the units

    Returns
    -------
    str
        both figures without idle zeros, and the unit once

    References
    ----------
    Common practice, no source.

    """
    x, y = (show.number(v, suffix="mm", digits=2) for v in (x_mm, y_mm))
    x, y = (v.rstrip("0").rstrip(".") for v in (x, y))
    return f"{x}, {y} {show.unit('mm')}"


def _slips(points: Heights) -> Iterator[HeightSlip]:
    kept = np.arange(len(points.z_mm))
    terms = _terms(points)
    for _ in range(_MOST_ASKED):
        if len(kept) < _FEWEST:
            return
        off = _deleted(terms[kept], points.z_mm[kept])
        at = int(kept[np.argmax(np.abs(off))])
        kept = kept[kept != at]
        fitted = np.linalg.lstsq(terms[kept], points.z_mm[kept], rcond=None)[0]
        rest = points.z_mm[kept] - terms[kept] @ fitted
        scatter = max(float(np.sqrt(rest @ rest / len(rest))), _FINEST_MM)
        expected, typed = float(terms[at] @ fitted), float(points.z_mm[at])
        times = abs(typed - expected) / scatter
        factor = next(
            (f for f in (*_DECIMALS, *_INCHES) if abs(typed * f - expected) <= _LIKELY * scatter),
            None,
        )
        if times < _UNLIKELY:
            return
        if factor is not None:
            yield HeightSlip(
                point=at,
                x_mm=float(points.x_mm[at]),
                y_mm=float(points.y_mm[at]),
                times_ratio=times,
                decimal=factor in _DECIMALS,
            )


def _terms(points: Heights) -> Floats:
    """A plane through few points, a bowed and twisted face through more."""
    u, v = (
        (w - (w.min() + w.max()) / 2) / (float(np.ptp(w)) / 2 or 1.0)
        for w in (points.x_mm, points.y_mm)
    )
    plane = [np.ones_like(u), u, v]
    curves = [u * u, u * v, v * v] if len(u) >= _ENOUGH_FOR_CURVES else []
    return np.column_stack(plane + curves)


def _deleted(terms: Floats, z: Floats) -> Floats:
    """How far each height stands off a face through all the others."""
    hat = terms @ np.linalg.pinv(terms)
    off: Floats = (z - hat @ z) / np.maximum(1.0 - np.diag(hat), 1e-6)
    return off
