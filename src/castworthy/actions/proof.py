"""Deeds of the proof: crack check, pressure, vacuum port by port.

A vacuum or pressure test is also a reading (what was still held at the end), judged like any.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any
from uuid import UUID

from castworthy.actions.deed import deed, head_for_work
from castworthy.actions.entry import check_place
from castworthy.actions.errors import DeedRefused
from castworthy.actions.proved import (
    NewProof,
    Proved,
    held_reading,
    keep_proof,
    maybe,
    reader_of,
)
from castworthy.actions.texts import note_of, short
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import limit_sentence, verdict_sentence
from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet
from castworthy.calc.leak.pressure import bare_rise, pressure_decay
from castworthy.calc.leak.proof import (
    ATMOSPHERE_KPA,
    PRESSURE_SHARE_RATIO,
    VACUUM_SHARE_RATIO,
    Medium,
    pressure_left_ratio,
    vacuum_share_ratio,
)
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.records.bench_air import bench_air_kpa
from castworthy.records.crack_places import CrackPlace, CrackTyped, SpotFault, crack_place
from castworthy.records.models import (
    Head,
    Person,
    Photo,
    TestKind,
)
from castworthy.records.proof_words import (
    EXAMPLE_VOLUME_CM3,
    pressure_unit,
    vacuum_unit,
    vacuum_words,
)
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show, UnitError
from castworthy.units.retell import retell

CRACK_RULE = "there is no crack, and no open porosity into water, oil or combustion"
_SHARES = {
    Quantity.VACUUM_HOLD: (VACUUM_SHARE_RATIO, "the pump's reading of the day"),
    Quantity.PRESSURE_HOLD: (PRESSURE_SHARE_RATIO, "the test pressure"),
}
_WITHIN = {
    "cm3": (1.0, 1e6, "The volume filled lies from 0.001 to 1000 litres"),
    "degc": (-40.0, 150.0, "A test is done from -40 to 150 °C"),
}
"""What a figure of a pressure test may be (common practice, no source)."""


def record_crack_check(
    *,
    tag: str,
    method: str,
    clear: bool,
    by: Person,
    place: str = "",
    found: str = "",
    places: Sequence[CrackTyped] = (),
) -> Proved:
    """Record a crack check: how it was looked for and what was found, place by place.

    ``place`` and ``found`` are one more place.

    Raises
    ------
    DeedRefused
        If the method is missing, something was found and it is not said what, or a place lies off
        the deck.

    """
    with deed("crack check recorded", by=by) as told:
        head = head_for_work(tag)
        how = short(method, field="method", what="The method", longest=80)
        if not how:
            raise DeedRefused(
                "Say how it was checked: magnetic particle, penetrant, pressure.", field="method"
            )
        typed = (CrackTyped(where=place, found=found), *places)
        cracks = _cracks(typed, head=head, clear=clear, by=by)
        what = "; ".join(crack.words for crack in cracks)
        test = NewProof(
            kind=TestKind.CRACK,
            place="",
            conditions={
                "method": how,
                "where": "; ".join(crack.where for crack in cracks if crack.where),
                "places": [crack.stored for crack in cracks],
            },
            found=what,
            rule=CRACK_RULE,
            passed=clear,
            sentence="Nothing was found." if clear else f"{what.rstrip('.')}.",
        )
        return keep_proof(head, test=test, told=told, by=by)


def _cracks(
    typed: Sequence[CrackTyped], *, head: Head, clear: bool, by: Person
) -> tuple[CrackPlace, ...]:
    """The places found, each with its words; none is needed where nothing was found."""
    sheet, show = sheet_for(head), Show(length=by.show_length)
    cracks = []
    for each in typed:
        if each.blank:
            continue
        where = short(each.where, field="place", what="The place", longest=80)
        found = note_of(each.found, field="found", what="What was found")
        if clear and where:
            raise DeedRefused(
                f"{where} is named as a place, yet nothing was found; choose a crack, or empty "
                "the place.",
                field="place",
            )
        if not found:
            raise DeedRefused(
                f"Say what was found{f' at {where}' if where else ''}.", field="found"
            )
        photo = _photo(each.photo, head=head)
        given = CrackTyped(where=where, found=found, photo=photo)
        try:
            cracks.append(crack_place(given, sheet=sheet, show=show))
        except SpotFault as fault:
            raise DeedRefused(str(fault), field="place") from fault
    if not clear and not cracks:
        raise DeedRefused("Say what was found and where it runs.", field="found")
    return tuple(cracks)


def _photo(uuid: str, *, head: Head) -> str:
    """The photo of a place, when one is named."""
    known = {str(each) for each in Photo.objects.filter(head=head).values_list("uuid", flat=True)}
    if uuid.strip() and uuid.strip() not in known:
        raise DeedRefused("There is no such photo of this head; choose another.", field="photo")
    return uuid.strip()


def record_pressure(
    *,
    tag: str,
    medium: str,
    start: str,
    held: str,
    by: Person,
    hold: str = "",
    volume: str = "",
    start_temperature: str = "",
    end_temperature: str = "",
    atmosphere: str = "",
    found: str = "",
    gauge: str | None = None,
    uuid: str | UUID | None = None,
) -> Proved:
    """Record a pressure test; figures are as typed, with or without their unit.

    With air and both temperatures the end reading is brought back to the start's temperature
    before it is judged, counted from the air at the bench: ``atmosphere``, a pressure or the
    height of the shop, sea level where it is left out.  Leaks seen (``found``) fail it whatever
    the gauge says.

    Raises
    ------
    DeedRefused
        If a figure cannot be read or cannot be.

    """
    read = reader_of(by, pressure=pressure_unit(Show(length=by.show_length)))
    with deed("pressure test recorded", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        start_kpa = read("start", start, "kpa")
        conditions = {
            "medium": _medium(medium).value,
            "start_kpa": start_kpa,
            "held_kpa": read("held", held, "kpa"),
            "hold_s": maybe(read, "hold", hold, "s") or sheet.work.pressure_hold_s,
            "volume_cm3": _within(read, "volume", volume, "cm3", by=by),
            "start_degc": _within(read, "start_temperature", start_temperature, "degc", by=by),
            "end_degc": _within(read, "end_temperature", end_temperature, "degc", by=by),
            **_bench_air(atmosphere, by=by),
        }
        share = _left_ratio(conditions)
        warmth, warmth_sentence = _without_warmth(conditions, share=share, by=by)
        conditions |= warmth
        leaks = note_of(found, field="found", what="What was found")
        reading, judgement = held_reading(
            head,
            quantity=Quantity.PRESSURE_HOLD,
            place="",
            value_kpa=max(share, 0.0) * start_kpa,
            gauge=gauge,
            uuid=uuid,
            by=by,
            at=told.at,
        )
        passed, rule, sentence = _result(
            judgement, quantity=Quantity.PRESSURE_HOLD, sheet=sheet, share=share, by=by
        )
        if warmth_sentence:
            sentence = f"{sentence} {warmth_sentence}"
        test = NewProof(
            kind=TestKind.PRESSURE,
            place="",
            conditions={key: value for key, value in conditions.items() if value is not None},
            found=leaks,
            rule=rule,
            passed=passed and not leaks,
            sentence=f"{sentence} Seen: {leaks.rstrip('.')}." if leaks else sentence,
            reading=reading,
        )
        return keep_proof(head, test=test, told=told, by=by)


def record_vacuum(
    *,
    tag: str,
    place: str,
    held: str,
    dead_head: str,
    by: Person,
    hold: str = "",
    found: str = "",
    gauge: str | None = None,
    uuid: str | UUID | None = None,
) -> Proved:
    """Record what one port held at the end of the hold, beside the pump's reading of the day.

    Raises
    ------
    DeedRefused
        If a figure cannot be read, or a port is said to hold more than the pump pulls.

    """
    show = Show(length=by.show_length)
    read = reader_of(by, pressure=vacuum_unit(show))
    with deed("vacuum test recorded", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        check_place(sheet, quantity=Quantity.VACUUM_HOLD, place=place)
        dead_kpa, held_kpa = read("dead_head", dead_head, "kpa"), read("held", held, "kpa")
        share = _vacuum_share(held_kpa, dead_kpa, show=show)
        reading, judgement = held_reading(
            head,
            quantity=Quantity.VACUUM_HOLD,
            place=place,
            value_kpa=held_kpa,
            gauge=gauge,
            uuid=uuid,
            by=by,
            at=told.at,
        )
        passed, rule, sentence = _result(
            judgement, quantity=Quantity.VACUUM_HOLD, sheet=sheet, share=share, by=by
        )
        test = NewProof(
            kind=TestKind.VACUUM,
            place=place,
            conditions={
                "dead_head_kpa": dead_kpa,
                "held_kpa": held_kpa,
                "hold_s": maybe(read, "hold", hold, "s") or sheet.work.vacuum_hold_s,
            },
            found=note_of(found, field="found", what="What was found"),
            rule=rule,
            passed=passed,
            sentence=sentence,
            reading=reading,
        )
        return keep_proof(head, test=test, told=told, by=by)


def rule_words(quantity: Quantity, *, sheet: HeadSheet, place: str, show: Show) -> str:
    """The rule a vacuum or pressure test passes by, in a person's units; a question, no deed."""
    limit = sheet.limit_for(quantity, place=place)
    if limit is not None:
        return f"{limit_sentence(limit, show=show).removeprefix('allowed ')} is left at the end"
    least, of = _SHARES[quantity]
    return f"{least:.0%} of {of} or more is left (common practice; the sheet sets no limit)"


def _result(
    judgement: Judgement | None, *, quantity: Quantity, sheet: HeadSheet, share: float, by: Person
) -> tuple[bool, str, str]:
    show = Show(length=by.show_length)
    least, of = _SHARES[quantity]
    place = judgement.place if judgement else ""
    if judgement is None:
        place = sheet.sites_of(quantity)[0]
        rule = rule_words(quantity, sheet=sheet, place=place, show=show)
        return share >= least, rule, f"It held {share:.0%} of {of}."
    rule = rule_words(quantity, sheet=sheet, place=place, show=show)
    passed = judgement.verdict is Verdict.INSIDE
    return passed, rule, verdict_sentence(judgement, show=show)


def _within(
    read: Callable[[str, str, str], float], field: str, typed: str, suffix: str, *, by: Person
) -> float | None:
    """A figure that may be left out, refused where no test is done with it."""
    value = maybe(read, field, typed, suffix)
    low, high, words = _WITHIN[suffix]
    if value is not None and not low <= value <= high:
        lies = retell(words, show=Show(length=by.show_length))
        raise DeedRefused(f"{lies} (got {typed.strip()}); check the unit.", field=field)
    return value


def _bench_air(typed: str, *, by: Person) -> dict[str, Any]:
    """The air at the bench as a condition of the test; none where it is left out."""
    if not typed.strip():
        return {}
    try:
        kpa = bench_air_kpa(typed, show=Show(length=by.show_length))
    except UnitError as fault:
        raise DeedRefused(str(fault), field="atmosphere") from fault
    return {"atmosphere_kpa": kpa, "atmosphere_typed": typed.strip()}


def _left_ratio(conditions: Mapping[str, Any]) -> float:
    """Share of the test pressure left, temperature taken out for air."""
    air = conditions["medium"] == Medium.AIR
    try:
        return pressure_left_ratio(
            start_kpa=conditions["start_kpa"],
            held_kpa=conditions["held_kpa"],
            start_degc=conditions["start_degc"] if air else None,
            end_degc=conditions["end_degc"] if air else None,
            atmosphere_kpa=conditions.get("atmosphere_kpa", ATMOSPHERE_KPA),
        )
    except InputError as error:
        raise DeedRefused(str(error), field="start") from error


def _without_warmth(
    conditions: Mapping[str, Any], *, share: float, by: Person
) -> tuple[dict[str, Any], str]:
    """What cooling or warming of the air explains of a loss, beside what is left of it."""
    start_degc, end_degc = conditions["start_degc"], conditions["end_degc"]
    if (start_degc is None) is not (end_degc is None):
        field = "end_temperature" if end_degc is None else "start_temperature"
        raise DeedRefused("Give both temperatures or leave both out.", field=field)
    if start_degc is None or conditions["medium"] != Medium.AIR:
        risen = bare_rise(
            start_kpa=conditions["start_kpa"],
            held_kpa=conditions["held_kpa"],
            show=Show(length=by.show_length),
        )
        if risen is not None:
            raise DeedRefused(risen.sentence, field="held")
        return {}, ""
    volume_cm3 = conditions["volume_cm3"]
    try:
        decay = pressure_decay(
            start_kpa=conditions["start_kpa"],
            held_kpa=conditions["held_kpa"],
            start_degc=start_degc,
            end_degc=end_degc,
            hold_s=conditions["hold_s"],
            volume_cm3=volume_cm3 or EXAMPLE_VOLUME_CM3,
            atmosphere_kpa=conditions.get("atmosphere_kpa", ATMOSPHERE_KPA),
            show=Show(length=by.show_length),
        )
    except InputError as error:
        raise DeedRefused(str(error), field="held") from error
    if isinstance(decay, Refused):
        raise DeedRefused(decay.sentence, field="end_temperature")
    warmth: dict[str, Any] = {
        "corrected_kpa": share * conditions["start_kpa"],
        "by_temperature_kpa": decay.by_temperature_kpa,
        "leak_loss_kpa": decay.leak_loss_kpa,
        "u_leak_loss_kpa": decay.u_leak_loss_kpa,
    }
    if volume_cm3 and decay.seen:
        warmth |= {"leak_std_cm3_per_min": decay.leak_std_cm3_per_min, "hole_um": decay.hole_um}
    return warmth, decay.sentence


def _vacuum_share(held_kpa: float, dead_kpa: float, *, show: Show) -> float:
    try:
        return vacuum_share_ratio(held_kpa=held_kpa, dead_head_kpa=dead_kpa)
    except InputError as error:
        pump = vacuum_words(dead_kpa, show=show)
        raise DeedRefused(
            f"A port holds between nothing and the pump's own reading, {pump} today; got "
            f"{vacuum_words(held_kpa, show=show)}. Read both again.",
            field="held",
        ) from error


def _medium(medium: str) -> Medium:
    try:
        return Medium(medium)
    except ValueError:
        raise DeedRefused("Say what it was filled with: water or air.", field="medium") from None
