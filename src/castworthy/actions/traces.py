"""Deeds about surface traces: taken in as files, judged together, set aside with a reason."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields
from hashlib import sha256
from pathlib import PurePath
from typing import Any
from uuid import UUID, uuid4

from django.core.files.base import ContentFile

from castworthy import __version__
from castworthy.actions.deed import WORKERS, check_role, deed, head_for_work
from castworthy.actions.entry import judged_json, store_taken, uuid_of
from castworthy.actions.errors import DeedRefused
from castworthy.actions.settle import settle
from castworthy.actions.texts import short
from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.texture.drawn import drawn_of
from castworthy.calc.texture.evaluate import evaluate
from castworthy.calc.texture.profile import Profile, Texture
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.traces import read_traces
from castworthy.records.errors import printable
from castworthy.records.measured import Taken, worked_of
from castworthy.records.models import Face, Gauge, Head, Person, Trace, TraceSetAside
from castworthy.records.standing import judge_once
from castworthy.records.to_calc import fits, gauge_of, sheet_for
from castworthy.records.traces import Decides, deciding, traces_of
from castworthy.units import Show, UnitError, read_value

LARGEST_BYTES = 48 * 1024 * 1024
"""Largest trace file taken in at the page; the command line reads larger ones."""
MOST_FILES = 24
"""Most files of one sending."""
_CURVES = frozenset(
    {"primary_um", "roughness_um", "waviness_um", "material", "spectrum", "made_by", "warnings"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceUpload:
    """A file as it was sent."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class CutWith:
    """What the machine that cut the face was set to, as typed; empty where nobody knows."""

    machine: str = ""
    feed: str = ""
    nose: str = ""
    turning: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TracesTaken:
    """What became of a sending: traces kept, what their readers noted, files turned away."""

    kept_count: int
    notes: tuple[str, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """One profile with what was found in it."""

    file: TraceUpload
    number: int
    texture: Texture


@dataclass(frozen=True, slots=True, kw_only=True)
class _Setting:
    """What the machine was set to, in calc's units."""

    machine: str
    feed_set_mm: float | None
    nose_mm: float | None
    turning_rpm: float | None


def add_traces(
    *,
    tag: str,
    files: Sequence[TraceUpload],
    by: Person,
    face: str = Face.DECK,
    place: str = "",
    spot_mm: tuple[float, float] | None = None,
    gauge: str = "",
    cut: CutWith | None = None,
) -> TracesTaken:
    """Take in surface traces of a head's deck (or of the block it goes on) and judge the finish.

    A file that cannot be read is named in ``refused`` and the others are kept.  Each finish limit
    of the sheet gets a reading with the value that decides it.  The same file at the same place
    is kept once.

    Raises
    ------
    DeedRefused
        If no file can be read, or there is no such head, face or gauge.

    """
    check_role(by, may=WORKERS)
    if face not in Face.values:
        raise DeedRefused("A trace is of the head's deck or of the block.", field="face")
    if not files:
        raise DeedRefused("Choose at least one trace file.", field="files")
    if len(files) > MOST_FILES:
        raise DeedRefused(
            f"{len(files)} files came at once; send at most {MOST_FILES}.", field="files"
        )
    setting = _setting(cut or CutWith(), by=by)
    with deed("traces taken", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        found, notes, refused = _read(files, sheet=sheet, setting=setting)
        if not found:
            raise DeedRefused(" ".join(refused), field="files")
        row = _gauge(gauge) if gauge else None
        done_count = max((each.number for each in worked_of(head)), default=0)
        common = {
            "head": head,
            "face": face,
            "place": short(place, field="place", what="The place", longest=40),
            "x_mm": spot_mm[0] if spot_mm else None,
            "y_mm": spot_mm[1] if spot_mm else None,
            "gauge": row,
            "operations_done_count": done_count,
            "by": by,
            "at": told.at,
            **asdict(setting),
        }
        new = [each for each in found if not _is_there(each, common=common)]
        with _files_of([_row(each, common=common) for each in new]) as rows:
            for trace in rows:
                trace.save()
        if not new:
            told.nothing_new()
        elif face == Face.DECK:
            _decide(head, sheet=sheet, by=by, at=told.at)
        told.about(head=head, subject=common["place"] or face, traces=len(new))
    return TracesTaken(kept_count=len(new), notes=tuple(notes), refused=tuple(refused))


def set_trace_aside(*, uuid: str | UUID, why: str, by: Person) -> TraceSetAside:
    """No longer count a trace; it stays on record with the reason.

    Raises
    ------
    DeedRefused
        If there is no such trace, it is set aside already, or no reason is given.

    """
    with deed("trace set aside", by=by) as told:
        trace = Trace.objects.select_related("head").filter(uuid=uuid_of(uuid)).first()
        if trace is None:
            raise DeedRefused("There is no such trace on record.", field="uuid")
        head = head_for_work(trace.head.tag)
        reason = short(why, field="why", what="The reason", longest=200)
        if not reason:
            raise DeedRefused("Say why this trace does not count.", field="why")
        if TraceSetAside.objects.filter(trace=trace).exists():
            raise DeedRefused("This trace is set aside already.", field="uuid")
        if trace.face == Face.DECK:
            _refuse_last(trace, head=head)
        aside = TraceSetAside.objects.create(trace=trace, why=reason, by=by, at=told.at)
        if trace.face == Face.DECK:
            _decide(head, sheet=sheet_for(head), by=by, at=told.at)
        told.about(head=head, subject=trace.file_name, why=reason)
    return aside


def _refuse_last(trace: Trace, *, head: Head) -> None:
    counted = traces_of(head, sheet=sheet_for(head), worked=worked_of(head))
    deck = [each for each in counted if each.face == Face.DECK and each.counts]
    if [each.uuid for each in deck] == [trace.uuid]:
        raise DeedRefused(
            "This is the only trace of the deck that counts; take another first, then set this "
            "one aside.",
            field="why",
        )


def _read(
    files: Sequence[TraceUpload], *, sheet: HeadSheet, setting: _Setting
) -> tuple[list[_Found], list[str], list[str]]:
    found: list[_Found] = []
    notes: list[str] = []
    refused: list[str] = []
    for file in files:
        try:
            read = read_traces(_content(file), file=file.name)
        except InstrumentError as fault:
            refused.append(str(fault))
            continue
        notes += [f"{file.name}: {note}" for note in read.notes]
        for number, profile in enumerate(read.profiles, start=1):
            texture = _evaluated(profile, sheet=sheet, setting=setting)
            if isinstance(texture, Refused):
                refused.append(f"{file.name}: {texture.sentence}")
            else:
                found.append(_Found(file=file, number=number, texture=texture))
    return found, notes, refused


def _content(file: TraceUpload) -> bytes:
    if len(file.content) > LARGEST_BYTES:
        raise InstrumentError(
            f"{file.name} is larger than {LARGEST_BYTES // 1024**2} MB; read it with "
            "castworthy trace on the command line."
        )
    return file.content


def _evaluated(profile: Profile, *, sheet: HeadSheet, setting: _Setting) -> Texture | Refused:
    return evaluate(profile, cutoff_mm=sheet.work.finish_cutoff_mm, feed_set_mm=setting.feed_set_mm)


def _is_there(found: _Found, *, common: dict[str, Any]) -> bool:
    return Trace.objects.filter(
        head=common["head"],
        face=common["face"],
        place=common["place"],
        digest=sha256(found.file.content).hexdigest(),
        profile_number=found.number,
        operations_done_count=common["operations_done_count"],
        set_aside__isnull=True,
    ).exists()


def _row(found: _Found, *, common: dict[str, Any]) -> Trace:
    texture = found.texture
    uuid = uuid4()
    trace = Trace(
        uuid=uuid,
        file_name=printable(PurePath(found.file.name).name)[:120],
        digest=sha256(found.file.content).hexdigest(),
        profile_number=found.number,
        ra_um=texture.ra_um,
        rz_um=texture.rz_um,
        wt_um=texture.wt_um,
        u_ra_um=texture.u_ra_um,
        u_rz_um=texture.u_rz_um,
        result=_result(texture, gauge=common["gauge"]),
        software=__version__,
        **common,
    )
    trace.file.save(f"{uuid}.trace", ContentFile(found.file.content), save=False)
    return trace


@contextmanager
def _files_of(rows: list[Trace]) -> Iterator[list[Trace]]:
    """The files written, and taken away again when the rows are not."""
    try:
        yield rows
    except BaseException:
        for trace in rows:
            trace.file.delete(save=False)
        raise


def _result(texture: Texture, *, gauge: Gauge | None) -> dict[str, Any]:
    """Everything found, as JSON: parameters by their key, what made it, curves to draw."""
    plain = {
        each.name: getattr(texture, each.name)
        for each in fields(texture)
        if each.name not in _CURVES
    }
    return {
        **plain,
        "warnings": list(texture.warnings),
        "made_by": asdict(texture.made_by),
        "drawn": asdict(drawn_of(texture)),
        "gauge_u_um": 0.0 if gauge is None else gauge_of(gauge, suffix="um").u,
    }


def _decide(head: Head, *, sheet: HeadSheet, by: Person, at: Any) -> None:
    """Write the readings the traces give, then see where the head stands."""
    worked = worked_of(head)
    traces = traces_of(head, sheet=sheet, worked=worked)
    for found in deciding(traces, sheet=sheet):
        _write(found, head=head, sheet=sheet, by=by, at=at)
    settle(head, at=at)


def _write(found: Decides, *, head: Head, sheet: HeadSheet, by: Person, at: Any) -> None:
    gauge = Gauge.objects.filter(name=found.trace.gauge).first()
    reading = Reading(quantity=found.quantity, place="", value=found.value_um, u=found.u_um or None)
    judged = judge_once(reading, found.limit, sheet.work.confidence_probability)
    show = Show(length=by.show_length)
    taken = Taken(
        id=0,
        uuid=uuid4(),
        quantity=found.quantity,
        place="",
        typed=show.number(found.value_um, suffix="um", digits=None if not show.metric else 3),
        unit=show.unit("um"),
        side="",
        value=found.value_um,
        u=found.u_um or None,
        u_bias=0.0,
        resolution=None,
        gauge_id=gauge.pk if gauge else None,
        gauge=found.trace.gauge,
        gauge_overdue=bool(gauge and gauge.calibrated_until and gauge.calibrated_until < at.date()),
        epoch=max((each.number for each in worked_of(head)), default=0),
        replaces_id=None,
        replaced=False,
        why=_why(found),
        slip_kept="",
        alone=True,
        judged={},
        by=str(by),
        at=at,
    )
    store_taken(taken, head=head, judged=judged_json(judged, revision=head.revision.number), by=by)


def _why(found: Decides) -> str:
    if found.traces_count == 1:
        return f"from trace {found.trace.file_name}"[:200]
    return f"decides of {found.traces_count} traces: {found.trace.file_name}"[:200]


def _setting(cut: CutWith, *, by: Person) -> _Setting:
    return _Setting(
        machine=short(cut.machine, field="machine", what="The machine", longest=40),
        feed_set_mm=_typed(cut.feed, suffix="mm", field="feed", what="The feed", by=by),
        nose_mm=_typed(cut.nose, suffix="mm", field="nose", what="The insert radius", by=by),
        turning_rpm=_typed(cut.turning, suffix="rpm", field="turning", what="The speed", by=by),
    )


def _typed(text: str, *, suffix: str, field: str, what: str, by: Person) -> float | None:
    if not text.strip():
        return None
    unit = Show(length=by.show_length).unit(suffix)
    try:
        value = read_value(text, suffix=suffix, bare_unit=unit).value
    except UnitError as error:
        raise DeedRefused(f"{what}: {error}", field=field, code="unit") from error
    if value <= 0.0:
        raise DeedRefused(f"{what} is more than nothing ({text.strip()}).", field=field)
    return value


def _gauge(name: str) -> Gauge:
    row = Gauge.objects.filter(name=printable(name)).first()
    if row is None or row.retired or not fits(row, suffix="um"):
        raise DeedRefused(
            f"{name!r} is no gauge that reads a finish; choose one of the list.", field="gauge"
        )
    return row
