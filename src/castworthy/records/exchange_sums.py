"""The kept sums of an exported head."""

from datetime import UTC
from typing import Any

from castworthy.records.kept_sums import KeptFacts, answer_json, kept_sums_of, typed_json
from castworthy.records.models import Head

_TEXT = {"type": "string"}
_TIME = {"type": "string", "format": "date-time"}


def _object(**properties: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(properties),
        "properties": properties,
    }


def _list(**properties: Any) -> dict[str, Any]:
    return {"type": "array", "items": _object(**properties)}


_TEXTS = {"type": "array", "items": _TEXT}
_MAYBE_COUNT = {"type": ["integer", "null"], "minimum": 0}

SUMS_SCHEMA = _list(
    uuid={"type": "string", "pattern": "^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"},
    name={"type": "string", "minLength": 1, "maxLength": 40},
    title={"type": "string", "minLength": 1, "maxLength": 80},
    place={"type": "string", "maxLength": 24},
    units={"enum": ["thou", "in", "mm"]},
    typed=_list(name=_TEXT, label=_TEXT, typed=_TEXT, unit=_TEXT, said=_TEXT),
    answer=_object(
        headline=_TEXT,
        tone=_TEXT,
        rows=_list(label=_TEXT, value=_TEXT, note=_TEXT, inset={"type": "boolean"}),
        table={
            "anyOf": [
                {"type": "null"},
                _object(heads=_TEXTS, rows={"type": "array", "items": _TEXTS}, chosen=_MAYBE_COUNT),
            ]
        },
        sentences=_TEXTS,
        cautions=_TEXTS,
    ),
    note={"type": "string", "maxLength": 200},
    software={"type": "string", "maxLength": 20},
    operations_done_count={"type": "integer", "minimum": 0},
    by=_TEXT,
    at=_TIME,
    taken_back={
        "anyOf": [
            {"type": "null"},
            _object(why={"type": "string", "maxLength": 200}, by=_TEXT, at=_TIME),
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
