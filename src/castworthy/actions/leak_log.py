"""The deed of a vacuum log: a port's leak, found from readings over time, kept as its test."""

from uuid import UUID

from castworthy.actions.deed import deed, head_for_work
from castworthy.actions.entry import check_place, uuid_of
from castworthy.actions.errors import DeedRefused
from castworthy.actions.proof import rule_words
from castworthy.actions.proved import NewProof, Proved, held_reading, keep_proof
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.records.leak_logs import log_json
from castworthy.records.leak_trial import LogFault, LogTrial, LogTyped, log_trial
from castworthy.records.models import Person, Reading, TestKind
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show

_VACUUM = Quantity.VACUUM_HOLD
_ASKED = {
    "volume": "The volume of port and line is still empty; fill it with water once and measure it.",
    "dead_head": "The pump's reading of the day is still empty; read it with the line shut.",
}


def record_vacuum_log(
    *,
    tag: str,
    place: str,
    typed: LogTyped,
    by: Person,
    uuid: str | UUID | None = None,
) -> Proved:
    """Keep a log as the vacuum test of a port, passed where its verdict is inside.

    What it holds at the end of the sheet's hold is the test's reading, taken with the gauge named;
    the log's readings, the port's volume and the fit stay with it.

    Raises
    ------
    DeedRefused
        If anything typed cannot be read or cannot be, volume or pump's reading is left out, the
        log says nothing of the port, or the same log was kept before.

    """
    show = Show(length=by.show_length)
    with deed("vacuum test recorded", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        check_place(sheet, quantity=_VACUUM, place=place)
        _refuse_second(uuid)
        for field, sentence in _ASKED.items():
            if not getattr(typed, field).strip():
                raise DeedRefused(sentence, field=field)
        try:
            trial = log_trial(typed, sheet=sheet, place=place, show=show)
        except LogFault as fault:
            raise DeedRefused(fault.sentence, field=fault.field) from fault
        decay = trial.decay
        if isinstance(decay, Refused):
            raise DeedRefused(decay.sentence, field="readings")
        reading, _ = held_reading(
            head,
            quantity=_VACUUM,
            place=place,
            value_kpa=max(decay.held_kpa, 0.0),
            u_kpa=decay.u_held_kpa,
            u_shared_kpa=decay.u_shared_kpa,
            gauge=trial.gauge_name or None,
            uuid=uuid,
            by=by,
            at=told.at,
        )
        test = NewProof(
            kind=TestKind.VACUUM,
            place=place,
            conditions={
                "dead_head_kpa": trial.dead_head_kpa,
                "held_kpa": max(decay.held_kpa, 0.0),
                "hold_s": trial.hold_s,
                "log": log_json(trial, decay=decay, atmosphere_typed=typed.atmosphere),
            },
            found=_found(trial, show=show),
            rule=rule_words(_VACUUM, sheet=sheet, place=place, show=show),
            passed=trial.verdict is Verdict.INSIDE,
            sentence=trial.sentences(show)[0],
            headline=trial.sentences(show)[0],
            reading=reading,
        )
        return keep_proof(head, test=test, told=told, by=by)


def _refuse_second(uuid: str | UUID | None) -> None:
    if uuid and Reading.objects.filter(uuid=uuid_of(uuid)).exists():
        raise DeedRefused("This log is kept already; open the port again to log it anew.")


def _found(trial: LogTrial, *, show: Show) -> str:
    return " ".join(trial.sentences(show))
