"""Readings taken more than once: their mean and what it is worth."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, sqrt

from scipy.special import chdtri

from castworthy.calc.errors import InputError
from castworthy.calc.head import Gauge

SCATTER_PROBABILITY = 0.05
"""How seldom a sound gauge scatters as much as is needed to set its stated uncertainty aside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mean:
    """The mean of repeated readings, with the fields a ``Reading`` takes.

    ``scattered`` is True when the readings lie further apart than the gauge's stated
    uncertainty explains, so that their own scatter was used instead.
    """

    value: float
    u: float | None
    u_bias: float
    resolution: float | None
    repeats_count: int
    scattered: bool = False


def mean_of(values: Sequence[float], *, gauge: Gauge | None) -> Mean:
    """Mean of repeated readings of one thing and its standard uncertainty.

    Parameters
    ----------
    values : sequence of float
        Readings in the unit of the gauge, at least one.
    gauge : Gauge or None
        The gauge they were read with; ``None`` leaves the uncertainty unknown.

    Returns
    -------
    Mean
        Mean and uncertainty in the unit of ``values``.  The part of the gauge's uncertainty
        that differs from reading to reading shrinks with the root of their number, its bias
        does not.  When the readings scatter beyond what the gauge explains (chi-square at
        5 %), their standard deviation takes the place of that part.

    Raises
    ------
    InputError
        If there is no reading.

    References
    ----------
    JCGM 100:2008, 4.2.3 (variance of a mean) and 4.3.

    """
    if not values:
        raise InputError("A mean needs at least one reading; none was given.")
    n = len(values)
    mean = fsum(values) / n
    if gauge is None:
        return Mean(value=mean, u=None, u_bias=0.0, resolution=None, repeats_count=n)
    bias = min(gauge.u_bias, gauge.u)
    single = sqrt(max(gauge.u**2 - bias**2, 0.0))
    spread = sqrt(fsum((v - mean) ** 2 for v in values) / (n - 1)) if n > 1 else 0.0
    scattered = n > 1 and spread > single * sqrt(
        float(chdtri(n - 1, SCATTER_PROBABILITY)) / (n - 1)
    )
    random = spread if scattered else single
    return Mean(
        value=mean,
        u=sqrt(bias**2 + random**2 / n),
        u_bias=bias,
        resolution=gauge.resolution or None,
        repeats_count=n,
        scattered=scattered,
    )
