"""The release record: what the stored content says, in the printing person's units."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from castworthy.actions.setting.press import (
    Press,
    bar,
    day,
    facts_of,
    figure,
    moment,
    unit,
    unit_words,
    verdict,
)
from castworthy.actions.setting.proofs import crack_deck, crack_rows, cracks_then, port_logs
from castworthy.actions.setting.work_words import TITLES, amount, where
from castworthy.calc.decision.words import limit_sentence
from castworthy.calc.head import HeadSheet, Limit, Rule
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.results import OperationKind
from castworthy.charts.bar import BarMark
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.charts.theme import Theme
from castworthy.records.cautions import LAST_WORD
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.release_content import gauge_words
from castworthy.records.proof_words import (
    pressure_words,
    temperature_words,
    time_words,
    vacuum_words,
    warmth_words,
)
from castworthy.records.rows import head_row
from castworthy.reports.parts import Fact
from castworthy.reports.release import (
    Cell,
    LimitRow,
    ProofRow,
    ReadingRow,
    ReadingTable,
    ReleasePaper,
    SumRow,
    WorkRow,
)
from castworthy.units import Show

Content = Mapping[str, Any]
_WORKED = (
    "Reconditioned: every required limit of the sheet was measured after the last work and "
    "holds, and every test was passed."
)
_UNWORKED = (
    "Checked, no work needed: every required limit of the sheet was measured and holds, and "
    "every test was passed."
)
_PARTS = {
    OperationKind.SHIM: "spring shim",
    OperationKind.WASHER: "injector washer",
    OperationKind.VALVE: "new valve",
    OperationKind.INSERT: "seat insert",
    OperationKind.GUIDE: "valve guide",
    OperationKind.RING: "sealing ring",
}


def release_paper(
    tag: str, *, content: Content, digest: str, sheet: HeadSheet, press: Press
) -> ReleasePaper:
    """What a release record says on paper."""
    head, show, source = head_facts(tag), press.show, sheet.source
    row, cracks = head_row(tag), cracks_then(content)
    released = content["released"]
    return ReleasePaper(
        imprint=press.imprint,
        number=content["number"],
        tag=tag,
        address=press.address,
        title=content["sheet"]["title"],
        facts=(*facts_of(head), Fact(label="limits from", value=source)),
        asked=content["head"]["asked"],
        statement=_WORKED if content["work"] else _UNWORKED,
        tables=tuple(_tables(content, sheet=sheet, show=show)),
        limits=tuple(_limits(content, sheet=sheet, show=show)),
        work=tuple(_work(row, show=show) for row in content["work"]),
        parts=tuple(_parts(content, show=show)),
        tests=tuple(_tests(content, show=show)),
        logs=port_logs(content, head=row, show=show),
        cracks=crack_rows(cracks, head=row),
        cracks_svg=crack_deck((place for place, _ in cracks), sheet=sheet, show=show),
        sums=tuple(_sums(content)),
        not_checked=tuple(content["not_checked"]),
        deck_svg=_deck(content, sheet=sheet, show=show),
        deck_about=f"Recession as shipped, in {show.unit('mm', difference=True)}, below the deck",
        units=f"cuts in {unit_words(show, difference=True)}",
        warranty=content["warranty"],
        released_by=released["by"],
        released_at=moment(datetime.fromisoformat(released["at"])),
        digest=digest,
        verify=f"castworthy verify {tag} DIGEST says whether this paper and the record agree.",
        last_word=LAST_WORD,
    )


def _sums(content: Content) -> Iterable[SumRow]:
    """The bench sums; records signed before sums were kept have none."""
    for row in content.get("sums", []):
        yield SumRow(
            what=f"{row['title']} {row['place']}".rstrip(),
            told=row["headline"],
            by=row["by"],
            at=moment(datetime.fromisoformat(row["at"])),
        )


def _limit_of(row: Content) -> Limit | None:
    stored = row["limit"]
    if stored is None:
        return None
    return Limit(
        quantity=Quantity(row["quantity"]),
        low=stored["low"],
        high=stored["high"],
        aim=stored["aim"],
        rule=Rule(stored["rule"]),
        source=stored["source"],
    )


def _tables(content: Content, *, sheet: HeadSheet, show: Show) -> Iterable[ReadingTable]:
    rows = [row for row in content["readings"] if row["quantity"] != Quantity.HEIGHT]
    recession = [row for row in rows if row["quantity"] == Quantity.RECESSION]
    if recession:
        yield _table("Recession", "valve", [Quantity.RECESSION], rows=recession, show=show)
    for site, title, places in (
        (Site.VALVE, "Valves", "valve"),
        (Site.CYLINDER, "Cylinders", "cylinder"),
        (Site.THICKNESS, "Deck thickness", "place"),
        (Site.HEAD, "The head", ""),
    ):
        here = [
            row
            for row in rows
            if FACTS[Quantity(row["quantity"])].site is site
            and row["quantity"] != Quantity.RECESSION
        ]
        quantities = list(dict.fromkeys(Quantity(row["quantity"]) for row in here))
        if site is Site.HEAD and here:
            yield _head_table(here, show=show)
        elif here:
            yield _table(title, places, quantities, rows=here, show=show, bars=False)


def _table(
    title: str,
    places: str,
    quantities: list[Quantity],
    *,
    rows: list[Content],
    show: Show,
    bars: bool = True,
) -> ReadingTable:
    at = {(row["quantity"], row["place"]): row for row in rows}
    names = list(dict.fromkeys(row["place"] for row in rows))
    return ReadingTable(
        title=title,
        places=places,
        columns=tuple(f"{FACTS[q].title}, {unit(q, show=show)}" for q in quantities),
        rows=tuple(
            ReadingRow(
                place=name,
                cells=tuple(
                    _cell(at.get((q.value, name)), show=show, bars=bars) for q in quantities
                ),
            )
            for name in names
        ),
    )


def _head_table(rows: list[Content], *, show: Show) -> ReadingTable:
    return ReadingTable(
        title="The head",
        places="what",
        columns=("as received and as shipped",),
        rows=tuple(
            ReadingRow(
                place=FACTS[Quantity(row["quantity"])].title,
                cells=(_cell(row, show=show, bars=False, units=True),),
            )
            for row in rows
        ),
    )


def _cell(row: Content | None, *, show: Show, bars: bool, units: bool = False) -> Cell | None:
    if row is None:
        return None
    quantity = Quantity(row["quantity"])
    received, shipped = row["received"], row["shipped"]
    tail = f" {unit(quantity, show=show)}" if units else ""
    marks = [BarMark(value=shipped["value"], u=shipped["u"], verdict=verdict(row["verdict"]))]
    was = ""
    if received is not None and received["value"] != shipped["value"]:
        marks.insert(0, BarMark(value=received["value"], u=received["u"], solid=False))
        was = f"{figure(received['value'], quantity=quantity, show=show)}{tail}"
    return Cell(
        shipped=f"{figure(shipped['value'], quantity=quantity, show=show)}{tail}",
        received=was,
        verdict=verdict(row["verdict"]),
        svg=bar(_limit_of(row), quantity=quantity, marks=marks, show=show) if bars else "",
    )


def _limits(content: Content, *, sheet: HeadSheet, show: Show) -> Iterable[LimitRow]:
    told: set[tuple[str, str]] = set()
    kinds = {valve.name: valve.kind.value for valve in sheet.valves}
    parted = _parted(content)
    for row in content["readings"]:
        limit = _limit_of(row)
        if limit is None:
            continue
        words = limit_sentence(limit, show=show)
        if (row["quantity"], words) in told:
            continue
        told.add((row["quantity"], words))
        confidence = content["sheet"]["confidence"]
        people = {r["by"] for r in content["readings"] if r["quantity"] == row["quantity"]}
        yield LimitRow(
            quantity=_limited(row, kinds=kinds, parted=parted),
            limit=words.removeprefix("allowed "),
            source="as the sheet" if limit.source == sheet.source else limit.source,
            rule=f"guarded, {confidence:.0%}" if limit.rule is Rule.GUARDED else "bare reading",
            gauges=gauge_words(content, quantity=row["quantity"]),
            by=", ".join(sorted(people)),
        )


def _parted(content: Content) -> frozenset[str]:
    """Quantities whose limit is not the same at every place."""
    limits: dict[str, set[str]] = {}
    for row in content["readings"]:
        if row["limit"] is not None:
            limits.setdefault(row["quantity"], set()).add(str(row["limit"]))
    return frozenset(name for name, found in limits.items() if len(found) > 1)


def _limited(row: Content, *, kinds: Mapping[str, str], parted: frozenset[str]) -> str:
    title = FACTS[Quantity(row["quantity"])].title
    kind = kinds.get(row["place"], "") if row["quantity"] in parted else ""
    return f"{title}, {kind}" if kind else title


def _work(row: Content, *, show: Show) -> WorkRow:
    kind = OperationKind(row["kind"])
    taken = amount(kind, amount_mm=row["taken_mm"], show=show) or "done"
    planned = amount(kind, amount_mm=row["planned_mm"], show=show)
    note = row["note"]
    if planned and planned != taken:
        note = f"planned {planned}" + (f"; {note}" if note else "")
    return WorkRow(
        what=f"{TITLES[kind]} {where(kind, place=row['place'])}".strip(),
        taken=taken,
        by=row["by"],
        at=day(datetime.fromisoformat(row["at"])) if row["at"] else "",
        note=note,
    )


def _parts(content: Content, *, show: Show) -> Iterable[str]:
    counts: dict[str, int] = {}
    for row in content["work"]:
        kind = OperationKind(row["kind"])
        if kind not in _PARTS:
            continue
        sizes = row["parts_mm"] or [None]
        for size_mm in sizes:
            size = "" if size_mm is None else f" {amount(kind, amount_mm=size_mm, show=show)}"
            counts[f"{_PARTS[kind]}{size}"] = counts.get(f"{_PARTS[kind]}{size}", 0) + 1
    return (f"{count} {name}" for name, count in counts.items())


def _tests(content: Content, *, show: Show) -> Iterable[ProofRow]:
    vacuum = [test for test in content["tests"] if test["kind"] == "vacuum"]
    for test in content["tests"]:
        if test["kind"] == "crack":
            found = test["found"] or "nothing"
            yield _proof("Crack check", test["conditions"]["method"], test, found=found)
        elif test["kind"] == "pressure":
            conditions = _pressure_conditions(test["conditions"], show=show)
            found = _pressure_found(test["conditions"], show=show)
            found = f"{found}; {test['found']}" if test["found"] else found
            conditions = ", ".join(filter(None, (conditions, test.get("gauge", ""))))
            yield _proof("Pressure", conditions, test, found=found)
    if vacuum:
        yield _vacuum(vacuum, show=show)


def _vacuum(tests: list[Content], *, show: Show) -> ProofRow:
    least = min(tests, key=lambda test: test["conditions"]["held_kpa"])
    held = vacuum_words(least["conditions"]["held_kpa"], show=show)
    pump = vacuum_words(least["conditions"]["dead_head_kpa"], show=show)
    hold = time_words(least["conditions"]["hold_s"])
    gauges = ", ".join(sorted({test["gauge"] for test in tests if "gauge" in test}))
    found = f"least {held} at {least['place']}"
    if least["found"] and "log" not in least["conditions"]:
        found = f"{found}; {least['found']}"
    return _proof(
        f"Vacuum, {len(tests)} ports",
        f"pump's own reading {pump}, hold {hold}" + (f", {gauges}" if gauges else ""),
        least,
        found=found,
    )


def _pressure_conditions(told: Content, *, show: Show) -> str:
    words = [
        told["medium"],
        pressure_words(told["start_kpa"], show=show),
        time_words(told["hold_s"]),
    ]
    degrees = [told[name] for name in ("start_degc", "end_degc") if name in told]
    if degrees:
        words.insert(2, " to ".join(temperature_words(each, show=show) for each in degrees))
        if "atmosphere_kpa" in told:
            words.append(f"bench air {vacuum_words(told['atmosphere_kpa'], show=show)}")
    return ", ".join(words)


def _pressure_found(told: Content, *, show: Show) -> str:
    """What was left, and what of the loss the temperature explains."""
    held = f"{pressure_words(told['held_kpa'], show=show)} held"
    if "leak_loss_kpa" not in told:
        warmth = warmth_words(told, show=show)
        return f"{held}; {warmth}" if warmth else held
    moved, leak, u = (
        pressure_words(abs(told[name]), show=show)
        for name in ("by_temperature_kpa", "leak_loss_kpa", "u_leak_loss_kpa")
    )
    warmth = "cooling took" if told["by_temperature_kpa"] >= 0.0 else "warming gave"
    if told["leak_loss_kpa"] <= 2.0 * told["u_leak_loss_kpa"]:
        return f"{held}; {warmth} {moved}, no leak can be told from none (u {u})"
    return f"{held}; {warmth} {moved}, leaks took {leak} (u {u})"


def _proof(what: str, conditions: str, test: Content, *, found: str) -> ProofRow:
    return ProofRow(
        what=what,
        conditions=conditions,
        rule=test["rule"],
        found=found,
        passed=test["passed"],
        by=test["by"],
        at=day(datetime.fromisoformat(test["at"])),
    )


def _deck(content: Content, *, sheet: HeadSheet, show: Show) -> str:
    marks = [
        DeckMark(
            quantity=Quantity.RECESSION,
            place=row["place"],
            verdict=verdict(row["verdict"]),
            text=show.number(row["shipped"]["value"], suffix="mm", difference=True),
        )
        for row in content["readings"]
        if row["quantity"] == Quantity.RECESSION
    ]
    return deck_plan(sheet, marks=marks, theme=Theme.PRINT, show=show)
