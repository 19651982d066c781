"""Tags and filters of every page.

``{% load castworthy %}`` then::

    {% size value "mm" %}                 0.0427 in     (the units the person reads)
    {% difference value "mm" %}           2.8 thou
    {% number value "mm" %}               0.0427
    {% verdict judgement.verdict %}       shape and word
    {% mark judgement.verdict %}          the shape alone
    {{ when|clock }}                      14 Mar, 10:41
    {{ when|waiting }}                    3 days
    {{ amount|money:shop.currency }}      $187
    {{ minutes|bench_time }}              1 h 52
    {{ slug|ending }}                     inside | outside | close | missing
"""

from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.shapes import verdict_mark
from castworthy.units import Show

register = template.Library()

_ENDINGS = {
    Verdict.INSIDE: "inside",
    Verdict.OUTSIDE: "outside",
    Verdict.CLOSE: "close",
    Verdict.MISSING: "missing",
}


def _show(context: Any) -> Show:
    return context.get("show") or Show()


@register.simple_tag(takes_context=True)
def size(context: Any, value: float | None, suffix: str = "mm") -> str:
    """A value with its unit as the person reads it; an en dash for none."""
    return "–" if value is None else _show(context).value(value, suffix=suffix)


@register.simple_tag(takes_context=True)
def difference(context: Any, value: float | None, suffix: str = "mm") -> str:
    """A difference (a cut, an excess) with its unit; an en dash for none."""
    return "–" if value is None else _show(context).value(value, suffix=suffix, difference=True)


@register.simple_tag(takes_context=True)
def number(context: Any, value: float | None, suffix: str = "mm") -> str:
    """The bare number of a value, where the unit stands at the head of its column."""
    return "" if value is None else _show(context).number(value, suffix=suffix)


@register.simple_tag(takes_context=True)
def unit(context: Any, suffix: str = "mm") -> str:
    """The unit a value of that suffix is shown in."""
    return _show(context).unit(suffix)


@register.filter
def ending(verdict: str) -> str:
    """The ending of a component class for a verdict."""
    return _ENDINGS.get(Verdict(verdict), "missing") if verdict else "missing"


@register.simple_tag
def mark(verdict: str) -> SafeString:
    """The shape of a verdict as SVG."""
    return _svg(verdict_mark(Verdict(verdict or Verdict.MISSING)))


@register.inclusion_tag("castworthy/parts/verdict.html")
def verdict(verdict: str, words: str = "") -> dict[str, Any]:
    """Shape and word of a verdict; ``words`` says it otherwise than the verdict's own."""
    found = Verdict(verdict or Verdict.MISSING)
    return {
        "ending": _ENDINGS[found],
        "mark": _svg(verdict_mark(found, labelled=False)),
        "words": words or found.value,
    }


@register.filter
def clock(when: datetime | date | None) -> str:
    """A day, with the time where there is one, in the shop's own zone; the year when another."""
    if when is None:
        return ""
    if not isinstance(when, datetime):
        return _day(when)
    local = timezone.localtime(when)
    today = timezone.localdate()
    time = f"{local:%H:%M}"
    return time if local.date() == today else f"{_day(local.date())}, {time}"


@register.filter
def waiting(since: datetime | None) -> str:
    """How long ago, in the largest unit that says it: 12 min, 5 h, 3 days, 6 weeks."""
    if since is None:
        return ""
    minutes = max(0, int((timezone.now() - since).total_seconds() // 60))
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    days = minutes // (24 * 60)
    return f"{days} days" if days < 21 else f"{days // 7} weeks"


@register.filter
def money(amount: float | None, currency: str = "$") -> str:
    """An amount in the shop's currency, whole units: $1,140, 1,140 EUR."""
    if amount is None:
        return "–"
    text = f"{abs(amount):,.0f}"
    sign = "−" if round(amount) < 0 else ""
    return f"{sign}{text} {currency}" if currency.isalpha() else f"{sign}{currency}{text}"


@register.filter
def bench_time(minutes: float | None) -> str:
    """Minutes at the bench: 45 min, 1 h 52."""
    if minutes is None:
        return "–"
    whole = round(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d}"


def _day(day: date) -> str:
    text = f"{day.day} {day:%b}"
    return text if day.year == timezone.localdate().year else f"{text} {day.year}"


def _svg(text: str) -> SafeString:
    return mark_safe(text)  # noqa: S308 - drawn by castworthy.charts, which escapes what it is given
