"""The curves of a texture in few enough points to draw, with every peak and valley kept."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Texture

_BUCKETS = 450
_RATIO_POINTS = 101
_DIGITS = 4

Curve = tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Points to draw, all tuples of one length by group.

    ``x_mm`` with ``roughness_um``, ``waviness_um`` and ``primary_um``; ``material_um`` at
    ``material_ratio`` of material; ``wavelength_mm`` with ``power_ratio``.  ``section_mm`` are
    the ends of the sections, in the same x.
    """

    x_mm: Curve
    primary_um: Curve
    roughness_um: Curve
    waviness_um: Curve
    section_mm: Curve
    material_ratio: Curve
    material_um: Curve
    wavelength_mm: Curve
    power_ratio: Curve


def drawn_of(texture: Texture) -> Drawn:
    """The curves of a texture for a chart.

    Of every short stretch the highest and the lowest point of the roughness are kept, so that no
    scratch is lost.
    """
    kept = _extremes(texture.roughness_um)
    x_mm = texture.start_mm + texture.spacing_mm * kept
    ratio = np.linspace(0.0, 1.0, _RATIO_POINTS)
    ends = texture.start_mm + texture.section_mm * np.arange(texture.sections_count + 1)
    return Drawn(
        x_mm=_curve(x_mm),
        primary_um=_curve(texture.primary_um[kept]),
        roughness_um=_curve(texture.roughness_um[kept]),
        waviness_um=_curve(texture.waviness_um[kept]),
        section_mm=_curve(ends),
        material_ratio=_curve(ratio),
        material_um=_curve(_heights_at(texture, ratio)),
        wavelength_mm=_curve(texture.spectrum.wavelength_mm),
        power_ratio=_curve(texture.spectrum.share_ratio),
    )


def _extremes(height_um: NDArray[np.float64]) -> NDArray[np.intp]:
    count = len(height_um)
    if count <= 2 * _BUCKETS:
        return np.arange(count)
    edges = np.linspace(0, count, _BUCKETS + 1).astype(np.intp)
    pairs = [
        (a + int(height_um[a:b].argmin()), a + int(height_um[a:b].argmax()))
        for a, b in pairwise(edges.tolist())
    ]
    return np.unique(np.array([(0, count - 1), *pairs], dtype=np.intp))


def _heights_at(texture: Texture, ratio: NDArray[np.float64]) -> NDArray[np.float64]:
    shares = texture.material.ratio
    order = np.argsort(shares, kind="stable")
    return np.interp(ratio, shares[order], texture.material.height_um[order])


def _curve(values: NDArray[np.floating[Any]]) -> Curve:
    return tuple(float(f"{value:.{_DIGITS}g}") for value in values)
