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

SMALLEST_PITCH_MM = 0.02
WIDEST_FEED_MM = 1.5
"""Marks farther apart are waves, not feed (common practice, no source)."""

LEAST_PERIODS_COUNT = 5
STANDS_OUT = 15.0
"""Times above the spectrum beside it; noise alone passes this once in some 10,000 traces."""

LEAST_SHARE_RATIO = 0.2
LEAST_WAVE_SHARE_RATIO = 0.6
LEAST_WAVE_POWER_RATIO = 0.1
"""Waves lower than this share of the roughness power are left alone."""

OVERTONES_COUNT = 8
_PEAKS_COUNT = 32
_NEAR, _FAR = 3, 11


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
    block_count = max(1, floor(FINEST_MM / spacing_mm + 1e-9))
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
        Cut-off that parts roughness from waviness [mm]; ``None`` takes the table's for the
        pitch found.

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
    L = trace.length_mm
    P = power(trace)
    peaks = _peaks(P)
    pitches = [L / k for k in peaks]
    marks = _marks(
        trace,
        P=P,
        peaks=[k for k, p in zip(peaks, pitches, strict=True) if _is_feed_like(p)],
        cutoff_mm=cutoff_mm,
    )
    roughness = _roughness(
        trace, cutoff_mm=cutoff_mm or cutoff_for_spacing(marks.pitch_mm if marks else 0.4).cutoff_mm
    )
    beside = _beside(trace, P=P, peaks=peaks, marks=marks, roughness=roughness)
    long = [k for k, p in zip(peaks, pitches, strict=True) if p > WIDEST_FEED_MM]
    return Repeats(
        marks=marks, beside=beside, waves=_waves(trace, P=P, peaks=long, roughness=roughness)
    )


def _is_feed_like(pitch: float) -> bool:
    return SMALLEST_PITCH_MM <= pitch <= WIDEST_FEED_MM


def _peaks(P: NDArray[np.float64]) -> list[int]:
    """Local maxima of the spectrum that stand out on both sides, the highest first."""
    k = np.arange(LEAST_PERIODS_COUNT, len(P) - _FAR)
    k = k[(P[k] > P[k - 1]) & (P[k] >= P[k + 1]) & (P[k] > 0.0)]
    if len(k) > _PEAKS_COUNT:
        k = k[np.argpartition(-P[k], _PEAKS_COUNT)[:_PEAKS_COUNT]]
    k = k[np.argsort(-P[k])]
    return [int(at) for at in k if P[at] > STANDS_OUT * _beside_level(P, int(at))]


def _beside_level(P: NDArray[np.float64], k: int) -> float:
    """Level of the spectrum beside a peak: the higher of the medians on its two sides."""
    left = P[max(1, k - _FAR + 1) : max(2, k - _NEAR + 1)]
    right = P[k + _NEAR : k + _FAR]
    return float(max(np.median(left), np.median(right)))


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
        times = strongest / k
        whole = round(times)
        if whole >= 2 and abs(times - whole) * k < 1.0 and _explained(P, k) > most:
            best, most = k, _explained(P, k)
    return best


def _refined(P: NDArray[np.float64], k: int) -> float:
    """Frequency between the bins: each clear overtone votes with its own place."""
    votes = weight = 0.0
    for overtone in range(1, OVERTONES_COUNT + 1):
        guess = overtone * (votes / weight if weight else float(k))
        at = round(guess)
        if at + _FAR >= len(P):
            break
        at += int(np.argmax(P[at - 1 : at + 2])) - 1
        if overtone > 1 and P[at] < STANDS_OUT * _beside_level(P, at):
            break
        a, b, c = (float(v) for v in np.log(P[at - 1 : at + 2] + np.finfo(float).tiny))
        bend = a - 2.0 * b + c
        place = at + (0.5 * (a - c) / bend if bend < 0.0 else 0.0)
        votes += overtone * place
        weight += overtone**2
    return votes / weight


def _marks(
    trace: Thinned, *, P: NDArray[np.float64], peaks: list[int], cutoff_mm: float | None
) -> Repeat | None:
    if not peaks:
        return None
    pitch = trace.length_mm / _refined(P, _fundamental(P, peaks))
    roughness = _roughness(trace, cutoff_mm=cutoff_mm or cutoff_for_spacing(pitch).cutoff_mm)
    share = folded_share_ratio(roughness, pitch_mm=pitch)
    return Repeat(pitch_mm=pitch, share_ratio=share) if share >= LEAST_SHARE_RATIO else None


def _roughness(trace: Thinned, *, cutoff_mm: float) -> Thinned:
    cutoff = min(cutoff_mm, trace.length_mm / 2.0)
    z = trace.height_um - mean_line(
        trace.height_um, spacing_mm=trace.spacing_mm, cutoff_mm=cutoff, ends=Ends.DROPPED
    )
    half = ceil(cutoff / 2.0 / trace.spacing_mm)
    return Thinned(spacing_mm=trace.spacing_mm, height_um=z[half : len(z) - half])


def _beside(
    trace: Thinned,
    *,
    P: NDArray[np.float64],
    peaks: list[int],
    marks: Repeat | None,
    roughness: Thinned,
) -> Repeat | None:
    """The strongest pitch of the roughness that is no kin of the marks."""
    if marks is None:
        return None
    own = trace.length_mm / marks.pitch_mm
    for k in peaks:
        if not _is_feed_like(trace.length_mm / k) or _kin(k, own):
            continue
        pitch = trace.length_mm / _refined(P, k)
        share = folded_share_ratio(roughness, pitch_mm=pitch)
        if share >= LEAST_SHARE_RATIO:
            return Repeat(pitch_mm=pitch, share_ratio=share)
    return None


def _kin(k: float, own: float) -> bool:
    """Whether a frequency is a multiple or whole fraction of another, to two bins."""
    times = max(k / own, own / k)
    return abs(times - round(times)) * min(k, own) < 2.0


def _waves(
    trace: Thinned, *, P: NDArray[np.float64], peaks: list[int], roughness: Thinned
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
    only where neighbouring lengths agree (autocorrelation at one pitch).

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
    neighbours = float(np.mean(laid[1:] * laid[:-1])) / total
    share = (kept - 1.0 / M) / (1.0 - 1.0 / M)
    return max(0.0, min(share, 1.0)) if neighbours > 0.5 * share else 0.0
