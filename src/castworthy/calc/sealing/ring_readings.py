"""Rings measured after fitting: stand all round, the step at the joint, a later deck cut."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import verdict_sentence
from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.sealing.groove import Groove, fit_of
from castworthy.units import Show

STEP_HIGH_MM = 0.025
"""Largest step from one side of a joint to the other where the shop sets none
(value from memory: 0.001 in)."""

FEWEST_PLACES_COUNT = 4
PLACES = ("12 o'clock", "3 o'clock", "6 o'clock", "9 o'clock")
"""Where the four stands are read, in the order they are given."""

BEFORE, AFTER = "before the joint", "after the joint"
_ALLOWANCE_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class RingReadings:
    """The stands of one ring [mm]: four places round it, and both sides of its joint.

    ``u_mm`` is the standard uncertainty of one reading, ``resolution_mm`` the step its gauge
    reads in; ``None`` where no gauge is known.
    """

    cylinder: str
    around_mm: tuple[float, ...]
    before_joint_mm: float | None
    after_joint_mm: float | None
    u_mm: float | None = None
    resolution_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RingVerdict:
    """One ring judged: every reading, the step across the joint, and the ring as a whole."""

    cylinder: str
    verdict: Verdict
    judgements: tuple[Judgement, ...]
    step_mm: float
    step_high_mm: float
    step_inside: bool
    spread_mm: float


def judge_ring(
    readings: RingReadings,
    *,
    limit: Limit,
    confidence_probability: float,
    step_high_mm: float = STEP_HIGH_MM,
) -> RingVerdict | Refused:
    """Judge the stands of a ring by their limit, and the step across its joint.

    Parameters
    ----------
    readings
        four stands or more round the ring, and one each side of the joint [mm]
    limit
        the limit of ring stand [mm]
    confidence_probability
        conformance probability asked for, between 0.5 and 1
    step_high_mm
        largest step across the joint [mm], scalar, > 0

    Returns
    -------
    RingVerdict or Refused
        the ring is inside when every reading is and the step is small enough; outside when
        one reading or the step is outside; refused where a place was not read.  The step is
        judged on the bare readings.

    Raises
    ------
    InputError
        If the limit is of another quantity, or a number is out of range.

    References
    ----------
    Verdicts as in ``decision.judge`` (JCGM 106:2012); places and step common practice, no
    source.

    """
    before, after = readings.before_joint_mm, readings.after_joint_mm
    if before is None or after is None or len(readings.around_mm) < FEWEST_PLACES_COUNT:
        return _places_missing(readings)
    stands = (*readings.around_mm, before, after)
    if not (step_high_mm > 0.0 and all(isfinite(stand) for stand in stands)):
        raise InputError(
            f"Stands are finite and the largest step is above 0 mm, got {stands} and "
            f"{step_high_mm:g} mm."
        )
    judgements = tuple(
        judge(reading, limit=limit, confidence_probability=confidence_probability)
        for reading in _readings(readings, stands=stands)
    )
    step = abs(after - before)
    step_inside = step <= step_high_mm + _ALLOWANCE_MM
    return RingVerdict(
        cylinder=readings.cylinder,
        verdict=_whole(judgements, step_inside=step_inside),
        judgements=judgements,
        step_mm=step,
        step_high_mm=step_high_mm,
        step_inside=step_inside,
        spread_mm=max(stands) - min(stands),
    )


def ring_sentences(verdict: RingVerdict, *, show: Show) -> tuple[str, ...]:
    """What a ring's readings come to: one sentence for a sound ring, each fault otherwise.

    Parameters
    ----------
    verdict
        the judged ring
    show
        the units of the sentences

    Returns
    -------
    tuple of str
        what is outside or too close to call, and the step when it is too large

    References
    ----------
    No outside source.

    """
    found = [
        verdict_sentence(each, show=show)
        for each in verdict.judgements
        if each.verdict is not Verdict.INSIDE
    ]
    step, high = (
        show.value(size, suffix="mm", difference=True)
        for size in (verdict.step_mm, verdict.step_high_mm)
    )
    if not verdict.step_inside:
        found.append(
            f"The ring of cylinder {verdict.cylinder} steps {step} across its joint, more than "
            f"{high}: lift it, file the ends square and fit it again, or cut a new one."
        )
    if found:
        return tuple(found)
    low, top = (
        show.value(size, suffix="mm")
        for size in (
            min(each.value or 0.0 for each in verdict.judgements),
            max(each.value or 0.0 for each in verdict.judgements),
        )
    )
    return (
        f"The ring of cylinder {verdict.cylinder} is inside all round: it stands {low} to {top} "
        f"above the deck and steps {step} across its joint.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CutGroove:
    """A groove after a later deck cut [mm]: the same wire would stand out by the cut more.

    ``recut_mm`` is what the groove must be deepened by to be what it was.
    """

    depth_mm: float
    stand_mm: float
    stand_upper_mm: float
    recut_mm: float

    @property
    def needs_recutting(self) -> bool:
        """True when the deck was cut at all since the groove was."""
        return self.recut_mm > _ALLOWANCE_MM


def after_deck_cut(groove: Groove, *, deck_cut_mm: float) -> CutGroove:
    """A groove that is there already, after the deck is cut.

    Parameters
    ----------
    groove
        wire and groove as it is [mm]
    deck_cut_mm
        stock taken off the deck at the groove [mm], scalar, >= 0

    Returns
    -------
    CutGroove
        depth less the cut, none at least; stands more by as much; flagged for recutting

    Raises
    ------
    InputError
        If the cut is negative or not finite.

    References
    ----------
    A deck cut makes the groove shallower one for one; common practice, no source.

    """
    if not (isfinite(deck_cut_mm) and deck_cut_mm >= 0.0):
        raise InputError(f"A deck cut takes 0 mm or more, got {deck_cut_mm:g} mm.")
    fit = fit_of(groove)
    lost = min(deck_cut_mm, groove.depth_mm)
    return CutGroove(
        depth_mm=groove.depth_mm - lost,
        stand_mm=fit.stand_mm + lost,
        stand_upper_mm=fit.stand_upper_mm + lost,
        recut_mm=deck_cut_mm,
    )


def deck_cut_sentence(cut: CutGroove, *, show: Show) -> str:
    """What a later deck cut means for a ring's groove; empty when nothing was cut.

    Parameters
    ----------
    cut
        the groove after the cut
    show
        the units of the sentence

    Returns
    -------
    str
        how deep it is left, how far the wire would stand out, and what to do

    References
    ----------
    Common practice, no source.

    """
    if not cut.needs_recutting:
        return ""
    by = show.value(cut.recut_mm, suffix="mm", difference=True)
    stand = show.value(cut.stand_mm, suffix="mm", difference=True)
    left = (
        "takes the groove away"
        if cut.depth_mm <= _ALLOWANCE_MM
        else f"leaves the groove {show.value(cut.depth_mm, suffix='mm')} deep, where the wire "
        f"would stand {stand}"
    )
    return (
        f"The deck cut of {by} {left}: take the ring out before the cut, recut the groove by "
        f"{by} after it, and fit a new ring."
    )


def _readings(readings: RingReadings, *, stands: tuple[float, ...]) -> Iterator[Reading]:
    around = len(readings.around_mm)
    names = (
        PLACES
        if around == len(PLACES)
        else tuple(f"place {number + 1}" for number in range(around))
    )
    for name, stand in zip((*names, BEFORE, AFTER), stands, strict=True):
        where = name if name in (BEFORE, AFTER) else f"at {name}"
        yield Reading(
            quantity=Quantity.RING_STAND,
            place=f"{readings.cylinder} {where}",
            value=stand,
            u=readings.u_mm,
            resolution=readings.resolution_mm,
        )


def _whole(judgements: tuple[Judgement, ...], *, step_inside: bool) -> Verdict:
    found = {each.verdict for each in judgements}
    if Verdict.OUTSIDE in found or not step_inside:
        return Verdict.OUTSIDE
    return Verdict.CLOSE if Verdict.CLOSE in found else Verdict.INSIDE


def _places_missing(readings: RingReadings) -> Refused:
    read = len(readings.around_mm)
    joint = sum(1 for side in (readings.before_joint_mm, readings.after_joint_mm) if side is None)
    lacking = []
    if read < FEWEST_PLACES_COUNT:
        lacking.append(f"{FEWEST_PLACES_COUNT - read} of {FEWEST_PLACES_COUNT} places round it")
    if joint:
        lacking.append(f"{joint} of the 2 sides of its joint")
    return Refused(
        code="places-missing",
        reason=f"The ring of cylinder {readings.cylinder} cannot be judged: "
        f"{' and '.join(lacking)} not read.",
        remedy="Read the stand at 12, 3, 6 and 9 o'clock and on both sides of the joint.",
    )
