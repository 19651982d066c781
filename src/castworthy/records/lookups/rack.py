"""The rack: the heads in the shop by step, the longest waiting first."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count
from django.utils import timezone

from castworthy.records.lookups.heads import origin_words
from castworthy.records.models import Head, Outcome, Step
from castworthy.records.progress import words

_AT_ONCE_COUNT = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class RackHead:
    """One head on the rack.  ``waiting_days_count`` counts whole days at its step."""

    tag: str
    mark: str
    sheet_code: str
    sheet_title: str
    kind: str
    origin: str
    step: str
    since: datetime
    waiting_days_count: int
    decision: str
    next_words: str
    read_count: int
    required_count: int
    outside_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RackStep:
    """The heads at one step; ``heads`` are the first ``len(heads)`` of ``heads_count``."""

    step: str
    title: str
    heads_count: int
    heads: tuple[RackHead, ...]

    @property
    def more_count(self) -> int:
        """Heads not shown."""
        return self.heads_count - len(self.heads)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rack:
    """All steps in order; ``heads_count`` heads are in the shop, ``ended_count`` left it."""

    steps: tuple[RackStep, ...]
    heads_count: int
    ended_count: int

    @property
    def empty(self) -> bool:
        """True when no head is in the shop."""
        return self.heads_count == 0


def rack(*, per_step_count: int = _AT_ONCE_COUNT, only: str = "", skip_count: int = 0) -> Rack:
    """The heads in the shop, ``per_step_count`` a step, of the step ``only`` when it is given.

    ``skip_count`` passes over the first heads of each step shown, for further pages.
    """
    counts = dict(
        Head.objects.filter(outcome=Outcome.IN_SHOP)
        .order_by()
        .values_list("step")
        .annotate(heads=Count("id"))
    )
    steps = [
        RackStep(
            step=step.value,
            title=str(step.label),
            heads_count=counts.get(step.value, 0),
            heads=_heads(step, skip_count=skip_count, most=per_step_count)
            if counts.get(step.value)
            else (),
        )
        for step in Step
        if not only or step.value == only
    ]
    return Rack(
        steps=tuple(steps),
        heads_count=sum(counts.values()),
        ended_count=Head.objects.exclude(outcome=Outcome.IN_SHOP).count(),
    )


def _heads(step: Step, *, skip_count: int, most: int) -> tuple[RackHead, ...]:
    rows = (
        Head.objects.filter(outcome=Outcome.IN_SHOP, step=step)
        .select_related("revision__sheet", "lot__supplier", "customer")
        .only(
            "tag",
            "mark",
            "kind",
            "step",
            "step_since",
            "decision",
            "progress",
            "revision__sheet__code",
            "revision__sheet__title",
            "lot__code",
            "lot__supplier__name",
            "customer__name",
        )
        .order_by("step_since", "id")[skip_count : skip_count + most]
    )
    now = timezone.now()
    return tuple(rack_head(row, now=now) for row in rows)


def rack_head(row: Head, *, now: datetime) -> RackHead:
    """A row as the rack and the search show it."""
    progress = row.progress
    return RackHead(
        tag=row.tag,
        mark=row.mark,
        sheet_code=row.revision.sheet.code,
        sheet_title=row.revision.sheet.title,
        kind=row.kind,
        origin=origin_words(row),
        step=row.step,
        since=timezone.localtime(row.step_since),
        waiting_days_count=max(0, (now - row.step_since).days),
        decision=row.decision,
        next_words=words(step=row.step, progress=progress, decision=row.decision),
        read_count=progress.get("read", 0),
        required_count=progress.get("required", 0),
        outside_count=progress.get("outside", 0),
    )
