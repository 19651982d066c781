"""The finish page: traces of the deck and of the block, what decides, the feed that cures."""

from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.head import HeadSheet, Limit, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.texture.feed import FeedAdvice, feed_for
from castworthy.calc.texture.places import TracePlace, trace_places
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.gauges import GaugeFacts, gauges_for
from castworthy.records.measured import worked_of
from castworthy.records.models import Face, Head, Trace
from castworthy.records.rows import head_row
from castworthy.records.standing import judge_once
from castworthy.records.to_calc import sheet_for, sheet_of
from castworthy.records.traces import (
    Decides,
    TraceFacts,
    deciding,
    feed_traces,
    machines,
    traces_of,
)

USUAL_NOSE_MM = 0.8
_ROOM = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedTrace:
    """A trace with the verdict on each of its values that a limit rules."""

    trace: TraceFacts
    judgements: tuple[Judgement, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst of them."""
        order = (Verdict.OUTSIDE, Verdict.CLOSE, Verdict.INSIDE)
        found = {each.verdict for each in self.judgements}
        return next((each for each in order if each in found), Verdict.MISSING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """How to cut the deck for the finish its gasket needs.

    ``ra_um`` is what is aimed at, ``nose_mm`` the insert, ``machine`` whose traces are used.
    """

    ra_um: float
    low_um: float | None
    nose_mm: float
    turning_rpm: float | None
    machine: str
    advice: FeedAdvice | Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishPage:
    """Everything the finish page shows; newest traces first."""

    tag: str
    title: str
    sheet: HeadSheet
    gasket: str
    gaskets: tuple[tuple[str, str], ...]
    limits: tuple[Limit, ...]
    places: tuple[TracePlace, ...]
    traces: tuple[JudgedTrace, ...]
    deck: tuple[Decides, ...]
    block: tuple[Decides, ...]
    gauges: tuple[GaugeFacts, ...]
    machines: tuple[str, ...]
    cure: Cure | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceFile:
    """Where a trace lies, for the page that hands it out."""

    path: Path
    name: str
    digest: str


def finish_page(
    tag: str,
    *,
    machine: str = "",
    nose_mm: float | None = None,
    turning_rpm: float | None = None,
) -> FinishPage:
    """The finish of one head; the cure for ``machine``, that of its last trace when empty.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    sheet = sheet_for(head)
    traces = traces_of(head, sheet=sheet, worked=worked_of(head))
    limits = tuple(limit for each in _FINISH if (limit := sheet.limit_for(each)) is not None)
    return FinishPage(
        tag=tag,
        title=sheet.title,
        sheet=sheet,
        gasket=_gasket(head),
        gaskets=tuple((each.name, each.title) for each in sheet.gaskets),
        limits=limits,
        places=trace_places(sheet),
        traces=tuple(judged_trace(trace, sheet=sheet) for trace in reversed(traces)),
        deck=deciding(traces, sheet=sheet),
        block=deciding(traces, sheet=sheet, face=Face.BLOCK),
        gauges=gauges_for("um"),
        machines=machines(),
        cure=cure_for(
            sheet,
            machine=machine
            or next((t.machine for t in reversed(traces) if t.machine), last_machine()),
            nose_mm=nose_mm,
            turning_rpm=turning_rpm,
        ),
    )


def judged_trace(trace: TraceFacts, *, sheet: HeadSheet) -> JudgedTrace:
    """A trace by the limits of the sheet."""
    confidence = sheet.work.confidence_probability
    judged = tuple(
        judge_once(
            Reading(
                quantity=each,
                place="",
                value=trace.value_um[each],
                u=trace.u_um[each] or None,
            ),
            limit,
            confidence,
        )
        for each in _FINISH
        if (limit := sheet.limit_for(each)) is not None
    )
    return JudgedTrace(trace=trace, judgements=judged)


def cure_for(
    sheet: HeadSheet,
    *,
    machine: str = "",
    nose_mm: float | None = None,
    turning_rpm: float | None = None,
) -> Cure | None:
    """The feed for the middle of what the gasket needs; ``None`` where nothing is asked of Ra."""
    limit = sheet.limit_for(Quantity.FINISH_RA)
    if limit is None or limit.high is None:
        return None
    if limit.aim is not None:
        ra_um = limit.aim
    elif limit.low is not None:
        ra_um = (limit.low + limit.high) / 2
    else:
        ra_um = _ROOM * limit.high
    traces = feed_traces(machine) if machine else ()
    nose = nose_mm or next((each.nose_mm for each in traces if each.nose_mm), None) or USUAL_NOSE_MM
    xs = [x for x, _ in sheet.outline_mm]
    return Cure(
        ra_um=ra_um,
        low_um=limit.low,
        nose_mm=nose,
        turning_rpm=turning_rpm,
        machine=machine,
        advice=feed_for(
            ra_um,
            nose_mm=nose,
            turning_rpm=turning_rpm,
            length_mm=max(xs) - min(xs),
            traces=traces,
            low_ra_um=limit.low,
        ),
    )


def last_machine() -> str:
    """The machine the newest trace of the shop was cut on; empty when none names one."""
    names = Trace.objects.exclude(machine="").order_by("-id").values_list("machine", flat=True)
    return names.first() or ""


def trace_of(uuid: UUID) -> tuple[str, TraceFacts]:
    """A trace and the tag of its head.

    Raises
    ------
    NotOnRecord
        If there is none.

    """
    row = Trace.objects.select_related("head__revision__sheet").filter(uuid=uuid).first()
    if row is None:
        raise NotOnRecord("There is no such trace on record.")
    traces = traces_of(row.head, sheet=sheet_for(row.head), worked=worked_of(row.head))
    return row.head.tag, next(each for each in traces if each.uuid == uuid)


def trace_file(uuid: UUID) -> TraceFile:
    """The file of a trace as it came.

    Raises
    ------
    NotOnRecord
        If there is none, or its file is gone.

    """
    row = Trace.objects.filter(uuid=uuid).first()
    if row is None:
        raise NotOnRecord("There is no such trace on record.")
    path = Path(row.file.path)
    if not path.is_file():
        raise NotOnRecord("The file of this trace is gone from the data folder.")
    return TraceFile(path=path, name=row.file_name, digest=row.digest)


def _gasket(head: Head) -> str:
    gaskets = sheet_of(head.revision).gaskets
    return head.gasket or (gaskets[0].name if gaskets else "")


_FINISH = (Quantity.FINISH_RA, Quantity.FINISH_RZ, Quantity.WAVINESS_WT)
