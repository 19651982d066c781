"""A trace and its cure in words, the same on the page and on paper."""

from castworthy.calc.decision.phrases import reading_phrase
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.records.lookups.finish import Cure, JudgedTrace
from castworthy.records.models import Face
from castworthy.units import Show
from castworthy.units.retell import retell

PARAMETERS = (
    ("ra_um", "Ra", "um"),
    ("rq_um", "Rq", "um"),
    ("rz_um", "Rz", "um"),
    ("rt_um", "Rt", "um"),
    ("rp_um", "Rp", "um"),
    ("rv_um", "Rv", "um"),
    ("rsk", "Rsk", ""),
    ("rku", "Rku", ""),
    ("rsm_mm", "RSm", "mm"),
    ("rdq", "Rdq", ""),
    ("rk_um", "Rk", "um"),
    ("rpk_um", "Rpk", "um"),
    ("rvk_um", "Rvk", "um"),
    ("mr1_ratio", "Mr1", "ratio"),
    ("mr2_ratio", "Mr2", "ratio"),
    ("wa_um", "Wa", "um"),
    ("wt_um", "Wt", "um"),
)
"""JSON key, symbol of the standard and unit suffix of everything a trace is evaluated for."""


def cause_of(judged: JudgedTrace, *, show: Show) -> str:
    """What made the surface, in a sentence of the reader's units."""
    return in_units_of(str(judged.trace.result["made_by"]["sentence"]), show=show)


def warnings_of(judged: JudgedTrace, *, show: Show) -> tuple[str, ...]:
    """What to mind about a trace."""
    return tuple(in_units_of(each, show=show) for each in judged.trace.result["warnings"])


def in_units_of(sentence: str, *, show: Show) -> str:
    """A sentence of calc's, whose lengths are in mm and um, in the reader's units."""
    return retell(sentence, show=show, sizes=True)


def parameters_of(judged: JudgedTrace, *, show: Show) -> tuple[tuple[str, str], ...]:
    """Every parameter by its symbol, in the reader's units."""
    result = judged.trace.result
    return tuple(
        (symbol, _parameter(result.get(key), suffix=suffix, show=show))
        for key, symbol, suffix in PARAMETERS
    )


def cure_words(cure: Cure | None, *, show: Show) -> str:
    """The feed in one line, for the operation that cuts the deck; empty where none is known."""
    if cure is None or isinstance(cure.advice, Refused):
        return ""
    wanted = reading_phrase(cure.ra_um, quantity=Quantity.FINISH_RA, show=show)
    line = (
        f"Feed {feed_words(cure.advice.feed_mm, show=show)} a turn with the "
        f"{show.value(cure.nose_mm, suffix='mm')} insert for Ra {wanted}"
    )
    interval = cure.advice.interval_um
    if interval is None:
        return f"{line}, by the ideal cusp; no cutter is ideal, trace it and correct."
    low, high = (show.number(each, suffix="um") for each in interval)
    return (
        f"{line}; {cure.advice.from_traces_count} traces on {cure.machine} say {low} to {high} "
        f"{show.unit('um')}."
    )


def feed_words(feed_mm: float, *, show: Show) -> str:
    """A feed per turn, to a tenth of a thou."""
    return show.value(feed_mm, suffix="mm", digits=3 if show.metric else 4)


def trace_about(judged: JudgedTrace, *, show: Show) -> str:
    """File, instrument, machine and person of a trace in one line."""
    trace = judged.trace
    number = f", profile {trace.profile_number}" if trace.profile_number > 1 else ""
    cut = [trace.machine] if trace.machine else []
    if trace.feed_set_mm is not None:
        cut.append(f"feed {feed_words(trace.feed_set_mm, show=show)}")
    if trace.nose_mm is not None:
        cut.append(f"insert {show.value(trace.nose_mm, suffix='mm')}")
    face = "block face" if trace.face == Face.BLOCK else ""
    parts = (face, f"{trace.file_name}{number}", trace.gauge, *cut, trace.by)
    return " · ".join(part for part in parts if part)


def past_of(judged: JudgedTrace) -> str:
    """Why a trace does not count; empty when it does."""
    if judged.trace.set_aside:
        return f"set aside: {judged.trace.set_aside}"
    if judged.trace.stale_by is not None:
        return "taken before the deck was cut"
    return ""


def conditions_of(judged: JudgedTrace, *, show: Show) -> str:
    """How a trace was evaluated: edition, cut-off, sections, ends."""
    result = judged.trace.result
    chosen = in_units_of(str(result["cutoff_from"]), show=show)
    length = f"{show.value(result['cutoff_mm'], suffix='mm')} cut-off ({chosen})"
    sections = result["sections_count"]
    return (
        f"ISO {'21920-2:2021' if result['edition'] == '2021' else '4287:1997'}, {length}, "
        f"{sections} section{'' if sections == 1 else 's'}, ends {result['ends']}"
    )


def _parameter(value: float | None, *, suffix: str, show: Show) -> str:
    if value is None:
        return "none"
    if suffix == "um":
        return show.value(value, suffix="um", digits=None if show.metric else 1)
    if suffix == "mm":
        return show.value(value, suffix="mm")
    return f"{100 * value:.1f} %" if suffix == "ratio" else f"{value:.3g}"
