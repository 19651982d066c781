"""A head as a file: everything on record about it, in a published shape.

The JSON carries its own digest, so that a file changed on the way is noticed.  Readings as CSV
have the columns the command line reads.
"""

import csv
import io
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from castworthy import __version__
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.exchange_photos import photos_told
from castworthy.records.exchange_shapes import (
    COUNT,
    DIGEST_TEXT,
    FLAG,
    MAYBE_NUMBER,
    MAYBE_TEXT,
    MAYBE_UUID,
    NUMBER,
    TEXT,
    TIME,
    UUID,
    list_of,
    object_of,
)
from castworthy.records.exchange_sums import SUMS_SCHEMA, sums_told
from castworthy.records.exchange_traces import traces_told
from castworthy.records.measured import Taken, takens_of, worked_of
from castworthy.records.models import (
    AssemblyTick,
    Gauge,
    Head,
    Operation,
    ProofTest,
    Release,
)
from castworthy.records.plans import digest_of
from castworthy.records.rows import head_row
from castworthy.sheets.readings import COLUMNS

FORMAT = "castworthy-head"
VERSION = 1
_DIGEST = "digest"
_LATER = ("photos", "sums")
"""Parts that files of earlier versions do not have."""


def export_head(tag: str) -> dict[str, Any]:
    """Everything on record about a head, ready to be written as JSON.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = Head.objects.select_related("revision__sheet", "lot__supplier", "customer").get(
        pk=head_row(tag).pk
    )
    takens = takens_of(head)
    content = {
        "format": FORMAT,
        "version": VERSION,
        "software": __version__,
        "head": _head(head),
        "sheet": {"text": head.revision.text, "digest": head.revision.digest},
        "gauges": _gauges(takens),
        "readings": [_reading(taken, takens=takens) for taken in takens],
        "photos": photos_told(head),
        "traces": traces_told(head),
        "operations": _operations(head),
        "ticks": _ticks(head),
        "tests": _tests(head),
        "sums": sums_told(head),
        "release": _release(head),
    }
    return {**content, _DIGEST: digest_of(content)}


def readings_csv(tag: str) -> str:
    """The readings that stand for a head now, in the columns ``judge`` and ``plan`` read.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    worked = worked_of(head)
    last = max((operation.number for operation in worked), default=0)
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(COLUMNS)
    for taken in takens_of(head):
        if taken.replaced or FACTS[taken.quantity].tested or (last and taken.epoch < last):
            continue
        table.writerow(_csv_row(taken))
    return out.getvalue()


def content_digest(file: Mapping[str, Any]) -> str:
    """The digest a file of this shape should carry."""
    return digest_of({key: value for key, value in file.items() if key != _DIGEST})


def head_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of an exported head."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A cylinder head exported by Castworthy",
        "type": "object",
        "additionalProperties": False,
        "required": [name for name in _PROPERTIES if name not in _LATER],
        "properties": dict(_PROPERTIES),
    }


_PROPERTIES: dict[str, Any] = {
    "format": {"const": FORMAT},
    "version": {"const": VERSION},
    "software": TEXT,
    "head": object_of(
        tag=TEXT,
        mark=TEXT,
        kind={"enum": ["new casting", "core"]},
        loaded=FLAG,
        supplier=TEXT,
        lot=TEXT,
        customer=TEXT,
        history=TEXT,
        gasket=TEXT,
        asked=TEXT,
        note=TEXT,
        step=TEXT,
        step_since=TIME,
        decision=TEXT,
        outcome=TEXT,
        outcome_note=TEXT,
        taken_in_by=TEXT,
        taken_in_at=TIME,
        ended_at=MAYBE_TEXT,
    ),
    "sheet": object_of(text=TEXT, digest=DIGEST_TEXT),
    "gauges": list_of(
        name=TEXT,
        reads=TEXT,
        unit=TEXT,
        u=NUMBER,
        u_bias=NUMBER,
        resolution=NUMBER,
        calibrated_until=MAYBE_TEXT,
    ),
    "readings": list_of(
        uuid=UUID,
        quantity={"enum": [quantity.value for quantity in Quantity]},
        place=TEXT,
        typed=TEXT,
        unit=TEXT,
        side=TEXT,
        value=NUMBER,
        u=MAYBE_NUMBER,
        u_bias=NUMBER,
        resolution=MAYBE_NUMBER,
        gauge=TEXT,
        gauge_overdue=FLAG,
        operations_done_count=COUNT,
        replaces=MAYBE_UUID,
        why=TEXT,
        slip_kept=TEXT,
        alone=FLAG,
        judged={"type": "object"},
        by=TEXT,
        at=TIME,
    ),
    "photos": list_of(
        uuid=UUID,
        width=COUNT,
        height=COUNT,
        digest=DIGEST_TEXT,
        caption=TEXT,
        content_base64=TEXT,
        reading=MAYBE_UUID,
        by=TEXT,
        at=TIME,
    ),
    "traces": list_of(
        uuid=UUID,
        face={"enum": ["deck", "block"]},
        place=TEXT,
        x_mm=MAYBE_NUMBER,
        y_mm=MAYBE_NUMBER,
        file_name=TEXT,
        digest=DIGEST_TEXT,
        content_base64=TEXT,
        profile_number=COUNT,
        gauge=TEXT,
        machine=TEXT,
        feed_set_mm=MAYBE_NUMBER,
        nose_mm=MAYBE_NUMBER,
        turning_rpm=MAYBE_NUMBER,
        ra_um=NUMBER,
        rz_um=NUMBER,
        wt_um=NUMBER,
        u_ra_um=NUMBER,
        u_rz_um=NUMBER,
        result={"type": "object"},
        software=TEXT,
        operations_done_count=COUNT,
        set_aside=TEXT,
        by=TEXT,
        at=TIME,
    ),
    "operations": list_of(
        position=COUNT,
        kind=TEXT,
        place=TEXT,
        planned_mm=MAYBE_NUMBER,
        parts_mm={"type": "array", "items": NUMBER},
        minutes=NUMBER,
        cost=NUMBER,
        why=TEXT,
        state={"enum": ["planned", "done", "dropped"]},
        done_number={"type": ["integer", "null"]},
        taken_mm=MAYBE_NUMBER,
        typed=TEXT,
        note=TEXT,
        by=TEXT,
        at=MAYBE_TEXT,
    ),
    "ticks": list_of(
        item=TEXT,
        place=TEXT,
        ticked=FLAG,
        operations_done_count=COUNT,
        by=TEXT,
        at=TIME,
    ),
    "tests": list_of(
        kind={"enum": ["vacuum", "pressure", "crack"]},
        place=TEXT,
        conditions={"type": "object"},
        found=TEXT,
        rule=TEXT,
        passed=FLAG,
        reading=MAYBE_UUID,
        operations_done_count=COUNT,
        by=TEXT,
        at=TIME,
    ),
    "sums": SUMS_SCHEMA,
    "release": {
        "anyOf": [
            {"type": "null"},
            object_of(
                number=COUNT,
                content={"type": "object"},
                digest=DIGEST_TEXT,
                by=TEXT,
                at=TIME,
            ),
        ]
    },
    "digest": DIGEST_TEXT,
}


def _head(head: Head) -> dict[str, Any]:
    return {
        "tag": head.tag,
        "mark": head.mark,
        "kind": head.kind,
        "loaded": head.loaded,
        "supplier": head.lot.supplier.name if head.lot else "",
        "lot": head.lot.code if head.lot else "",
        "customer": head.customer.name if head.customer else "",
        "history": head.history,
        "gasket": head.gasket,
        "asked": head.asked,
        "note": head.note,
        "step": head.step,
        "step_since": head.step_since.isoformat(),
        "decision": head.decision,
        "outcome": head.outcome,
        "outcome_note": head.outcome_note,
        "taken_in_by": str(head.taken_in_by),
        "taken_in_at": head.taken_in_at.isoformat(),
        "ended_at": _time(head.ended_at),
    }


def _gauges(takens: Iterable[Taken]) -> list[dict[str, Any]]:
    names = {taken.gauge for taken in takens if taken.gauge}
    return [
        {
            "name": row.name,
            "reads": row.reads,
            "unit": row.unit,
            "u": row.u,
            "u_bias": row.u_bias,
            "resolution": row.resolution,
            "calibrated_until": row.calibrated_until.isoformat() if row.calibrated_until else None,
        }
        for row in Gauge.objects.filter(name__in=names).order_by("name")
    ]


def _reading(taken: Taken, *, takens: Iterable[Taken]) -> dict[str, Any]:
    replaced = next((old for old in takens if old.id == taken.replaces_id), None)
    return {
        "uuid": str(taken.uuid),
        "quantity": taken.quantity.value,
        "place": taken.place,
        "typed": taken.typed,
        "unit": taken.unit,
        "side": taken.side,
        "value": taken.value,
        "u": taken.u,
        "u_bias": taken.u_bias,
        "resolution": taken.resolution,
        "gauge": taken.gauge,
        "gauge_overdue": taken.gauge_overdue,
        "operations_done_count": taken.epoch,
        "replaces": str(replaced.uuid) if replaced else None,
        "why": taken.why,
        "slip_kept": taken.slip_kept,
        "alone": taken.alone,
        "judged": dict(taken.judged),
        "by": taken.by,
        "at": taken.at.isoformat(),
    }


def _operations(head: Head) -> list[dict[str, Any]]:
    rows = Operation.objects.filter(head=head).select_related("by").order_by("position", "id")
    return [
        {
            "position": row.position,
            "kind": row.kind,
            "place": row.place,
            "planned_mm": row.planned_mm,
            "parts_mm": list(row.parts),
            "minutes": row.minutes,
            "cost": row.cost,
            "why": row.why,
            "state": row.state,
            "done_number": row.done_number,
            "taken_mm": row.taken_mm,
            "typed": row.typed,
            "note": row.note,
            "by": str(row.by) if row.by else "",
            "at": _time(row.at),
        }
        for row in rows
    ]


def _ticks(head: Head) -> list[dict[str, Any]]:
    return [
        {
            "item": row.item,
            "place": row.place,
            "ticked": row.ticked,
            "operations_done_count": row.operations_done_count,
            "by": str(row.by),
            "at": row.at.isoformat(),
        }
        for row in AssemblyTick.objects.filter(head=head).select_related("by").order_by("id")
    ]


def _tests(head: Head) -> list[dict[str, Any]]:
    rows = ProofTest.objects.filter(head=head).select_related("by", "reading").order_by("id")
    return [
        {
            "kind": row.kind,
            "place": row.place,
            "conditions": row.conditions,
            "found": row.found,
            "rule": row.rule,
            "passed": row.passed,
            "reading": str(row.reading.uuid) if row.reading else None,
            "operations_done_count": row.operations_done_count,
            "by": str(row.by),
            "at": row.at.isoformat(),
        }
        for row in rows
    ]


def _release(head: Head) -> dict[str, Any] | None:
    row = Release.objects.filter(head=head).select_related("by").first()
    if row is None:
        return None
    return {
        "number": row.number,
        "content": row.content,
        "digest": row.digest,
        "by": str(row.by),
        "at": row.at.isoformat(),
    }


def _csv_row(taken: Taken) -> tuple[str, ...]:
    facts = FACTS[taken.quantity]
    size = abs(taken.value) if facts.sided else taken.value
    return (
        taken.quantity.value,
        taken.place,
        f"{size:.9g}",
        {"mm": "mm", "um": "µm", "n": "N", "cm3": "cm³", "kpa": "kPa"}[facts.suffix],
        taken.side,
        taken.gauge,
        taken.by,
        taken.at.isoformat(),
    )


def _time(at: datetime | None) -> str | None:
    return at.isoformat() if at else None
