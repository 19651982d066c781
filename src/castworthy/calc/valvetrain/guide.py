"""Guide and stem: clearance, wear and shape from readings at several depths."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.errors import InputError


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
    limits or uncertainty.
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


def stem_clearance(
    bores: Sequence[Across],
    *,
    stems: Sequence[Across],
    low_mm: float | None = None,
    high_mm: float | None = None,
    u_bore_mm: float | None = None,
    u_stem_mm: float | None = None,
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

    Returns
    -------
    StemClearance
        Figures [mm] and whether the extremes lie in the limits.

    Raises
    ------
    InputError
        If there are no readings, one is not positive, or the low limit is above the high one.

    References
    ----------
    Readings in two directions at two or three depths: common practice, no source.
    JCGM 106:2012, 7.2 for the probability.

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
        inside=(low_mm is None or smallest >= low_mm) and (high_mm is None or largest <= high_mm),
        probability=_probability(largest, smallest=smallest, low_mm=low_mm, high_mm=high_mm, u=u),
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


def _probability(
    largest: float, *, smallest: float, low_mm: float | None, high_mm: float | None, u: float | None
) -> float | None:
    """Exact where one error moves both extremes, a lower bound otherwise (Bonferroni)."""
    if u is None or (low_mm is None and high_mm is None):
        return None
    held = conformance_probability(largest, u=u, low=None, high=high_mm)
    kept = conformance_probability(smallest, u=u, low=low_mm, high=None)
    return max(0.0, held + kept - 1.0)


def _bell_mouth(means: Sequence[float]) -> float:
    between = means[1:-1]
    return max(0.0, max(means[0], means[-1]) - min(between)) if between else 0.0
