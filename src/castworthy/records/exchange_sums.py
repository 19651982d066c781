"""The kept sums of an exported head."""

from datetime import UTC
from typing import Any

from castworthy.records.exchange_shapes import COUNT, FLAG, TEXT, TIME, UUID, list_of, object_of
from castworthy.records.kept_sums import KeptFacts, answer_json, kept_sums_of, typed_json
from castworthy.records.models import Head

_TEXTS = {"type": "array", "items": TEXT}
_MAYBE_COUNT = {"type": ["integer", "null"], "minimum": 0}

SUMS_SCHEMA = list_of(
    uuid=UUID,
    name={"type": "string", "minLength": 1, "maxLength": 40},
    title={"type": "string", "minLength": 1, "maxLength": 80},
    place={"type": "string", "maxLength": 24},
    units={"enum": ["thou", "in", "mm"]},
    typed=list_of(name=TEXT, label=TEXT, typed=TEXT, unit=TEXT, said=TEXT),
    answer=object_of(
        headline=TEXT,
        tone=TEXT,
        rows=list_of(label=TEXT, value=TEXT, note=TEXT, inset=FLAG),
        table={
            "anyOf": [
                {"type": "null"},
                object_of(
                    heads=_TEXTS, rows={"type": "array", "items": _TEXTS}, chosen=_MAYBE_COUNT
                ),
            ]
        },
        sentences=_TEXTS,
        cautions=_TEXTS,
    ),
    note={"type": "string", "maxLength": 200},
    software={"type": "string", "maxLength": 20},
    operations_done_count=COUNT,
    by=TEXT,
    at=TIME,
    taken_back={
        "anyOf": [
            {"type": "null"},
            object_of(why={"type": "string", "maxLength": 200}, by=TEXT, at=TIME),
        ]
    },
)
"""The shape of an exported head's sums."""

SUM_FIELDS = (
    "uuid",
    "name",
    "title",
    "place",
    "units",
    "typed",
    "answer",
    "note",
    "software",
    "operations_done_count",
)
"""What an exported sum and its row name alike."""


def sums_told(head: Head) -> list[dict[str, Any]]:
    """Every sum kept with a head, oldest first, those taken back too."""
    return [_sum(kept) for kept in kept_sums_of(head)]


def _sum(kept: KeptFacts) -> dict[str, Any]:
    worked, back = kept.worked, kept.taken_back
    return {
        "uuid": str(kept.uuid),
        "name": worked.name,
        "title": worked.title,
        "place": worked.place,
        "units": worked.units,
        "typed": typed_json(worked.typed),
        "answer": answer_json(worked.answer),
        "note": kept.note,
        "software": kept.software,
        "operations_done_count": kept.epoch,
        "by": kept.by,
        "at": kept.at.astimezone(UTC).isoformat(),
        "taken_back": None
        if back is None
        else {"why": back.why, "by": back.by, "at": back.at.astimezone(UTC).isoformat()},
    }
