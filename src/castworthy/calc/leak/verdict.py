"""A port's loss, and the vacuum it still holds, against the sheet's limits."""

from dataclasses import dataclass

from scipy.special import stdtr

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.leak.decay import Decay
from castworthy.calc.leak.doubt import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakJudgement:
    """What the log is worth against its limits; ``probability`` is that of keeping them."""

    verdict: Verdict
    probability: float
    most_loss_kpa: float | None
    least_held_kpa: float | None


def judge_decay(
    decay: Decay,
    *,
    most_loss_kpa: float | None = None,
    least_held_kpa: float | None = None,
    confidence_probability: float = 0.95,
) -> LeakJudgement:
    """Judge a port by the most it may lose in the hold, the least it must hold then, or both.

    Parameters
    ----------
    decay : Decay
        The fit.
    most_loss_kpa : float or None
        Most vacuum it may lose in the hold [kPa], > 0.
    least_held_kpa : float or None
        Least vacuum at the end of the hold [kPa], > 0, counted as a positive figure.
    confidence_probability : float
        Probability asked for, between 0.5 and 1.

    Returns
    -------
    LeakJudgement
        Inside at or above the confidence, outside at or below one minus it, else too close to
        call.  A value within its limits is never called outside, nor one past them inside.  With
        two limits the poorer probability counts.

    Raises
    ------
    InputError
        If neither limit is given, one is not positive, or the confidence is out of range.

    References
    ----------
    JCGM 106:2012, 7.2 and 8.3, with Student's t for the few readings of a log
    (JCGM 100:2008, G.3 and G.4).

    """
    if not 0.5 < confidence_probability < 1.0:
        raise InputError(
            f"confidence_probability must lie between 0.5 and 1 (got {confidence_probability})."
        )
    rooms = []
    loss = Part(u=decay.u_loss_kpa, freedom_count=decay.loss_freedom_count)
    held = Part(u=decay.u_held_kpa, freedom_count=decay.held_freedom_count)
    for name, limit, room, doubt in (
        ("most_loss_kpa", most_loss_kpa, (most_loss_kpa or 0.0) - decay.loss_in_hold_kpa, loss),
        ("least_held_kpa", least_held_kpa, decay.held_kpa - (least_held_kpa or 0.0), held),
    ):
        if limit is None:
            continue
        if limit <= 0.0:
            raise InputError(f"{name} must be above 0 (got {limit:g} kPa); check the limit.")
        rooms.append((room, doubt))
    if not rooms:
        raise InputError("Give most_loss_kpa or least_held_kpa to judge the port by.")
    probability = min(_probability(room, doubt=doubt) for room, doubt in rooms)
    within = all(room >= 0.0 for room, _ in rooms)
    return LeakJudgement(
        verdict=_verdict(probability, within=within, confidence=confidence_probability),
        probability=probability,
        most_loss_kpa=most_loss_kpa,
        least_held_kpa=least_held_kpa,
    )


def _probability(room: float, *, doubt: Part) -> float:
    if doubt.u == 0.0:
        return 1.0 if room >= 0.0 else 0.0
    return float(stdtr(doubt.freedom_count, room / doubt.u))


def _verdict(probability: float, *, within: bool, confidence: float) -> Verdict:
    if within and probability >= confidence:
        return Verdict.INSIDE
    if not within and probability <= 1.0 - confidence:
        return Verdict.OUTSIDE
    return Verdict.CLOSE
