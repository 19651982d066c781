"""Surface traces of the invented shop, made from what cuts a deck: cusps, grit, waves, noise."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

SPACING_MM = 0.001
LENGTH_MM = 6.0
NOSE_MM = 0.8
_GRIT_POINTS = 18

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """One trace: of which head, at which of its places, how the face was made.

    ``feed_mm`` 0 is a belt; ``wave_um`` is the height of rotary waves; ``machine`` and what it
    was set to are told only where the shop cut it.
    """

    tag: str
    place: int
    feed_mm: float = 0.0
    grit_um: float = 0.6
    wave_um: float = 0.0
    machine: str = ""
    days: float = 0.1


TRACED = (
    Traced(tag="T66-0039", place=1, grit_um=0.56, days=6.0),
    Traced(tag="T66-0039", place=3, grit_um=0.62, days=6.0),
    Traced(tag="T66-0039", place=5, grit_um=0.52, days=6.0),
    Traced(tag="F14-200", place=0, feed_mm=0.158, wave_um=5.0, days=4.5),
    Traced(tag="F14-200", place=1, feed_mm=0.158, wave_um=4.0, days=4.5),
    Traced(tag="F14-193", place=0, feed_mm=0.102, machine="Mill 2", days=7.2),
    Traced(tag="F14-194", place=1, feed_mm=0.122, machine="Mill 2", days=6.8),
    Traced(tag="F14-196", place=0, feed_mm=0.110, machine="Mill 2", days=6.0),
    Traced(tag="F14-196", place=1, feed_mm=0.110, machine="Mill 2", days=6.0),
)
"""Every trace of the demo; castings 12 come with rotary waves."""


def trace_csv(traced: Traced, *, rng: np.random.Generator) -> bytes:
    """The file the stylus instrument wrote."""
    x_mm = SPACING_MM * np.arange(round(LENGTH_MM / SPACING_MM) + 1)
    height_um = _face(x_mm, traced=traced, rng=rng)
    rows = (f"{x:.4f},{z:.4f}" for x, z in zip(x_mm, height_um, strict=True))
    return ("x_mm,z_um\n" + "\n".join(rows) + "\n").encode()


def _face(x_mm: Floats, *, traced: Traced, rng: np.random.Generator) -> Floats:
    tilt = rng.normal(0.0, 0.4) * x_mm
    waves = 0.5 * traced.wave_um * np.sin(2 * np.pi * x_mm / 2.9 + rng.uniform(0, 6))
    if traced.feed_mm:
        return _cusps(x_mm, feed_mm=traced.feed_mm, rng=rng) + tilt + waves
    return _grit(len(x_mm), size_um=traced.grit_um, rng=rng) + tilt + waves


def _cusps(x_mm: Floats, *, feed_mm: float, rng: np.random.Generator) -> Floats:
    """The arcs a round insert leaves, a little uneven, with the grain of the iron."""
    turns = x_mm / feed_mm + rng.uniform()
    off_mm = feed_mm * (turns - np.round(turns))
    lift = rng.normal(0.0, 0.05, int(turns[-1]) + 2)[np.round(turns).astype(int)]
    grain = _grit(len(x_mm), size_um=0.08, rng=rng)
    return 1000.0 * off_mm**2 / (2.0 * NOSE_MM) + lift + grain


def _grit(count: int, *, size_um: float, rng: np.random.Generator) -> Floats:
    """A face without a pitch: smoothed noise of that Ra, more cut below than above."""
    kernel = np.hanning(_GRIT_POINTS)
    rough = np.convolve(rng.normal(size=count + _GRIT_POINTS), kernel, mode="same")[:count]
    bent = rough / rough.std()
    bent = np.where(bent < 0.0, 1.2 * bent, 0.8 * bent)
    bent -= bent.mean()
    return size_um * bent / np.abs(bent).mean()
