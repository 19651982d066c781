"""The bench sums kept with the invented heads; figures as they were typed, in inches."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from castworthy.actions.deed import deeds_at
from castworthy.actions.kept_sums import keep_sum, take_back_sum
from castworthy.actions.people import Person
from castworthy.records.lookups.sums import sheet_for_sums
from castworthy.units import Show
from castworthy.web.contexts.sums.all_sums import sum_named
from castworthy.web.contexts.sums.keeping import worked_sum
from castworthy.web.contexts.sums.page import sum_page


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoSum:
    """One kept sum; ``early`` ones are kept once the head is measured, others where it is now."""

    tag: str
    name: str
    place: str = ""
    typed: Mapping[str, str]
    note: str = ""
    early: bool = False
    taken_back: str = ""


DEMO_SUMS = (
    DemoSum(
        tag="T66-0036",
        name="guide",
        place="3B",
        typed={
            "bores": "0.3146 0.3145\n0.3143 0.3143\n0.3144 0.3144",
            "stems": "0.3121 0.3121\n0.3120 0.3120",
        },
        note="guide wiped dry, read top, middle and bottom",
        early=True,
    ),
    DemoSum(
        tag="T66-0036",
        name="spring",
        place="3B",
        typed={
            "way": "loads",
            "load_1": "84",
            "height_1": "1.800",
            "load_2": "242",
            "height_2": "1.400",
            "solid": "1.150",
            "installed": "1.785",
            "lift": "0.420",
        },
        early=True,
    ),
    DemoSum(
        tag="T66-0041",
        name="seat",
        place="4A",
        typed={"cut": "6.6 thou", "outer": "1.420", "width": "0.080"},
        note="narrow it from above afterwards",
        early=True,
    ),
    DemoSum(
        tag="T66-0042",
        name="guide",
        place="2B",
        typed={"bores": "0.3149 0.3148\n0.3146 0.3145", "stems": "0.3116 0.3116"},
        taken_back="that stem belongs to 2C",
    ),
    DemoSum(
        tag="F14-194",
        name="spring",
        place="1D",
        typed={"installed": "1.340"},
        note="new valve: height read again",
    ),
    DemoSum(
        tag="F14-191",
        name="leak",
        place="1A",
        typed={"readings": "0 25.0\n10 24.8\n20 24.7\n30 24.5", "volume": "150 cm3"},
    ),
)


def keep_sums(tag: str, *, early: bool, at: datetime, by: Person) -> datetime:
    """Keep the sums of a head; the time when that was done."""
    clock = at
    for kept in DEMO_SUMS:
        if (kept.tag, kept.early) == (tag, early):
            clock += timedelta(minutes=6)
            _keep(kept, at=clock, by=by)
    return clock


def _keep(kept: DemoSum, *, at: datetime, by: Person) -> None:
    shown, show = sum_named(kept.name), Show(length=by.show_length)
    if shown is None:
        raise LookupError(kept.name)
    head = sheet_for_sums(kept.tag, place=kept.place)
    page = sum_page(shown, sent=kept.typed, head=head, show=show, live=False)
    with deeds_at(at):
        row = keep_sum(
            tag=kept.tag,
            uuid=uuid5(NAMESPACE_URL, f"{kept.tag} {kept.name} {kept.place}"),
            worked=worked_sum(page, place=shown.place_of(head), show=show),
            note=kept.note,
            by=by,
        )
    if kept.taken_back:
        with deeds_at(at + timedelta(minutes=2)):
            take_back_sum(uuid=row.uuid, why=kept.taken_back, by=by)
