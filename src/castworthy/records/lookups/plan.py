"""The plan page: the newest plans of a head and what they rest on."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.results import NoPlan, Objective, Plan
from castworthy.records.models import Head
from castworthy.records.models import Plan as PlanRow
from castworthy.records.plans import StoredPlanError, inputs_digest, plan_of
from castworthy.records.predicted import readings_for_plan
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """The plans of a head.

    ``answers`` and ``ids`` are of the newest batch (both empty: never planned), ``chosen`` the
    one somebody took on.  ``outdated`` when the readings, the sheet or the software changed
    since.  ``readings`` are what a plan made now would rest on.  Times are the shop's own.
    """

    tag: str
    sheet: HeadSheet
    readings: tuple[Reading, ...]
    answers: Mapping[Objective, Plan | NoPlan | Refused]
    ids: Mapping[Objective, int]
    made_by: str
    made_at: datetime | None
    chosen: Objective | None
    chosen_by: str
    chosen_at: datetime | None
    outdated: bool


def plan_page(tag: str) -> PlanPage:
    """The newest plans of a head.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    sheet = sheet_for(head)
    readings = readings_for_plan(head, sheet=sheet)
    batch = _newest_batch(head)
    answers = _answers(batch)
    first = batch[0] if batch and answers else None
    chosen = next((row for row in batch if row.chosen_at), None)
    digest = inputs_digest(revision_digest=head.revision.digest, readings=readings)
    return PlanPage(
        tag=tag,
        sheet=sheet,
        readings=readings,
        answers=answers,
        ids={Objective(row.objective): row.pk for row in batch},
        made_by=str(first.by) if first else "",
        made_at=timezone.localtime(first.at) if first else None,
        chosen=Objective(chosen.objective) if chosen else None,
        chosen_by=str(chosen.chosen_by) if chosen else "",
        chosen_at=timezone.localtime(chosen.chosen_at) if chosen and chosen.chosen_at else None,
        outdated=first is not None and first.inputs_digest != digest,
    )


def _newest_batch(head: Head) -> list[PlanRow]:
    newest = head.plans.order_by("-id").values_list("batch", flat=True).first()
    if newest is None:
        return []
    rows = head.plans.filter(batch=newest).select_related("by", "chosen_by")
    return sorted(rows, key=lambda row: list(Objective).index(Objective(row.objective)))


def _answers(batch: list[PlanRow]) -> dict[Objective, Plan | NoPlan | Refused]:
    """The stored answers; none when a row is of a wording this version does not read."""
    try:
        return {Objective(row.objective): plan_of(row.result) for row in batch}
    except StoredPlanError:
        return {}
