"""The prove page: the crack check, the pressure test, the ports of the vacuum test."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.safestring import SafeString, mark_safe

from castworthy.actions.proof import CRACK_RULE, rule_words
from castworthy.calc.decision.phrases import own_show
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.leak.proof import Medium
from castworthy.calc.leak.words import PRACTICES, leak_words
from castworthy.calc.quantity import Quantity
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.records.cautions import CRACK_LIGHT, LAST_WORD, UNDER_PRESSURE, UNDER_VACUUM
from castworthy.records.leak_logs import kept_log, odd_port_words
from castworthy.records.lookups.prove import ProvePage as ProofsOnRecord
from castworthy.records.proof_words import (
    USUAL_KPA,
    energy_sentence,
    pressure_words,
    temperature_words,
    time_words,
    vacuum_unit,
    vacuum_words,
    warmth_words,
)
from castworthy.records.proving import Proof, Tested, TestKind
from castworthy.units import Show
from castworthy.units.show import as_text
from castworthy.web.contexts.crack_map import CrackMap, crack_map

_WAYS = {
    "machine": "To the work",
    "plan": "To the plan",
    "assemble": "To the assembly list",
    "": "",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One record of a test in words."""

    headline: str
    sentence: str
    ending: str
    by: str
    at: datetime
    gauge: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCard:
    """One test of the whole head."""

    rule: str
    latest: Result | None
    undone: str
    earlier: tuple[Result, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """One port of the vacuum test."""

    place: str
    kind: str
    unit: str
    typed: str
    wrong: str
    bar: SafeString
    verdict: str
    words: str
    undone: str
    by: str
    at: datetime | None
    tries_count: int
    next: bool
    gauge: str
    logged: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProvePage:
    """All of the prove page."""

    crack: TestCard
    pressure: TestCard
    ports: tuple[Port, ...]
    cracks: CrackMap
    energy: str
    vacuum_rule: str
    vacuum_cautions: tuple[str, ...]
    practices: tuple[str, ...]
    odd_port: str
    waits: str
    waits_step: str
    waits_way: str
    left_count: int
    tests_count: int


def prove_page_of(
    record: ProofsOnRecord, *, show: Show, wrong: Mapping[str, tuple[str, str]] | None = None
) -> ProvePage:
    """The page; ``wrong`` holds what was typed at a port and why it was refused."""
    sheet = record.sheet
    valve = sheet.valves[0].name if sheet.valves else ""
    return ProvePage(
        crack=_card(record, TestKind.CRACK, rule=CRACK_RULE, cautions=(CRACK_LIGHT,), show=show),
        pressure=_card(
            record,
            TestKind.PRESSURE,
            rule=rule_words(Quantity.PRESSURE_HOLD, sheet=sheet, place="", show=show),
            cautions=(UNDER_PRESSURE, LAST_WORD),
            show=show,
        ),
        ports=_ports(record, show=show, wrong=wrong or {}),
        cracks=crack_map(sheet, tests=_last_crack_check(record), show=show),
        energy=energy_sentence(
            medium=Medium.WATER, pressure_kpa=USUAL_KPA, volume_cm3=None, show=show
        ),
        vacuum_rule=rule_words(Quantity.VACUUM_HOLD, sheet=sheet, place=valve, show=show),
        vacuum_cautions=(UNDER_VACUUM,),
        practices=PRACTICES,
        odd_port=odd_port_words(record.proofs),
        waits=record.waits,
        waits_step=record.waits_step,
        waits_way=_WAYS[record.waits_step],
        left_count=record.left_count,
        tests_count=len(record.proofs),
    )


def _last_crack_check(record: ProofsOnRecord) -> tuple[Tested, ...]:
    latest = record.proof(TestKind.CRACK).latest
    return () if latest is None else (latest,)


def _card(
    record: ProofsOnRecord, kind: TestKind, *, rule: str, cautions: tuple[str, ...], show: Show
) -> TestCard:
    tests = record.history.get((kind, ""), ())
    return TestCard(
        rule=rule,
        latest=_result(tests[-1], show=show) if tests else None,
        undone=_undone(record.proof(kind)),
        earlier=tuple(_result(test, show=show) for test in reversed(tests[:-1])),
        cautions=cautions,
    )


def _result(test: Tested, *, show: Show) -> Result:
    return Result(
        headline="Passed." if test.passed else "Failed.",
        sentence=_conditions(test, show=show),
        ending="inside" if test.passed else "outside",
        by=test.by,
        at=test.at,
        gauge=test.gauge,
    )


def _conditions(test: Tested, *, show: Show) -> str:
    told = test.conditions
    if test.kind is TestKind.CRACK:
        apart = told.get("where") and "places" not in told
        where = f", {told['where']}" if apart else ""
        return f"{told['method'].capitalize()}{where}: {test.found or 'nothing found'}."
    start, held = (pressure_words(told[key], show=show) for key in ("start_kpa", "held_kpa"))
    warm = f" at {temperature_words(told['start_degc'], show=show)}" if "start_degc" in told else ""
    seen = f" Seen: {test.found}." if test.found else ""
    hold = time_words(told["hold_s"])
    warmth = warmth_words(told, show=show)
    hold = f"{hold}; {warmth}" if warmth else hold
    return f"{told['medium'].capitalize()}{warm}: {held} of {start} left after {hold}.{seen}"


def _undone(proof: Proof) -> str:
    if proof.latest is None or proof.undone_by is None:
        return ""
    work = f"{proof.undone_by.kind} {proof.undone_by.place}".strip()
    return f"Done before the {work}: do it again."


def _ports(
    record: ProofsOnRecord, *, show: Show, wrong: Mapping[str, tuple[str, str]]
) -> tuple[Port, ...]:
    proofs = [proof for proof in record.proofs if proof.kind is TestKind.VACUUM]
    following = next((proof.place for proof in proofs if not proof.stands), None)
    return tuple(
        _port(record, proof, show=show, wrong=wrong, next_place=following) for proof in proofs
    )


def _port(
    record: ProofsOnRecord,
    proof: Proof,
    *,
    show: Show,
    wrong: Mapping[str, tuple[str, str]],
    next_place: str | None,
) -> Port:
    test = proof.latest
    held = test.conditions["held_kpa"] if test else None
    typed, refused = wrong.get(proof.place, ("", ""))
    if not typed and held is not None:
        typed = as_text(held, suffix="kpa", unit=vacuum_unit(show), digits=1)
    return Port(
        place=proof.place,
        kind=record.sheet.valve(proof.place).kind.value,
        unit=vacuum_unit(show),
        typed=typed,
        wrong=refused,
        bar=_bar(record, proof, show=show),
        verdict=_verdict(proof).value,
        words=_port_words(test, show=show),
        undone=_undone(proof),
        by=test.by if test else "",
        at=test.at if test else None,
        tries_count=proof.tries_count,
        next=proof.place == next_place,
        gauge=test.gauge if test else "",
        logged=_logged(test),
    )


def _verdict(proof: Proof) -> Verdict:
    if proof.latest is None or proof.undone_by is not None:
        return Verdict.MISSING
    log = kept_log(proof.latest)
    if log is not None:
        return log.verdict
    return Verdict.INSIDE if proof.latest.passed else Verdict.OUTSIDE


def _logged(test: Tested | None) -> str:
    """What the port leaks by its log; empty where it was only read off."""
    log = kept_log(test)
    if log is None:
        return ""
    leak = leak_words(log.leak_std_cm3_per_min)
    return f"logged: leaks {leak}" if log.seen else "logged: no leak can be told"


def _port_words(test: Tested | None, *, show: Show) -> str:
    if test is None:
        return "not tested"
    held = vacuum_words(test.conditions["held_kpa"], show=show)
    share = min(1.0, test.conditions["held_kpa"] / test.conditions["dead_head_kpa"])
    log = kept_log(test)
    close = log is not None and log.verdict is Verdict.CLOSE
    word = "holds" if test.passed else "too close to call" if close else "leaks"
    return f"{word}: {held}, {share:.0%} of the pump's own"


def _bar(record: ProofsOnRecord, proof: Proof, *, show: Show) -> SafeString:
    limit = record.sheet.limit_for(Quantity.VACUUM_HOLD, place=proof.place)
    if limit is None:
        return SafeString("")
    marks = ()
    if proof.latest is not None:
        held = proof.latest.conditions["held_kpa"]
        standing = proof.undone_by is None
        log = kept_log(proof.latest)
        verdict = Verdict.INSIDE if proof.latest.passed else Verdict.OUTSIDE
        mark = BarMark(
            value=held,
            u=None if log is None else log.u_held_kpa,
            verdict=verdict if log is None else log.verdict,
            solid=standing,
        )
        marks = (mark,)
    bar = LimitBar(
        low=limit.low,
        high=limit.high,
        marks=marks,
        suffix="kpa",
        show=own_show(show, quantity=Quantity.VACUUM_HOLD),
    )
    return mark_safe(limit_bar(bar))  # noqa: S308 - drawn by castworthy.charts, which escapes
