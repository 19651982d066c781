"""Every sum of the page, in the order it offers them."""

from castworthy.web.contexts.sums.clamp import CLAMP
from castworthy.web.contexts.sums.finish import FEED
from castworthy.web.contexts.sums.form import Sum
from castworthy.web.contexts.sums.grade import GRADE
from castworthy.web.contexts.sums.guide import GUIDE
from castworthy.web.contexts.sums.injector import INJECTOR
from castworthy.web.contexts.sums.insert import INSERT
from castworthy.web.contexts.sums.lands import LANDS
from castworthy.web.contexts.sums.matching import MATCHING
from castworthy.web.contexts.sums.piston_form import PISTON
from castworthy.web.contexts.sums.pressure import PRESSURE
from castworthy.web.contexts.sums.ratio import RATIO
from castworthy.web.contexts.sums.ring import RING
from castworthy.web.contexts.sums.seats import SEAT
from castworthy.web.contexts.sums.shims import SHIMS
from castworthy.web.contexts.sums.springs import SPRING
from castworthy.web.contexts.sums.vacuum import LEAK

SUMS: tuple[Sum, ...] = (
    SEAT,
    INSERT,
    GUIDE,
    SPRING,
    SHIMS,
    MATCHING,
    RATIO,
    GRADE,
    PISTON,
    INJECTOR,
    RING,
    LANDS,
    CLAMP,
    LEAK,
    PRESSURE,
    FEED,
)


def grouped() -> dict[str, list[Sum]]:
    """The sums by their group."""
    groups: dict[str, list[Sum]] = {}
    for each in SUMS:
        groups.setdefault(each.group, []).append(each)
    return groups


def sum_named(name: str) -> Sum | None:
    """The sum of that name, ``None`` where there is none."""
    return next((each for each in SUMS if each.name == name), None)
