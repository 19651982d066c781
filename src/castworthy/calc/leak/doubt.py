"""Uncertainties of unlike kinds put together: a fit's few readings, a volume, a gauge."""

from dataclasses import dataclass
from math import inf, isfinite, sqrt

from scipy.special import stdtrit

from castworthy.calc.errors import InputError

KNOWN = inf
"""Degrees of freedom of an uncertainty that is itself taken as known (JCGM 100:2008, G.4.3)."""

MOST_FREEDOM_COUNT = 1e6
"""Student's t is the normal distribution from here on; a finite figure can be written down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One standard uncertainty, >= 0 in any unit, and its degrees of freedom, above 0."""

    u: float
    freedom_count: float = KNOWN


def combined(*parts: Part) -> Part:
    """Independent parts as one standard uncertainty with effective degrees of freedom.

    Parameters
    ----------
    parts : Part
        The parts, all in the unit of the answer.

    Returns
    -------
    Part
        Root of the sum of squares, and ``u**4 / sum(u_i**4 / freedom_i)``, at most
        :data:`MOST_FREEDOM_COUNT`.

    Raises
    ------
    InputError
        If a part is negative, no number, or has no freedom.

    References
    ----------
    JCGM 100:2008, 5.1.2 and G.4.1 (Welch-Satterthwaite).

    """
    for part in parts:
        if not (isfinite(part.u) and part.u >= 0.0 and part.freedom_count > 0.0):
            raise InputError(
                f"u must be 0 or more with freedom above 0 (got {part.u} with "
                f"{part.freedom_count}); check the figures."
            )
    largest = max((part.u for part in parts), default=0.0)
    if largest == 0.0:
        return Part(u=0.0, freedom_count=MOST_FREEDOM_COUNT)
    shares = [part.u / largest for part in parts]
    square = sum(share**2 for share in shares)
    lost = sum(s**4 / part.freedom_count for s, part in zip(shares, parts, strict=True))
    freedom = square**2 / lost if lost else MOST_FREEDOM_COUNT
    return Part(u=largest * sqrt(square), freedom_count=min(freedom, MOST_FREEDOM_COUNT))


def coverage_factor(freedom_count: float, *, coverage_probability: float = 0.95) -> float:
    """Standard uncertainties each side of an estimate that cover it.

    Parameters
    ----------
    freedom_count
        degrees of freedom [-], scalar, above 0, whole or not
    coverage_probability
        share covered [-], scalar, between 0 and 1

    Returns
    -------
    float
        Student's t [-]

    References
    ----------
    JCGM 100:2008, G.3 and G.4.1 (a freedom that is not whole is used as it is).

    """
    freedom = min(freedom_count, MOST_FREEDOM_COUNT)
    return float(stdtrit(freedom, 0.5 + coverage_probability / 2.0))


def shared_kpa(*, u_kpa: float, u_bias_kpa: float, scatter_kpa: float) -> float:
    """The part of a gauge's uncertainty that all readings of one log share.

    A log is read with one gauge, set up once, over a small piece of its scale: whatever puts
    the gauge out there (its zero, its scale, its stiction) does so in every reading alike and
    does not average out over them.  What differs from reading to reading is seen as scatter
    and already counted by the fit.  So what of ``u_kpa`` the scatter does not explain is shared,
    and never less than the part known to repeat.

    Parameters
    ----------
    u_kpa
        standard uncertainty of one reading [kPa], scalar, >= 0
    u_bias_kpa
        the part of it known to repeat [kPa], scalar
    scatter_kpa
        standard deviation of the log's readings about their curve [kPa], scalar

    Returns
    -------
    float
        standard uncertainty of a shift of the whole log [kPa]

    References
    ----------
    Own reasoning from JCGM 100:2008, 4.3.7 and F.1.2.3 (a shared effect does not average
    out).

    """
    unexplained_kpa = sqrt(max(u_kpa**2 - scatter_kpa**2, 0.0))
    return max(min(u_bias_kpa, u_kpa), unexplained_kpa)
