"""Marks that repeat along a trace: found in its spectrum, proved by folding the trace.

A tool's mark stands out of the spectrum on both sides of its own frequency, with overtones
at whole multiples of it; ground metal and waviness rise and fall broadly.  What the spectrum
proposes is folded: the trace is cut into lengths of one pitch and laid on itself.  What
repeats stays, what does not averages out.
"""

from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from castworthy.calc.texture.cutoff import cutoff_for_spacing
from castworthy.calc.texture.filtering import mean_line
from castworthy.calc.texture.profile import Ends, Spectrum

FINEST_MM = 0.002
"""Points closer than this are averaged first; no feed mark is that fine."""

FEWEST_COUNT = 16
"""Points a thinned trace keeps at least."""

SMALLEST_PITCH_MM = 0.02
USUAL_PITCH_MM = 0.4
WIDEST_FEED_MM = 1.5
"""Marks farther apart are waves, not feed (common practice, no source)."""

LEAST_PERIODS_COUNT = 5
STANDS_OUT = 15.0
"""Times above the spectrum beside it; noise alone passes this once in some 10,000 traces."""

LEAST_SHARE_RATIO = 0.25
LEAST_WAVE_SHARE_RATIO = 0.7
LEAST_WAVE_POWER_RATIO = 0.1
"""Waves lower than this share of the roughness power are left alone."""

OVERTONES_COUNT = 8
_PEAKS_COUNT = 32
_NEAR, _FAR = 3, 11
_FEW = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeat:
    """Something that repeats every ``pitch_mm``, with its share of the power."""

    pitch_mm: float
    share_ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeats:
    """What repeats on a trace: the marks of the roughness, and what rides beside them."""

    marks: Repeat | None
    beside: Repeat | None
    waves: Repeat | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thinned:
    """A levelled trace averaged down to points about 2 um apart."""

    spacing_mm: float
    height_um: NDArray[np.float64]

    @property
    def length_mm(self) -> float:
        """Length covered [mm]."""
        return self.spacing_mm * len(self.height_um)


def thinned(height_um: NDArray[np.float64], *, spacing_mm: float) -> Thinned:
    """Average neighbouring points down to a spacing that still shows every feed mark.

    Parameters
    ----------
    height_um : ndarray of shape (n,)
        Levelled trace [um].
    spacing_mm : float
        Distance between points [mm].

    Returns
    -------
    Thinned
        Means of whole blocks; the same trace where it is coarse already.

    References
    ----------
    Common practice, no source.

    """
    finest_count = floor(FINEST_MM / spacing_mm + 1e-9)
    block_count = max(1, min(finest_count, len(height_um) // FEWEST_COUNT))
    n = len(height_um) // block_count
    blocks = height_um[: n * block_count].reshape(n, block_count)
    means = blocks.sum(axis=1) / block_count if block_count > 1 else height_um
    return Thinned(spacing_mm=spacing_mm * block_count, height_um=means)


def power(trace: Thinned) -> NDArray[np.float64]:
    """Power of a trace at 1, 2, 3... waves over its length (index 0 is zero waves).

    Parameters
    ----------
    trace : Thinned
        The trace.

    Returns
    -------
    ndarray of shape (n // 2 + 1,)
        Squared amplitude under a Hann window.

    References
    ----------
    Periodogram with a Hann window (textbook).

    """
    n = len(trace.height_um)
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(n) / n)
    return np.abs(fft.rfft(trace.height_um * window)) ** 2


def spectrum(trace: Thinned) -> Spectrum:
    """Share of the power by wavelength, longest first.

    Parameters
    ----------
    trace : Thinned
        Roughness over the evaluation length.

    Returns
    -------
    Spectrum
        Shares that sum to one.

    References
    ----------
    Periodogram with a Hann window (textbook).

    """
    P = power(trace)[1:]
    total = P.sum()
    return Spectrum(
        wavelength_mm=trace.length_mm / np.arange(1, len(P) + 1),
        share_ratio=P / total if total > 0.0 else P,
    )


def find_repeats(trace: Thinned, *, cutoff_mm: float | None) -> Repeats:
    """Find what repeats on a levelled trace.

    Parameters
    ----------
    trace : Thinned
        The whole levelled trace.
    cutoff_mm : float or None
        Cut-off that parts roughness from waviness [mm], where it is longer than the table's
        for the pitch found; ``None`` takes the table's.

    Returns
    -------
    Repeats
        ``marks``: pitch up to 1.5 mm with its share of the roughness power; ``beside``:
        another pitch in the roughness, no multiple or fraction of it; ``waves``: a longer
        pitch with its share of the waviness.

    References
    ----------
    Epoch folding; the mean of M unrelated lengths keeps 1/M of their power (textbook).

    """
    P = power(trace)
    peaks = _peaks(P)
    short = [k for k in peaks if SMALLEST_PITCH_MM <= trace.length_mm / k <= WIDEST_FEED_MM]
    long = [k for k in peaks if trace.length_mm / k > WIDEST_FEED_MM]
    marks, beside = _pitches(trace, P=P, peaks=short, cutoff_mm=cutoff_mm)
    waves = _waves(trace, P=P, peaks=long, cutoff_mm=cutoff_mm, marks=marks)
    return Repeats(marks=marks, beside=beside, waves=waves)


def _peaks(P: NDArray[np.float64]) -> list[int]:
    """Local maxima of the spectrum that stand out on both sides, the highest first."""
    k = np.arange(LEAST_PERIODS_COUNT, len(P) - _FAR)
    k = k[(P[k] > P[k - 1]) & (P[k] >= P[k + 1]) & (P[k] > 0.0)]
    if len(k) > _PEAKS_COUNT:
        k = k[np.argpartition(-P[k], _PEAKS_COUNT)[:_PEAKS_COUNT]]
    k = k[np.argsort(-P[k])]
    return [int(at) for at in k[P[k] > STANDS_OUT * _beside_level(P, k)]]


def _beside_level(P: NDArray[np.float64], k: NDArray[np.intp]) -> NDArray[np.float64]:
    """Level of the spectrum beside each peak: the higher of the medians on its two sides.

    At few waves over the trace the left side stops at half the frequency and its highest
    point counts, so that the foot of the waviness is no peak and hides none.
    """
    steps = np.arange(_NEAR, _FAR)
    left = np.sort(P[np.maximum(k[:, None] - steps, (k[:, None] + 1) // 2)], axis=1)
    right = np.sort(P[k[:, None] + steps], axis=1)
    inner = slice(len(steps) // 2 - 1, len(steps) // 2 + 1)
    level: NDArray[np.float64] = np.where(k < _FEW, left[:, -1], left[:, inner].mean(axis=1))
    np.maximum(level, right[:, inner].mean(axis=1), out=level)
    return level


def _explained(P: NDArray[np.float64], k: float) -> float:
    """Power at a frequency and its overtones."""
    total = 0.0
    for overtone in range(1, OVERTONES_COUNT + 1):
        at = round(overtone * k)
        if at + 3 > len(P):
            break
        total += float(P[at - 2 : at + 3].sum())
    return total


def _fundamental(P: NDArray[np.float64], peaks: list[int]) -> int:
    """The strongest peak, or the lower one whose overtone it is."""
    strongest = max(peaks, key=lambda k: P[k])
    best, most = strongest, 1.1 * _explained(P, strongest)
    for k in peaks:
        whole = round(strongest / k)
        off = abs(_place(P, strongest) - whole * _place(P, k))
        if whole >= 2 and off < 0.2 + 0.15 * whole and _explained(P, k) > most:
            best, most = k, _explained(P, k)
    return best


def _place(P: NDArray[np.float64], k: int) -> float:
    """Where a peak stands between the bins: the top of a parabola through its logarithms."""
    a, b, c = np.log(P[k - 1 : k + 2] + np.finfo(float).tiny).tolist()
    bend = a - 2.0 * b + c
    return k + (0.5 * (a - c) / bend if bend < 0.0 else 0.0)


def _refined(P: NDArray[np.float64], k: int) -> float:
    """Frequency between the bins: each overtone that stands out votes with its own place."""
    votes, weight = _place(P, k), 1.0
    for overtone in range(2, OVERTONES_COUNT + 1):
        expected = overtone * votes / weight
        at = round(expected)
        if at + _FAR >= len(P):
            break
        at += int(np.argmax(P[at - 1 : at + 2])) - 1
        place = _place(P, at)
        stands = P[at] > STANDS_OUT * _beside_level(P, np.array([at]))[0]
        if not stands or abs(place - expected) > 0.5:
            break
        votes += overtone * place
        weight += overtone**2
    return votes / weight


def _pitches(
    trace: Thinned, *, P: NDArray[np.float64], peaks: list[int], cutoff_mm: float | None
) -> tuple[Repeat | None, Repeat | None]:
    """The strongest pitch that folding confirms, and the next that is no kin of it.

    Each is weighed in the roughness that its own cut-off leaves (or a longer one given), so
    that a cut-off for fine marks does not hide coarse chatter.
    """
    found: list[Repeat] = []
    while peaks and len(found) < 2:
        place = _refined(P, _fundamental(P, peaks))
        pitch = trace.length_mm / place
        cutoff = max(cutoff_for_spacing(pitch).cutoff_mm, cutoff_mm or 0.0)
        share = folded_share_ratio(_roughness(trace, cutoff_mm=cutoff), pitch_mm=pitch)
        if share >= LEAST_SHARE_RATIO:
            found.append(Repeat(pitch_mm=pitch, share_ratio=share))
        peaks = [k for k in peaks if k != round(place) and not _kin(_place(P, k), place)]
    marks, beside = (*found, None, None)[:2]
    return marks, beside


def _roughness(trace: Thinned, *, cutoff_mm: float) -> Thinned:
    cutoff = min(cutoff_mm, trace.length_mm / 2.0)
    z = trace.height_um - mean_line(
        trace.height_um, spacing_mm=trace.spacing_mm, cutoff_mm=cutoff, ends=Ends.DROPPED
    )
    half = ceil(cutoff / 2.0 / trace.spacing_mm)
    return Thinned(spacing_mm=trace.spacing_mm, height_um=z[half : len(z) - half])


def _kin(k: float, own: float) -> bool:
    """Whether a frequency is a multiple or whole fraction of another, to two bins."""
    times = max(k / own, own / k)
    return abs(times - round(times)) * min(k, own) < 2.0


def _waves(
    trace: Thinned,
    *,
    P: NDArray[np.float64],
    peaks: list[int],
    cutoff_mm: float | None,
    marks: Repeat | None,
) -> Repeat | None:
    """Long waves with nothing of their kind beside them, high enough to matter."""
    if not peaks:
        return None
    pitch = trace.length_mm / _refined(P, max(peaks, key=lambda k: P[k]))
    fine, coarse = (
        mean_line(
            trace.height_um,
            spacing_mm=trace.spacing_mm,
            cutoff_mm=times * pitch,
            ends=Ends.REGRESSION,
        )
        for times in (0.25, 2.5)
    )
    pitch_of_marks = marks.pitch_mm if marks else USUAL_PITCH_MM
    roughness = _roughness(
        trace, cutoff_mm=cutoff_mm or cutoff_for_spacing(pitch_of_marks).cutoff_mm
    )
    band = Thinned(spacing_mm=trace.spacing_mm, height_um=fine - coarse)
    share = folded_share_ratio(band, pitch_mm=pitch)
    strength = share * float(band.height_um.var())
    if (
        share < LEAST_WAVE_SHARE_RATIO
        or strength < LEAST_WAVE_POWER_RATIO * roughness.height_um.var()
    ):
        return None
    return Repeat(pitch_mm=pitch, share_ratio=share)


def folded_share_ratio(trace: Thinned, *, pitch_mm: float) -> float:
    """Share of the power that repeats every pitch.

    The trace is cut into M whole lengths of one pitch, which are averaged; M unrelated
    lengths would keep 1/M of their power by chance, which is taken off.  The share counts
    only where the first half of the trace agrees with the second (autocorrelation over many
    pitches), which a passing likeness does not.

    Parameters
    ----------
    trace : Thinned
        Roughness or waviness.
    pitch_mm : float
        Pitch [mm].

    Returns
    -------
    float
        Share between 0 and 1; 0 where fewer than three pitches fit.

    References
    ----------
    Epoch folding with analysis of variance (textbook).

    """
    n = len(trace.height_um)
    points = pitch_mm / trace.spacing_mm
    M = floor((n - 1) / points)
    if M < 3 or points < 4.0:
        return 0.0
    across_count = min(round(points), 64)
    at = (np.arange(M * across_count) + 0.5) * (points / across_count)
    laid = np.interp(at, np.arange(n), trace.height_um).reshape(M, across_count)
    laid -= laid.mean()
    total = float(np.mean(laid**2))
    if total <= 0.0:
        return 0.0
    kept = float(np.mean(laid.mean(axis=0) ** 2)) / total
    early, late = laid[: M // 2].mean(axis=0), laid[M // 2 :].mean(axis=0)
    agreed = float(np.mean(early * late)) / total
    share = (kept - 1.0 / M) / (1.0 - 1.0 / M)
    return max(0.0, min(share, 1.0)) if agreed > 0.5 * share else 0.0
