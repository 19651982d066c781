"""What the log of a port says, in words, in the units a person chose."""

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.leak.decay import Decay
from castworthy.calc.leak.verdict import LeakJudgement
from castworthy.units import Show

PRACTICES = (
    "A port that seals shows nearly the pump's full vacuum, and no leak-down with the pump off.",
    "Oil on a seat fakes a pass: dry seat and face first.",
    "Guide, stem seal, plugs and port walls leak like a seat; so do adapter and line.",
    "A pass proves that the seat closes all round, not its run-out, width or the spring's load.",
    "Keep fingers off the port while it is under vacuum.",
)
"""What to mind at every vacuum test (common practice, no source)."""


def leak_sentences(
    decay: Decay, *, show: Show, judgement: LeakJudgement | None = None
) -> tuple[str, ...]:
    """Verdict first where there is one, then leak, hole, loss and readings left out."""
    return tuple(
        words
        for words in (
            "" if judgement is None else _verdict_words(decay, judgement, show=show),
            _leak_words(decay),
            _hole_words(decay, show=show),
            loss_sentence(decay, show=show),
            _stray_words(decay),
        )
        if words
    )


def log_sentences(
    decay: Decay,
    *,
    show: Show,
    judgement: LeakJudgement | None = None,
    gauge: str = "",
    volume_known: bool = True,
) -> tuple[str, ...]:
    """What a log tells, the verdict first; without a volume there is no leak to tell."""
    told = leak_sentences(decay, show=show, judgement=judgement)
    if not volume_known:
        first = () if judgement is None else told[:1]
        told = (*first, loss_sentence(decay, show=show))
    counted = counted_sentence(decay, show=show, gauge=gauge, volume_known=volume_known)
    return (*told, counted) if counted else told


def loss_sentence(decay: Decay, *, show: Show) -> str:
    """What the port loses in the hold and what it holds then."""
    low, high = decay.loss_interval_kpa
    hold = show.value(decay.hold_s, suffix="s")
    held = _vacuum(decay.held_kpa, show)
    if not decay.seen:
        return f"In {hold} it loses at most {_vacuum(high, show)} and still holds about {held}."
    return (
        f"In {hold} it loses {_vacuum(decay.loss_in_hold_kpa, show)} "
        f"({_bare(low, show)} to {_bare(high, show)}) and still holds {held}."
    )


def counted_sentence(
    decay: Decay, *, show: Show, gauge: str = "", volume_known: bool = True
) -> str:
    """What the intervals count beside the scatter of the readings; empty where nothing."""
    counted = []
    if volume_known and decay.port.u_volume_cm3 > 0.0:
        u = show.value(decay.port.u_volume_cm3, suffix="cm3", digits=1)
        counted.append(f"{u} in the volume, for leak and hole")
    if decay.u_shared_kpa > 0.0:
        counted.append(
            f"{_vacuum(decay.u_shared_kpa, show)} that {gauge or 'the gauge'} may be out by in "
            "every reading alike, for what is held"
        )
    return f"Counted in: {'; '.join(counted)}." if counted else ""


def leak_words(leak_std_cm3_per_min: float) -> str:
    """A leak rate to three figures: ``16.7 std cm³/min``.

    Parameters
    ----------
    leak_std_cm3_per_min
        leak rate [cm3 of 101.325 kPa a minute], scalar

    References
    ----------
    :data:`castworthy.calc.leak.flow.STD_CM3_PER_MIN_PA_M3_PER_S`.

    """
    return f"{leak_std_cm3_per_min:.3g} std cm³/min"


def _leak_words(decay: Decay) -> str:
    low, high = decay.leak_interval_std_cm3_per_min
    if not decay.seen:
        return f"No leak can be told from none: it is at most {leak_words(high)}."
    return f"It leaks {leak_words(decay.leak_std_cm3_per_min)} ({low:.3g} to {high:.3g})."


def _hole_words(decay: Decay, *, show: Show) -> str:
    low, high = decay.hole_interval_um
    if not decay.seen:
        return f"A round hole of {_hole(high, show)} would be seen."
    value, unit = _hole(decay.hole_um, show), show.unit("mm", difference=True)
    ends = " to ".join(_hole(each, show).removesuffix(f" {unit}") for each in (low, high))
    return f"One round hole of {value} ({ends}) would pass that."


def _stray_words(decay: Decay) -> str:
    strays = decay.strays_s
    if not strays:
        return ""
    when = ", ".join(f"{each:g}" for each in strays[:4]) + (", ..." if len(strays) > 4 else "")
    if len(strays) == 1:
        return f"The reading at {when} s lies far off the rest and was left out."
    return f"{len(strays)} readings lie far off the rest and were left out (at {when} s)."


def _verdict_words(decay: Decay, judgement: LeakJudgement, *, show: Show) -> str:
    limits = []
    if judgement.most_loss_kpa is not None:
        limits.append(f"lose at most {_vacuum(judgement.most_loss_kpa, show)}")
    if judgement.least_held_kpa is not None:
        limits.append(f"hold at least {_vacuum(judgement.least_held_kpa, show)}")
    asked = f"it is to {' and '.join(limits)} in {show.value(decay.hold_s, suffix='s')}"
    match judgement.verdict:
        case Verdict.INSIDE:
            return f"The port seals: {asked}."
        case Verdict.OUTSIDE:
            return f"The port leaks too much: {asked}."
        case _:
            return f"Too close to call: {asked}. Log it longer, or read it more often."


def _vacuum(pressure_kpa: float, show: Show) -> str:
    return show.of_vacuum().value(pressure_kpa, suffix="kpa", digits=2)


def _bare(pressure_kpa: float, show: Show) -> str:
    return show.of_vacuum().number(pressure_kpa, suffix="kpa", digits=2)


def _hole(hole_um: float, show: Show) -> str:
    return show.value(hole_um / 1e3, suffix="mm", difference=True)
