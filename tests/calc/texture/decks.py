"""Invented decks: cusps, ground metal, chatter, tilt, waviness and noise of known make."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Mark, Profile

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """A trace with what truly made it."""

    profile: Profile
    kind: Mark
    pitch_mm: float | None
    feed_set_mm: float


def cusps(x_mm: Array, *, feed_mm: float, height_um: float, phase_ratio: float = 0.0) -> Array:
    """Parabolic scallops, ``height_um`` from pit to peak."""
    u = (x_mm / feed_mm + phase_ratio) % 1.0 - 0.5
    return 4.0 * height_um * u * u


def random_heights(
    rng: np.random.Generator, *, count: int, spacing_mm: float, grain_mm: float, rms_um: float
) -> Array:
    """Heights that come at random, alike over ``grain_mm`` and not repeating."""
    frequency = np.fft.rfftfreq(count, d=spacing_mm)
    white = rng.normal(size=len(frequency)) + 1j * rng.normal(size=len(frequency))
    shaped = white * np.exp(-0.5 * (2.0 * np.pi * frequency * grain_mm) ** 2)
    shaped[0] = 0.0
    z = np.fft.irfft(shaped, count)
    return z * rms_um / z.std()


def deck(rng: np.random.Generator) -> Deck:
    """One deck at random: 45 % milled, 35 % belt or stone, 20 % chatter on or off the feed."""
    spacing = float(rng.choice([0.001, 0.002]))
    count = round(float(rng.choice([5.6, 8.0, 12.5])) / spacing)
    x = np.arange(count) * spacing
    length = x[-1]
    z = rng.normal(0.0, 5.0) * x + rng.normal(0.0, 8.0) * (x / length - 0.5) ** 2
    z += random_heights(
        rng,
        count=count,
        spacing_mm=spacing,
        grain_mm=rng.uniform(0.3, 1.2),
        rms_um=rng.uniform(0.0, 1.0),
    )
    feed_set = rng.uniform(0.05, 0.4)
    feed = feed_set * rng.uniform(0.97, 1.03)
    height = rng.uniform(1.0, 8.0)
    chance = rng.uniform()
    grain = rng.uniform(0.002, 0.02)
    kind, pitch = Mark.STONE, None
    if chance < 0.35:
        z += random_heights(
            rng,
            count=count,
            spacing_mm=spacing,
            grain_mm=rng.uniform(0.004, 0.04),
            rms_um=rng.uniform(0.2, 1.5),
        )
    else:
        kind, pitch = Mark.FEED, feed
        z += cusps(x, feed_mm=feed, height_um=height, phase_ratio=rng.uniform())
        z += random_heights(
            rng,
            count=count,
            spacing_mm=spacing,
            grain_mm=grain,
            rms_um=0.3 * height * rng.uniform(0.1, 1.0),
        )
    if chance > 0.8:
        kind, pitch = Mark.CHATTER, _unrelated_pitch(rng, feed=feed, length=length)
        waves = np.sin(2.0 * np.pi * (x / pitch + rng.uniform()))
        z += height * rng.uniform(0.5, 1.0) * waves
    stretch = rng.uniform(0.9, 1.1)  # the trace's spacing is wrong by up to a tenth
    return Deck(
        profile=Profile(spacing_mm=spacing * stretch, height_um=z),
        kind=kind,
        pitch_mm=None if pitch is None else pitch * stretch,
        feed_set_mm=feed_set,
    )


def _unrelated_pitch(rng: np.random.Generator, *, feed: float, length: float) -> float:
    """A pitch above the feed, no near multiple of it, at least eight times on the trace."""
    while True:
        pitch = rng.uniform(1.6 * feed, length / 8.0)
        if abs(pitch / feed - round(pitch / feed)) > 0.2:
            return pitch
