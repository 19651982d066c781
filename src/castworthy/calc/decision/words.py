"""A judgement in one sentence, never a bare number without its unit and side."""

from castworthy.calc.decision.judge import span_of
from castworthy.calc.decision.phrases import (
    WORDINGS,
    amount_phrase,
    own_show,
    reading_phrase,
    side_of,
    subject,
)
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.head import Limit, Rule
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.units import Show


def verdict_sentence(judgement: Judgement, *, show: Show) -> str:
    """What a reading is worth against its limit, as in "2B is too deep by 2.8 thou."."""
    if judgement.value is None or judgement.excess is None:
        return f"{_of(judgement)} is not measured yet."
    match judgement.verdict:
        case Verdict.OUTSIDE:
            return _outside(judgement, show=show)
        case Verdict.CLOSE:
            return f"{_close(judgement, show=show)} {remedy_sentence(judgement, show=show)}"
        case _:
            return _inside(judgement, show=show)


def short_verdict(judgement: Judgement, *, show: Show) -> str:
    """The verdict for a table cell: ``inside``, ``1.6 thou short of the shallow limit``."""
    if judgement.verdict is not Verdict.OUTSIDE or judgement.excess is None:
        return judgement.verdict.value
    by = amount_phrase(judgement.excess, quantity=judgement.quantity, show=show)
    names = WORDINGS[judgement.quantity]
    if _past_high(judgement):
        return f"{by} past the {names.high_limit}"
    return f"{by} short of the {names.low_limit}"


def remedy_sentence(judgement: Judgement, *, show: Show) -> str:
    """What would settle a value too close to call; empty for any other verdict."""
    if judgement.verdict is not Verdict.CLOSE:
        return ""
    if judgement.repeats_count is not None:
        return (
            f"Reading it {judgement.repeats_count} times in all would settle it, if the mean stays."
        )
    if judgement.u_wanted is not None:
        suffix = FACTS[judgement.quantity].suffix
        show = own_show(show, quantity=judgement.quantity)
        wanted = show.value(
            judgement.u_wanted, suffix=suffix, difference=True, digits=_finer(show, suffix)
        )
        return f"A gauge with a standard uncertainty of {wanted} or less would settle it."
    return "It lies on the limit itself: no gauge settles that; bring it further inside."


def rule_sentence(judgement: Judgement) -> str:
    """Says when a guarded limit was judged on the bare reading; empty otherwise."""
    if judgement.rule is Rule.GUARDED and judgement.rule_applied is Rule.SIMPLE:
        return f"{_of(judgement)} is judged on the bare reading: no gauge is known for it."
    return ""


def coarse_sentence(judgement: Judgement, *, show: Show) -> str:
    """Warns of a gauge that reads in steps too large for the limit; empty otherwise."""
    if not judgement.coarse:
        return ""
    limit = Limit(quantity=judgement.quantity, low=judgement.low, high=judgement.high)
    span = span_of(limit)
    of = (
        "" if span is None else f" of {amount_phrase(span, quantity=judgement.quantity, show=show)}"
    )
    return (
        f"The gauge used for {_of(judgement, start=False)} reads in steps of more than a tenth of "
        f"the allowed span{of}; a finer one is wanted."
    )


def limit_sentence(limit: Limit, *, show: Show) -> str:
    """The limit in words: ``allowed 0.0325 to 0.0465 in below the deck``."""
    low, high = limit.low, limit.high
    if low is None and high is None:
        return "no limit"
    if low is None:
        return f"allowed up to {_bound(high, limit.quantity, show)}"
    if high is None:
        return f"allowed {_bound(low, limit.quantity, show)} or more"
    if low < 0.0 <= high or low <= 0.0 < high:
        start, end = (_bound(bound, limit.quantity, show) for bound in (low, high))
        return f"allowed from {start} to {end}"
    side = side_of(high or low, quantity=limit.quantity)
    suffix = FACTS[limit.quantity].suffix
    show = own_show(show, quantity=limit.quantity)
    near, far = sorted((abs(low), abs(high))) if side else (low, high)
    text = f"allowed {show.number(near, suffix=suffix)} to {show.value(far, suffix=suffix)}"
    return f"{text} {side}".rstrip()


def _bound(value: float | None, quantity: Quantity, show: Show) -> str:
    return reading_phrase(value or 0.0, quantity=quantity, show=show)


def _of(judgement: Judgement, *, start: bool = True) -> str:
    quantity = judgement.quantity
    if quantity is Quantity.RECESSION:
        name = f"recession of {judgement.place}"
        return f"The {name}" if start else f"the {name}"
    text = subject(quantity, place=judgement.place)
    return text if start else f"{text[0].lower()}{text[1:]}"


def _past_high(judgement: Judgement) -> bool:
    if judgement.high is None or judgement.value is None:
        return False
    if judgement.low is None:
        return True
    return judgement.value - judgement.high >= judgement.low - judgement.value


def _outside(judgement: Judgement, *, show: Show) -> str:
    by = amount_phrase(judgement.excess or 0.0, quantity=judgement.quantity, show=show)
    names = WORDINGS[judgement.quantity]
    text = names.above if _past_high(judgement) else names.below
    return f"{text.format(place=judgement.place, by=by)}."


def _inside(judgement: Judgement, *, show: Show) -> str:
    value = reading_phrase(judgement.value or 0.0, quantity=judgement.quantity, show=show)
    by = amount_phrase(judgement.excess or 0.0, quantity=judgement.quantity, show=show)
    what = subject(judgement.quantity, place=judgement.place)
    if (judgement.excess or 0.0) >= 0.0:
        return f"{what} is inside, on the limit: {value}."
    return f"{what} is inside: {value}, {by} to spare."


def _close(judgement: Judgement, *, show: Show) -> str:
    value = reading_phrase(judgement.value or 0.0, quantity=judgement.quantity, show=show)
    excess = judgement.excess or 0.0
    by = amount_phrase(excess, quantity=judgement.quantity, show=show)
    names = WORDINGS[judgement.quantity]
    limit = names.high_limit if _past_high(judgement) else names.low_limit
    where = "on" if excess == 0.0 else f"{by} {'past' if excess > 0.0 else 'inside'}"
    what = subject(judgement.quantity, place=judgement.place)
    return f"{what} is too close to call: {value}, {where} the {limit}."


def _finer(show: Show, suffix: str) -> int:
    unit = show.unit(suffix, difference=True)
    return {"thou": 2, "mm": 4, "µm": 3, "µin": 1}.get(unit, 2)
