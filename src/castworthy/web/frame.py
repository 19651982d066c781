"""What stands around every page: the shop, the person, and a head's top bar with its steps."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from castworthy.records.lookups.heads import HeadFacts, head_facts
from castworthy.records.lookups.people import shop
from castworthy.units import Show
from castworthy.web.contexts.sums.at_step import sums_at_step
from castworthy.web.gate import is_owner, may_work

STEPS = (
    ("take-in", "take in", "Take in"),
    ("measure", "measure", "Measure"),
    ("plan", "plan", "Plan"),
    ("machine", "machine", "Machine"),
    ("assemble", "assemble", "Assemble"),
    ("prove", "prove", "Prove"),
    ("release", "release", "Release"),
)
"""Url name, stored name and title of every step, in order."""

_STAMPS = {
    "released": "good",
    "conforming": "good",
    "rework": "rework",
    "sent back": "bad",
    "scrapped": "bad",
    "scrap": "bad",
    "undecided": "close",
}
_TITLES = {"history": "History", "photos": "Photos"}
_PARTS = ("sheets", "suppliers", "customers", "gauges", "people", "search", "sums")


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTab:
    """One step in the bar of a head.  ``state`` is done, here (where the head is) or ahead."""

    name: str
    title: str
    address: str
    state: str
    shown: bool
    count: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadFrame:
    """The top bar of a head's page.

    ``ended`` is the sentence of a head that left the shop, whose pages are read only.
    """

    tag: str
    title: str
    about: str
    stamp: str
    stamp_class: str
    step: str
    step_title: str
    steps: tuple[StepTab, ...]
    note: str


def around(request: HttpRequest) -> dict[str, Any]:
    """Context processor: what base.html and every page may use.

    ``person`` (``None`` for strangers), ``shop``, ``may_work``, ``owner``, ``show`` (the units
    the person reads) and ``here`` (the part of the shop the address is in).
    """
    user = getattr(request, "user", None)
    person = user if user is not None and user.is_authenticated else None
    first = request.path.strip("/").split("/")[0]
    return {
        "person": person,
        "shop": shop(),
        "may_work": person is not None and may_work(person),
        "owner": person is not None and is_owner(person),
        "show": show_for(request),
        "here": first if first in _PARTS else ("rack" if not first else ""),
    }


def show_for(request: HttpRequest) -> Show:
    """The units the person asked for; inches and thou for a stranger."""
    person = getattr(request, "user", None)
    return Show(length=getattr(person, "show_length", "") or "thou")


def head_frame(
    request: HttpRequest, tag: str, step: str, *, measured: tuple[int, int] | None = None
) -> dict[str, Any]:
    """The context of a page of a head: ``frame``, ``head``, ``may_work`` and ``step_sums``.

    ``step`` is the page's url name (``"plan"``), ``measured`` the done and required readings
    where the page knows them.  An unknown tag is a 404 with a sentence (``NotOnRecord``).  On a
    head that left the shop nobody may work.
    """
    head = head_facts(tag)
    frame = HeadFrame(
        tag=head.tag,
        title=head.sheet_title,
        about=_about(head),
        stamp=_stamp(head),
        stamp_class=_STAMPS.get(_stamp(head), "open"),
        step=step,
        step_title=_TITLES.get(step) or next((t for name, _, t in STEPS if name == step), ""),
        steps=_steps(head, step, measured),
        note=_ended(head),
    )
    return {
        "frame": frame,
        "head": head,
        "may_work": may_work(request.user) and not head.outcome,
        "step_sums": partial(sums_at_step, tag, step=step),
    }


def step_address(head: HeadFacts) -> str:
    """Where a head's own page leads: the step it is at."""
    name = next((name for name, stored, _ in STEPS if stored == head.step), "measure")
    return _address(name, head.tag) or reverse("measure", args=[head.tag])


def _address(name: str, tag: str) -> str:
    """The address of a head's page; empty while no page answers to that name."""
    try:
        return reverse(name, args=[tag])
    except NoReverseMatch:
        return ""


def _steps(head: HeadFacts, shown: str, measured: tuple[int, int] | None) -> tuple[StepTab, ...]:
    stored = [row[1] for row in STEPS]
    at = stored.index(head.step) if head.step in stored else 0
    if head.outcome:
        at = len(stored) if head.outcome == "released" else at
    counts = {"measure": f"{measured[0]} of {measured[1]}"} if measured else {}
    return tuple(
        StepTab(
            name=name,
            title=title,
            address=_address(name, head.tag),
            state="done" if place < at else "here" if place == at else "ahead",
            shown=name == shown,
            count=counts.get(name, ""),
        )
        for place, (name, _, title) in enumerate(STEPS)
        if _address(name, head.tag)
    )


def _stamp(head: HeadFacts) -> str:
    return head.outcome or head.decision


def _about(head: HeadFacts) -> str:
    return " · ".join(part for part in (head.kind_words, head.origin) if part)


def _ended(head: HeadFacts) -> str:
    if not head.outcome:
        return ""
    when = f" on {head.ended_at:%-d %b %Y}" if head.ended_at else ""
    why = f": {head.outcome_note}" if head.outcome_note else ""
    return f"This head was {head.outcome}{when}{why}. Its pages are for reading."
