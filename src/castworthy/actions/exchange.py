"""Taking a head in from a file another shop or another record wrote."""

from base64 import b64decode
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.core.files.base import ContentFile
from django.utils.text import slugify
from jsonschema import Draft202012Validator

from castworthy.actions.deed import deed
from castworthy.actions.errors import DeedRefused
from castworthy.actions.settle import settle
from castworthy.records.exchange import content_digest, export_head, head_schema
from castworthy.records.exchange_photos import PHOTO_FIELDS
from castworthy.records.exchange_sums import SUM_FIELDS
from castworthy.records.exchange_traces import TRACE_FIELDS
from castworthy.records.models import (
    AssemblyTick,
    Customer,
    Gauge,
    Head,
    KeptSum,
    Lot,
    Operation,
    Person,
    Photo,
    ProofTest,
    Reading,
    Release,
    Role,
    SheetRevision,
    SpecSheet,
    SumTakenBack,
    Supplier,
    Trace,
    TraceSetAside,
)
from castworthy.records.plans import digest_of
from castworthy.records.standing import standing_for
from castworthy.sheets.errors import SheetError
from castworthy.sheets.spec import read_sheet

_LONGEST_NAME = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """A head that came by file; ``new`` is False for one that was on record just so."""

    tag: str
    new: bool
    readings_count: int


def import_head(*, file: Mapping[str, Any], by: Person) -> Imported:
    """Take a head in with all its history from an exported file.

    People the record does not know come along as closed accounts, so that their names stay
    with what they did.  The same file twice changes nothing.

    Raises
    ------
    DeedRefused
        If the file is of another shape, was changed on the way, or its tag, readings or release
        number are on record otherwise.

    """
    _check(file)
    with deed("head imported", by=by) as told:
        tag = file["head"]["tag"]
        there = Head.objects.filter(tag=tag).first()
        if there is not None:
            told.nothing_new()
            return _same(tag, file=file)
        head = _head(file, by=by)
        _readings(head, file=file)
        _work(head, file=file)
        _photos(head, file=file)
        _traces(head, file=file)
        _tests(head, file=file)
        _sums(head, file=file)
        _release(head, file=file)
        _put_where_it_was(head, file=file, at=told.at)
        told.about(head=head, subject=tag, readings=len(file["readings"]))
    return Imported(tag=tag, new=True, readings_count=len(file["readings"]))


def _check(file: Mapping[str, Any]) -> None:
    faults = sorted(
        Draft202012Validator(head_schema()).iter_errors(file), key=lambda fault: list(fault.path)
    )
    if faults:
        where = "/".join(str(step) for step in faults[0].absolute_path) or "the file"
        raise DeedRefused(
            f"This is no head that export wrote: at {where}, {faults[0].message[:160]}. Export it "
            "again.",
            code="shape",
        )
    if content_digest(file) != file["digest"]:
        raise DeedRefused(
            "The file was changed after it was exported: its digest does not match its content. "
            "Export it again.",
            code="changed",
        )


def _same(tag: str, *, file: Mapping[str, Any]) -> Imported:
    mine = export_head(tag)
    parts = ("readings", "photos", "traces", "operations", "tests", "sums", "release")
    if all(mine[part] == file.get(part, []) for part in parts):
        return Imported(tag=tag, new=False, readings_count=len(file["readings"]))
    raise DeedRefused(
        f"{tag} is on record already and differs from the file; export it from here and compare.",
        code="exists",
    )


def _head(file: Mapping[str, Any], *, by: Person) -> Head:
    told = file["head"]
    return Head.objects.create(
        tag=told["tag"],
        revision=_revision(file["sheet"], by=by, at=told["taken_in_at"]),
        kind=told["kind"],
        loaded=told["loaded"],
        mark=told["mark"],
        lot=_lot(told["supplier"], told["lot"]),
        customer=_customer(told["customer"]),
        history=told["history"],
        gasket=told["gasket"],
        asked=told["asked"],
        note=told["note"],
        step_since=_time(told["step_since"]),
        taken_in_by=_person(told["taken_in_by"]),
        taken_in_at=_time(told["taken_in_at"]),
    )


def _revision(sheet: Mapping[str, Any], *, by: Person, at: str) -> SheetRevision:
    known = SheetRevision.objects.filter(digest=sheet["digest"]).first()
    if known is not None:
        return known
    try:
        read = read_sheet(sheet["text"], file="the sheet in the file")
    except SheetError as error:
        raise DeedRefused(f"The sheet in the file cannot be read: {error.findings[0]}") from error
    row, _ = SpecSheet.objects.get_or_create(code=read.code, defaults={"title": read.title})
    last = row.revisions.order_by("-number").values_list("number", flat=True).first() or 0
    return SheetRevision.objects.create(
        sheet=row,
        number=last + 1,
        text=sheet["text"],
        digest=sheet["digest"],
        note="came with an imported head",
        by=by,
        at=_time(at),
    )


def _readings(head: Head, *, file: Mapping[str, Any]) -> None:
    gauges = {told["name"]: _gauge(told) for told in file["gauges"]}
    stored: dict[str, Reading] = {}
    taken = [told["uuid"] for told in file["readings"]]
    if Reading.objects.filter(uuid__in=taken).exists():
        raise DeedRefused(
            "Readings of the file are on record for another head; it was given another tag here.",
            code="exists",
        )
    for told in file["readings"]:
        stored[told["uuid"]] = Reading.objects.create(
            uuid=told["uuid"],
            head=head,
            replaces=stored.get(told["replaces"]) if told["replaces"] else None,
            gauge=gauges.get(told["gauge"]),
            by=_person(told["by"]),
            at=_time(told["at"]),
            **_same_named(
                told,
                "quantity",
                "place",
                "typed",
                "unit",
                "side",
                "value",
                "u",
                "u_bias",
                "resolution",
                "gauge_overdue",
                "operations_done_count",
                "why",
                "slip_kept",
                "alone",
                "judged",
            ),
        )


def _work(head: Head, *, file: Mapping[str, Any]) -> None:
    for told in file["operations"]:
        Operation.objects.create(
            head=head,
            parts=told["parts_mm"],
            by=_person(told["by"]) if told["by"] else None,
            at=_time(told["at"]) if told["at"] else None,
            **_same_named(
                told,
                "position",
                "kind",
                "place",
                "planned_mm",
                "minutes",
                "cost",
                "why",
                "state",
                "done_number",
                "taken_mm",
                "typed",
                "note",
            ),
        )
    for told in file["ticks"]:
        AssemblyTick.objects.create(
            head=head,
            by=_person(told["by"]),
            at=_time(told["at"]),
            **_same_named(told, "item", "place", "ticked", "operations_done_count"),
        )


def _tests(head: Head, *, file: Mapping[str, Any]) -> None:
    for told in file["tests"]:
        ProofTest.objects.create(
            head=head,
            reading=Reading.objects.get(uuid=told["reading"]) if told["reading"] else None,
            by=_person(told["by"]),
            at=_time(told["at"]),
            **_same_named(
                told,
                "kind",
                "place",
                "conditions",
                "found",
                "rule",
                "passed",
                "operations_done_count",
            ),
        )


def _photos(head: Head, *, file: Mapping[str, Any]) -> None:
    """The photos with their files; files of earlier versions have none."""
    for told in file.get("photos", []):
        content = _content(told, what=f"The photo {told['caption'] or told['uuid']}")
        if Photo.objects.filter(uuid=told["uuid"]).exists():
            raise DeedRefused(
                "Photos of the file are on record for another head; it was given another tag here.",
                code="exists",
            )
        photo = Photo(
            head=head,
            reading=Reading.objects.get(uuid=told["reading"]) if told["reading"] else None,
            by=_person(told["by"]),
            at=_time(told["at"]),
            **_same_named(told, *PHOTO_FIELDS),
        )
        with _stored(photo, name=f"{photo.uuid}.jpg", content=content):
            photo.save()


@contextmanager
def _stored(row: Photo | Trace, *, name: str, content: bytes) -> Iterator[None]:
    """Write the file, and take it away again when the row is not written."""
    row.file.save(name, ContentFile(content), save=False)
    try:
        yield
    except BaseException:
        row.file.delete(save=False)
        raise


def _content(told: Mapping[str, Any], *, what: str) -> bytes:
    """A file that came along, refused when it is not what its digest says."""
    try:
        content = b64decode(told["content_base64"], validate=True)
    except ValueError:
        content = b""
    if sha256(content).hexdigest() != told["digest"]:
        raise DeedRefused(f"{what} in the file was changed; export it again.", code="changed")
    return content


def _traces(head: Head, *, file: Mapping[str, Any]) -> None:
    """The traces with their files, byte for byte as they were."""
    for told in file["traces"]:
        content = _content(told, what=f"The trace {told['file_name']}")
        trace = Trace(
            uuid=UUID(told["uuid"]),
            head=head,
            gauge=Gauge.objects.filter(name=told["gauge"]).first() if told["gauge"] else None,
            by=_person(told["by"]),
            at=_time(told["at"]),
            **_same_named(told, *TRACE_FIELDS),
        )
        with _stored(trace, name=f"{trace.uuid}.trace", content=content):
            trace.save()
        if told["set_aside"]:
            TraceSetAside.objects.create(
                trace=trace, why=told["set_aside"], by=trace.by, at=trace.at
            )


def _sums(head: Head, *, file: Mapping[str, Any]) -> None:
    """The kept sums, those taken back too; files of earlier versions have none."""
    for told in file.get("sums", []):
        if KeptSum.objects.filter(uuid=told["uuid"]).exists():
            raise DeedRefused(
                "Sums of the file are on record for another head; it was given another tag here.",
                code="exists",
            )
        kept = KeptSum.objects.create(
            head=head,
            by=_person(told["by"]),
            at=_time(told["at"]),
            **_same_named(told, *SUM_FIELDS),
        )
        back = told["taken_back"]
        if back is not None:
            SumTakenBack.objects.create(
                kept=kept, why=back["why"], by=_person(back["by"]), at=_time(back["at"])
            )


def _release(head: Head, *, file: Mapping[str, Any]) -> None:
    told = file["release"]
    if told is None:
        return
    if digest_of(told["content"]) != told["digest"]:
        raise DeedRefused("The release record in the file was changed after it was signed.")
    other = Release.objects.filter(number=told["number"]).select_related("head").first()
    if other is not None:
        raise DeedRefused(
            f"Release {told['number']} is that of {other.head.tag} here; a released head can only "
            "come into a record that has not used its number.",
            code="number",
        )
    Release.objects.create(
        head=head,
        number=told["number"],
        content=told["content"],
        digest=told["digest"],
        by=_person(told["by"]),
        at=_time(told["at"]),
    )


def _put_where_it_was(head: Head, *, file: Mapping[str, Any], at: datetime) -> None:
    told = file["head"]
    settle(head, at=at, standing=standing_for(head))
    head.step, head.step_since = told["step"], _time(told["step_since"])
    head.decision, head.outcome = told["decision"], told["outcome"]
    head.outcome_note = told["outcome_note"]
    head.ended_at = _time(told["ended_at"]) if told["ended_at"] else None
    head.save()


def _gauge(told: Mapping[str, Any]) -> Gauge:
    until = told["calibrated_until"]
    row, _ = Gauge.objects.get_or_create(
        name=told["name"],
        defaults={
            **_same_named(told, "reads", "unit", "u", "u_bias", "resolution"),
            "calibrated_until": date.fromisoformat(until) if until else None,
        },
    )
    return row


def _lot(supplier: str, code: str) -> Lot | None:
    if not supplier or not code:
        return None
    maker, _ = Supplier.objects.get_or_create(name=supplier)
    return Lot.objects.get_or_create(supplier=maker, code=code)[0]


def _customer(name: str) -> Customer | None:
    return Customer.objects.get_or_create(name=name)[0] if name else None


def _person(name: str) -> Person:
    known = Person.objects.filter(full_name=name).order_by("id").first()
    if known is not None:
        return known
    base = slugify(name)[:24] or "somebody"
    login, number = base, 1
    while Person.objects.filter(username=login).exists():
        number += 1
        login = f"{base}-{number}"
    person = Person(
        username=login, full_name=name[:_LONGEST_NAME], role=Role.VIEWER, is_active=False
    )
    person.set_unusable_password()
    person.save()
    return person


def _same_named(told: Mapping[str, Any], *names: str) -> dict[str, Any]:
    return {name: told[name] for name in names}


def _time(text: str) -> datetime:
    try:
        told = datetime.fromisoformat(text)
    except ValueError:
        told = None
    if told is None or told.tzinfo is None:
        raise DeedRefused(
            f"The file tells {text[:40]!r} where a time with its zone belongs, as "
            "2026-03-02T08:15:00+00:00. Export it again.",
            code="shape",
        )
    return told
