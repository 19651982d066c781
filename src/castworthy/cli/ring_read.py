"""A fitted ring's readings, and a deck cut after it, for ``castworthy ring``."""

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import Any

import click
from rich.console import Console

from castworthy.calc.head import Limit, WorkRules
from castworthy.calc.outcome import Refused
from castworthy.calc.sealing.groove import Groove, RingFit
from castworthy.calc.sealing.ring_readings import (
    STEP_HIGH_MM,
    CutGroove,
    RingReadings,
    RingVerdict,
    after_deck_cut,
    deck_cut_sentence,
    judge_ring,
    ring_sentences,
)
from castworthy.cli.answers import Answer
from castworthy.cli.page import bullets
from castworthy.cli.typed import Typed
from castworthy.units import Show

_LENGTH = Typed("mm", least=0.0)
_SIGNED = Typed("mm")
_RING = "as read"
_ALLOWANCE_MM = 1e-6

Ends = tuple[float | None, float | None]
"""The stands allowed [mm]; ``None`` leaves that side open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRing:
    """The ring as read and the groove as cut again; ``None`` where not asked."""

    verdict: RingVerdict | None
    cut: CutGroove | None


def ring_read_options(command: Callable[..., None]) -> Any:
    """The options of readings and of a later deck cut."""
    for option in reversed(
        (
            click.option(
                "--read",
                "around_mm",
                type=_SIGNED,
                multiple=True,
                help="Stand of the fitted ring at one place, as 9.1thou; again, four or more.",
            ),
            click.option(
                "--joint",
                "joint_mm",
                type=_SIGNED,
                nargs=2,
                help="Its stand before and after the joint.",
            ),
            click.option(
                "--u-read", "u_read_mm", type=_LENGTH, help="Standard uncertainty of one stand."
            ),
            click.option(
                "--most-step",
                "step_high_mm",
                type=_LENGTH,
                default=f"{STEP_HIGH_MM}mm",
                show_default=True,
                help="Largest step across the joint.",
            ),
            click.option(
                "--confidence",
                "confidence_probability",
                type=click.FloatRange(min=0.5, max=1.0, min_open=True, max_open=True),
                help="Probability a verdict on them asks for; else the sheet's own, else 0.95.",
            ),
            click.option(
                "--deck-cut",
                "deck_cut_mm",
                type=_LENGTH,
                help="Deck cut after the groove was, as 4thou.",
            ),
        )
    ):
        command = option(command)
    return command


def read_ring(
    groove: Groove, *, asked: dict[str, Any], limit: Limit | None, work: WorkRules
) -> ReadRing | Refused:
    """The readings judged by the stand allowed; ``Refused`` where a place was not read."""
    verdict = _judged(asked, limit=limit, work=work)
    if isinstance(verdict, Refused):
        return replace(verdict, reason=_of_one(verdict.reason))
    cut = asked["deck_cut_mm"]
    return ReadRing(
        verdict=verdict, cut=None if cut is None else after_deck_cut(groove, deck_cut_mm=cut)
    )


def _judged(
    asked: dict[str, Any], *, limit: Limit | None, work: WorkRules
) -> RingVerdict | Refused | None:
    if not asked["around_mm"] and asked["joint_mm"] is None:
        return None
    if limit is None:
        raise click.UsageError("Readings are judged by the stand allowed: give --stand or --sheet.")
    before, after = asked["joint_mm"] or (None, None)
    confidence = asked["confidence_probability"]
    return judge_ring(
        RingReadings(
            cylinder=_RING,
            around_mm=asked["around_mm"],
            before_joint_mm=before,
            after_joint_mm=after,
            u_mm=asked["u_read_mm"],
        ),
        limit=limit,
        confidence_probability=work.confidence_probability if confidence is None else confidence,
        step_high_mm=asked["step_high_mm"],
    )


def stand_cautions(fit: RingFit, *, stand_mm: Ends, show: Show) -> list[str]:
    """Whether a wire stands as is allowed, on the groove's floor and if its metal rises."""
    low, high = stand_mm
    at, top = (show.value(size, suffix="mm") for size in (fit.stand_mm, fit.stand_upper_mm))
    if (low is not None and fit.stand_mm < low - _ALLOWANCE_MM) or (
        high is not None and fit.stand_mm > high + _ALLOWANCE_MM
    ):
        return [f"The stand of {at} is outside {_stand_words(stand_mm, show=show)}."]
    if high is None or fit.stand_upper_mm <= high + _ALLOWANCE_MM:
        return []
    return [
        f"If the pressed wire flows upward it stands up to {top}, past the "
        f"{show.value(high, suffix='mm')} allowed: fit one ring and measure it before the rest "
        "are cut."
    ]


def _stand_words(stand_mm: Ends, *, show: Show) -> str:
    low, high = (None if end is None else show.value(end, suffix="mm") for end in stand_mm)
    if low is None:
        return f"what is allowed, {high} at most"
    return f"what is allowed, {low} at least" if high is None else f"{low} to {high}"


def read_answer(read: ReadRing, *, show: Show) -> Answer:
    """The same as JSON."""
    verdict, cut = read.verdict, read.cut
    return {
        "read": None
        if verdict is None
        else {
            "verdict": verdict.verdict.value,
            "stands": [
                {
                    "place": each.place.removeprefix(f"{_RING} "),
                    "stand_mm": each.value,
                    "u_mm": each.u,
                    "verdict": each.verdict.value,
                    "probability": each.probability,
                }
                for each in verdict.judgements
            ],
            "step_mm": verdict.step_mm,
            "step_high_mm": verdict.step_high_mm,
            "step_inside": verdict.step_inside,
            "spread_mm": verdict.spread_mm,
            "sentences": _sentences(verdict, show=show),
        },
        "after_deck_cut": None
        if cut is None
        else asdict(cut) | {"sentence": deck_cut_sentence(cut, show=show)},
    }


def print_read(out: Console, read: ReadRing, *, show: Show) -> None:
    """The same as a person reads it; nothing where nothing was read."""
    if read.verdict is not None:
        bullets(out, "As read", _sentences(read.verdict, show=show))
    if read.cut is not None:
        bullets(out, "The deck cut", filter(None, [deck_cut_sentence(read.cut, show=show)]))


def _sentences(verdict: RingVerdict, *, show: Show) -> list[str]:
    return [_of_one(said) for said in ring_sentences(verdict, show=show)]


def _of_one(said: str) -> str:
    """A sentence of one ring that belongs to no cylinder."""
    return said.replace(f"The ring of cylinder {_RING}", "The ring")
