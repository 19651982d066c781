"""What is left to do at a head's step: kept with the head, said in words on the rack.

``Head.progress`` is a small mapping, all keys optional:

``read``, ``required``, ``outside``, ``close``
    counts of the required readings
``quantity``, ``left``, ``of``
    what is read next and how many of it are left (measure, and readings due again after work)
``operation``, ``place``, ``planned``
    the next operation and how many are planned (machine)
``left``, ``of``
    items to tick (assemble), tests to record (prove)
"""

from collections.abc import Mapping
from typing import Any

from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.records.models import Step

_PLAN_WORDS = {
    "rework": "choose a plan",
    "undecided": "measure again or choose a plan",
    "scrap": "no plan keeps every limit: decide",
    "conforming": "nothing to do: confirm",
}


def words(*, step: str, progress: Mapping[str, Any], decision: str = "") -> str:
    """What is next at the step, in a few words: ``9 of 24 recession readings to take``."""
    match step:
        case Step.MEASURE:
            return _readings(progress) or "start measuring"
        case Step.PLAN:
            return _PLAN_WORDS.get(decision, "make a plan")
        case Step.MACHINE:
            return _machine(progress)
        case Step.ASSEMBLE:
            return _of(progress, "items to tick") or "go through the assembly list"
        case Step.PROVE:
            return _of(progress, "tests to record") or "prove it"
        case Step.RELEASE:
            return "sign the release"
    return "take it in"


def _machine(progress: Mapping[str, Any]) -> str:
    if operation := progress.get("operation"):
        named = f"{operation} {progress.get('place', '')}".strip()
        more = progress.get("planned", 1) - 1
        return f"{named}, then {more} more" if more > 0 else f"{named}, the last one"
    again = _readings(progress)
    return f"{again}, after the work" if again else "measure what was worked on"


def _readings(progress: Mapping[str, Any]) -> str:
    name = progress.get("quantity")
    if not name or not progress.get("left"):
        return ""
    facts = FACTS[Quantity(name)]
    title = facts.title[0].lower() + facts.title[1:]
    if facts.site is Site.HEAD:
        return f"{title} to read"
    kind = "to take" if title.endswith("s") else "readings to take"
    return f"{progress['left']} of {progress['of']} {title} {kind}"


def _of(progress: Mapping[str, Any], what: str) -> str:
    left, of = progress.get("left"), progress.get("of")
    return f"{left} of {of} {what}" if left and of else ""
