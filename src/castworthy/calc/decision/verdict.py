"""What a reading is worth against its limit."""

from dataclasses import dataclass
from enum import StrEnum

from castworthy.calc.head import Rule
from castworthy.calc.quantity import Quantity


class Verdict(StrEnum):
    """The answer for one limit at one place; the value is what people read."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    CLOSE = "too close to call"
    MISSING = "not measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """One reading judged, in the unit of its quantity.

    ``excess`` is how far the value lies past its nearest limit: positive outside, negative
    to spare.  ``probability`` is the conformance probability, ``None`` without a known gauge.
    ``repeats_count`` is how many readings in all would settle a value too close to call
    (``None``: no number up to 50 would); ``u_wanted`` the standard uncertainty that would
    (``None``: the value lies on the limit).  ``coarse`` warns that the gauge reads in steps
    above a tenth of the span.
    """

    quantity: Quantity
    place: str
    verdict: Verdict
    value: float | None = None
    u: float | None = None
    probability: float | None = None
    low: float | None = None
    high: float | None = None
    aim: float | None = None
    excess: float | None = None
    rule: Rule = Rule.GUARDED
    rule_applied: Rule = Rule.GUARDED
    repeats_count: int | None = None
    u_wanted: float | None = None
    coarse: bool = False
    source: str = ""
