"""Guide and stem: clearance, wear and shape from readings at several depths."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError

PRACTICES = ("Read the guide at top, middle and bottom, along and across the head.",)
"""How a guide is read.  Common practice, no source."""

_ALLOWANCE_MM = 1e-6
"""What a comparison with a limit allows, so that a reading on it is inside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """A diameter read twice at one depth, the second reading square to the first [mm]."""

    first_mm: float
    second_mm: float

    @property
    def mean_mm(self) -> float:
        """Middle of both readings."""
        return (self.first_mm + self.second_mm) / 2.0

    @property
    def out_of_round_mm(self) -> float:
        """How far both readings differ."""
        return abs(self.first_mm - self.second_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class StemClearance:
    """Guide bore against stem, all on the diameter [mm].

    ``largest_mm`` and ``smallest_mm`` are between the extreme readings anywhere along both.
    A taper is the spread of the mean diameter over the depths; ``bell_mouth_mm`` how much wider
    the guide's wider end is than its narrowest depth between, 0 with fewer than three depths.
    ``probability`` is at least that of both extremes lying in the limits, ``None`` without
    limits or uncertainty.  ``inside`` is by the bare figures; ``verdict`` weighs the uncertainty
    where one is known, ``None`` without limits.
    """

    largest_mm: float
    smallest_mm: float
    mean_mm: float
    u_clearance_mm: float | None
    bore_taper_mm: float
    stem_taper_mm: float
    bell_mouth_mm: float
    bore_out_of_round_mm: float
    stem_out_of_round_mm: float
    inside: bool
    probability: float | None
    verdict: Verdict | None


def stem_clearance(
    bores: Sequence[Across],
    *,
    stems: Sequence[Across],
    low_mm: float | None = None,
    high_mm: float | None = None,
    u_bore_mm: float | None = None,
    u_stem_mm: float | None = None,
    confidence_probability: float = 0.95,
) -> StemClearance:
    """Clearance of a stem in its guide, with taper, bell mouth and ovality.

    Parameters
    ----------
    bores : sequence of Across
        The guide from one end to the other, one depth or more.
    stems : sequence of Across
        The stem where it runs in the guide, one depth or more.
    low_mm, high_mm : float or None
        Least and largest clearance of the sheet [mm].
    u_bore_mm, u_stem_mm : float or None
        Standard uncertainty of one reading of each [mm].
    confidence_probability : float
        Conformance probability a verdict asks for, between 0.5 and 1.

    Returns
    -------
    StemClearance
        Figures [mm] and whether the extremes lie in the limits.

    Raises
    ------
    InputError
        If there are no readings, one is not positive, the low limit is above the high one, or
        the confidence is none.

    References
    ----------
    Readings in two directions at two or three depths: common practice, no source.
    JCGM 106:2012, 7.2 for the probability; the two extremes share readings, so that of both
    lies between Bonferroni's bound and the smaller one's (Frechet).

    """
    _check(bores, stems=stems, low_mm=low_mm, high_mm=high_mm)
    holes = [size for each in bores for size in (each.first_mm, each.second_mm)]
    pins = [size for each in stems for size in (each.first_mm, each.second_mm)]
    largest, smallest = max(holes) - min(pins), min(holes) - max(pins)
    bore_means = [each.mean_mm for each in bores]
    stem_means = [each.mean_mm for each in stems]
    u = None
    if u_bore_mm is not None or u_stem_mm is not None:
        u = hypot(u_bore_mm or 0.0, u_stem_mm or 0.0)
    span = _probabilities(largest, smallest=smallest, low_mm=low_mm, high_mm=high_mm, u=u)
    inside = (low_mm is None or smallest >= low_mm - _ALLOWANCE_MM) and (
        high_mm is None or largest <= high_mm + _ALLOWANCE_MM
    )
    verdict = _verdict(span, inside=inside, confidence_probability=confidence_probability)
    return StemClearance(
        largest_mm=largest,
        smallest_mm=smallest,
        mean_mm=sum(bore_means) / len(bore_means) - sum(stem_means) / len(stem_means),
        u_clearance_mm=u,
        bore_taper_mm=max(bore_means) - min(bore_means),
        stem_taper_mm=max(stem_means) - min(stem_means),
        bell_mouth_mm=_bell_mouth(bore_means),
        bore_out_of_round_mm=max(each.out_of_round_mm for each in bores),
        stem_out_of_round_mm=max(each.out_of_round_mm for each in stems),
        inside=inside,
        probability=None if span is None else span[0],
        verdict=None if low_mm is None and high_mm is None else verdict,
    )


def _check(
    bores: Sequence[Across], *, stems: Sequence[Across], low_mm: float | None, high_mm: float | None
) -> None:
    sizes = [size for each in (*bores, *stems) for size in (each.first_mm, each.second_mm)]
    if not bores or not stems or not min(sizes) > 0.0:
        raise InputError(
            "A clearance needs the guide and the stem, each read at one depth or more and above "
            f"0, got {len(bores)} and {len(stems)} depths; measure what is missing."
        )
    if low_mm is not None and high_mm is not None and low_mm > high_mm:
        raise InputError(
            f"A low limit is at most the high one, got {low_mm:.4f} and {high_mm:.4f} mm."
        )


def _probabilities(
    largest: float, *, smallest: float, low_mm: float | None, high_mm: float | None, u: float | None
) -> tuple[float, float] | None:
    """Least and largest probability that both extremes lie in the limits."""
    if u is None or (low_mm is None and high_mm is None):
        return None
    held = conformance_probability(largest, u=u, low=None, high=high_mm)
    kept = conformance_probability(smallest, u=u, low=low_mm, high=None)
    return max(0.0, held + kept - 1.0), min(held, kept)


def _verdict(
    span: tuple[float, float] | None, *, inside: bool, confidence_probability: float
) -> Verdict:
    if not 0.5 < confidence_probability < 1.0:
        raise InputError(
            f"A confidence lies between 0.5 and 1, got {confidence_probability:g}; 0.95 is usual."
        )
    if span is None:
        return Verdict.INSIDE if inside else Verdict.OUTSIDE
    least, most = span
    if least >= confidence_probability:
        return Verdict.INSIDE
    return Verdict.OUTSIDE if most <= 1.0 - confidence_probability else Verdict.CLOSE


def _bell_mouth(means: Sequence[float]) -> float:
    between = means[1:-1]
    return max(0.0, max(means[0], means[-1]) - min(between)) if between else 0.0
