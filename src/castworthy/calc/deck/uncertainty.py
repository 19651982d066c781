"""How well a flatness is known, from how well each height is."""

from dataclasses import dataclass

import numpy as np

from castworthy.calc.deck.flatness import minimum_zone
from castworthy.calc.deck.form import Heights
from castworthy.calc.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Flatness of the same face with fresh errors drawn onto every height.

    ``raised_um`` is how far errors raise the flatness read on average: a zone must hold every
    error, so it grows with them.
    """

    u_flatness_um: float
    raised_um: float
    draws_count: int


def flatness_uncertainty(heights: Heights, *, u_height_mm: float) -> float:
    """Standard uncertainty of the minimum-zone flatness, to first order.

    The width follows each contact point by its share of the zone, so independent errors of the
    heights give u(width) = u sqrt(sum of share^2).  True while the same points stay in contact:
    where the face's form is no larger than the errors, ``draw_flatness`` says more.

    Parameters
    ----------
    heights
        points of shape (n,) [mm]
    u_height_mm
        standard uncertainty of one height, independent from point to point [mm], scalar

    Returns
    -------
    float
        standard uncertainty [um]

    Raises
    ------
    InputError
        If the uncertainty is negative.

    References
    ----------
    JCGM 100:2008, 5.1.2; the shares are the multipliers of the linear program of the zone.

    """
    if u_height_mm < 0:
        raise InputError(f"An uncertainty is not negative, got {u_height_mm:g} mm.")
    shares = minimum_zone(heights).shares_ratio
    return float(1e3 * u_height_mm * np.sqrt(shares @ shares))


def draw_flatness(
    heights: Heights, *, u_height_mm: float, draws_count: int, generator: np.random.Generator
) -> Draws:
    """Standard uncertainty of the minimum-zone flatness by Monte Carlo, with its bias.

    Parameters
    ----------
    heights
        points of shape (n,) [mm]
    u_height_mm
        standard uncertainty of one height, normal and independent [mm], scalar
    draws_count
        how many faces are drawn, 2 or more
    generator
        source of chance

    Returns
    -------
    Draws
        standard deviation and mean rise of the flatness [um]

    Raises
    ------
    InputError
        If the uncertainty is negative or fewer than two draws are asked for.

    References
    ----------
    JCGM 101:2008, clause 7 (propagation of distributions by Monte Carlo).

    """
    if u_height_mm < 0 or draws_count < 2:
        raise InputError(
            "Drawing needs an uncertainty of 0 or more and two draws or more, got "
            f"{u_height_mm:g} mm and {draws_count} draws."
        )
    z = np.asarray(heights.z_mm, dtype=np.float64)
    drawn = [
        minimum_zone(
            Heights(
                x_mm=heights.x_mm,
                y_mm=heights.y_mm,
                z_mm=z + generator.normal(0.0, u_height_mm, z.shape),
            )
        ).flatness_um
        for _ in range(draws_count)
    ]
    return Draws(
        u_flatness_um=float(np.std(drawn, ddof=1)),
        raised_um=float(np.mean(drawn) - minimum_zone(heights).flatness_um),
        draws_count=draws_count,
    )
