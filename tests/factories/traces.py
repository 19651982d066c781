"""Trace files of decks whose finish is known by the way they are made."""

import numpy as np

NOSE_MM = 0.8
SPACING_MM = 0.001


def cusps(
    feed_mm: float, *, length_mm: float = 6.0, wave_um: float = 0.0, shift: float = 0.3
) -> bytes:
    """A CSV of ideal cusps of that feed, with rotary waves of that height on top.

    Ra of the cusps is f^2 / (18 sqrt(3) r) by the geometry of the parabola.
    """
    x = SPACING_MM * np.arange(round(length_mm / SPACING_MM) + 1)
    off = feed_mm * ((x / feed_mm + shift) - np.round(x / feed_mm + shift))
    z = 1000.0 * off**2 / (2.0 * NOSE_MM) + 0.5 * wave_um * np.sin(2 * np.pi * x / 2.9)
    rows = "\n".join(f"{a:.4f},{b:.5f}" for a, b in zip(x, z, strict=True))
    return f"x_mm,z_um\n{rows}\n".encode()


def ideal_ra_um(feed_mm: float) -> float:
    """Ra of parabolic cusps: f^2 / (18 sqrt(3) r)."""
    return 1000.0 * feed_mm**2 / (18.0 * np.sqrt(3.0) * NOSE_MM)
