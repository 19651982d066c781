"""A kept bench sum as the record holds it: what was typed, what it told, whether it stands."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from castworthy.records.models import Head, KeptSum


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedField:
    """One field as it was typed.

    ``unit`` is what a bare number counted in, empty where there is none; ``said`` are the words
    of a choice.
    """

    name: str
    label: str
    typed: str
    unit: str = ""
    said: str = ""

    @property
    def words(self) -> str:
        """What a reader is told was typed."""
        if self.said:
            return self.said
        bare = self.unit and self.typed.replace(".", "", 1).lstrip("+-").isdigit()
        return f"{self.typed} {self.unit}" if bare else self.typed


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One figure of an answer; ``inset`` ones make up the one above."""

    label: str
    value: str
    note: str = ""
    inset: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Figures that need more than one column; the first names the row, ``chosen`` counts from 0."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    chosen: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptAnswer:
    """What a sum told: the word first, figures, what it means, what to mind.

    ``tone`` is the edge of the first sentence: inside, outside, close, missing or plain.
    """

    headline: str
    tone: str = "plain"
    rows: tuple[Row, ...] = ()
    table: Table | None = None
    sentences: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedSum:
    """A sum worked out, ready to be kept."""

    name: str
    title: str
    place: str
    units: str
    typed: tuple[TypedField, ...]
    answer: KeptAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBack:
    """Who took a kept sum back, when and why."""

    why: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFacts:
    """A kept sum; ``taken_back`` is ``None`` while it stands.

    ``later_count`` operations of the head were signed off since.
    """

    uuid: UUID
    tag: str
    worked: WorkedSum
    note: str
    software: str
    epoch: int
    later_count: int
    by: str
    at: datetime
    taken_back: TakenBack | None

    @property
    def stands(self) -> bool:
        """True while nobody took it back."""
        return self.taken_back is None


def typed_json(fields: Sequence[TypedField]) -> list[dict[str, str]]:
    """What was typed as plain JSON."""
    return [asdict(field) for field in fields]


def answer_json(answer: KeptAnswer) -> dict[str, Any]:
    """An answer as plain JSON."""
    table = answer.table
    return {
        "headline": answer.headline,
        "tone": answer.tone,
        "rows": [asdict(row) for row in answer.rows],
        "table": None
        if table is None
        else {
            "heads": list(table.heads),
            "rows": [list(row) for row in table.rows],
            "chosen": table.chosen,
        },
        "sentences": list(answer.sentences),
        "cautions": list(answer.cautions),
    }


def kept_sums_of(head: Head) -> tuple[KeptFacts, ...]:
    """Every sum kept with a head, oldest first, those taken back too."""
    rows = (
        KeptSum.objects.filter(head=head)
        .select_related("head", "by", "taken_back__by")
        .order_by("id")
    )
    done_count = head.operations.filter(state="done").count() if rows else 0
    return tuple(_facts(row, done_count=done_count) for row in rows)


def _facts(row: KeptSum, *, done_count: int) -> KeptFacts:
    back = getattr(row, "taken_back", None)
    return KeptFacts(
        uuid=row.uuid,
        tag=row.head.tag,
        worked=WorkedSum(
            name=row.name,
            title=row.title,
            place=row.place,
            units=row.units,
            typed=tuple(TypedField(**told) for told in row.typed),
            answer=_answer(row.answer),
        ),
        note=row.note,
        software=row.software,
        epoch=row.operations_done_count,
        later_count=max(done_count - row.operations_done_count, 0),
        by=str(row.by),
        at=timezone.localtime(row.at),
        taken_back=None
        if back is None
        else TakenBack(why=back.why, by=str(back.by), at=timezone.localtime(back.at)),
    )


def _answer(told: Mapping[str, Any]) -> KeptAnswer:
    table = told["table"]
    return KeptAnswer(
        headline=told["headline"],
        tone=told["tone"],
        rows=tuple(Row(**row) for row in told["rows"]),
        table=None
        if table is None
        else Table(
            heads=tuple(table["heads"]),
            rows=tuple(tuple(row) for row in table["rows"]),
            chosen=table["chosen"],
        ),
        sentences=tuple(told["sentences"]),
        cautions=tuple(told["cautions"]),
    )
