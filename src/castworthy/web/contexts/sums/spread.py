"""How far the cylinders of an engine differ: every chamber, its ratio, the largest and smallest."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from castworthy.calc.chamber.cut import RoomCut, room_after
from castworthy.calc.chamber.room import CylinderRoom, Spread, compression_ratio, spread_of
from castworthy.calc.decision.figure import judge_figure
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.quantity import Quantity
from castworthy.records.kept_sums import Row, Table
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show, UnitError, read_value
from castworthy.web.contexts.sums.form import Field, Given, Part, SumFault, Usual
from castworthy.web.contexts.sums.lines import refuse_twice

_MOST_CYLINDERS = 24
_MOST_CM3 = 2000.0
_APART = re.compile(r"\s*[;\t]\s*|\s*,\s+|\s+(?=[\d.+-])")

CHAMBERS = Part(
    title="Every cylinder, for the spread",
    folded=True,
    fields=(
        Field(
            name="chambers",
            label="Chambers",
            lines=4,
            optional=True,
            hint="All in one line; or a line each: name, chamber, and after the work if known.",
        ),
        Field(
            name="low_chamber",
            label="Least chamber",
            suffix="cm3",
            most=_MOST_CM3,
            from_least=True,
            optional=True,
        ),
        Field(
            name="high_chamber", label="Most chamber", suffix="cm3", most=_MOST_CM3, optional=True
        ),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinders:
    """Every cylinder now and after the work; ``after`` is empty where none is known."""

    now: tuple[CylinderRoom, ...]
    after: tuple[CylinderRoom, ...]
    low_cm3: float | None
    high_cm3: float | None

    @property
    def last(self) -> tuple[CylinderRoom, ...]:
        """As they will be, or as they are where nothing is done."""
        return self.after or self.now

    @property
    def outside(self) -> tuple[str, ...]:
        """Those whose chamber is then outside its limits."""
        return tuple(each.name for each in self.last if not self.inside(each))

    def inside(self, room: CylinderRoom) -> bool:
        """Whether a chamber lies within what is asked; it does where nothing is."""
        if self.low_cm3 is None and self.high_cm3 is None:
            return True
        judged = judge_figure(room.chamber_cm3, u=None, low=self.low_cm3, high=self.high_cm3)
        return judged.verdict is Verdict.INSIDE


def cylinders_of(given: Given, *, room: CylinderRoom, cut: RoomCut | None) -> Cylinders | None:
    """What was typed of every cylinder; ``None`` where fewer than two are."""
    lines = [line.strip() for line in given.word("chambers").splitlines() if line.strip()]
    rows = _one_line(lines[0], show=given.show) if len(lines) == 1 else _lines(lines, given=given)
    if not rows:
        return None
    if not 2 <= len(rows) <= _MOST_CYLINDERS:
        raise SumFault(
            f"A spread is between 2 and {_MOST_CYLINDERS} cylinders (got {len(rows)}).",
            field="chambers",
        )
    low, high = given.maybe("low_chamber"), given.maybe("high_chamber")
    if low is not None and high is not None and low > high:
        raise SumFault("The least chamber is no more than the most.", field="high_chamber")
    now = tuple(replace(room, name=name, chamber_cm3=chamber) for name, chamber, _ in rows)
    return Cylinders(
        now=now,
        after=_after(now, known=[after for *_, after in rows], cut=cut),
        low_cm3=low,
        high_cm3=high,
    )


def _after(
    now: tuple[CylinderRoom, ...], *, known: Sequence[float | None], cut: RoomCut | None
) -> tuple[CylinderRoom, ...]:
    """Each by what was typed for it, else by the work that was typed for all."""
    if cut is None and not any(each is not None for each in known):
        return ()
    try:
        return tuple(
            replace(room, chamber_cm3=after)
            if after is not None
            else (room if cut is None else room_after(room, cut=cut))
            for room, after in zip(now, known, strict=True)
        )
    except InputError as fault:
        raise SumFault(str(fault), field="chambers") from fault


_Row = tuple[str, float, float | None]


def _one_line(line: str, *, show: Show) -> list[_Row]:
    parts = [part for part in _APART.split(line) if part]
    return [(str(at), _volume(part, line=1), None) for at, part in enumerate(parts, start=1)]


def _lines(lines: Sequence[str], *, given: Given) -> list[_Row]:
    found: list[_Row] = []
    for number, line in enumerate(lines, start=1):
        parts = [part for part in _APART.split(line) if part]
        if len(parts) == 1:
            parts = [str(number), *parts]
        if len(parts) > 3:
            raise SumFault(
                f"Line {number}: write name, chamber, and the chamber after the work where it is "
                f"known (got {line[:40]!r}).",
                field="chambers",
            )
        after = _volume(parts[2], line=number) if len(parts) == 3 else None
        found.append((parts[0][:12], _volume(parts[1], line=number), after))
    refuse_twice((name for name, _, _ in found), field="chambers")
    return found


def _volume(text: str, *, line: int) -> float:
    try:
        value = read_value(text, suffix="cm3", bare_unit="cm³").value
    except UnitError as fault:
        raise SumFault(f"Line {line}: {fault}", field="chambers") from fault
    if not 0.0 <= value <= _MOST_CM3:
        raise SumFault(
            f"Line {line}: a chamber holds 0 to {_MOST_CM3:g} cm³ (got {text}).", field="chambers"
        )
    return value


def spread_rows(found: Cylinders, *, show: Show) -> tuple[Row, ...]:
    """How far the cylinders differ, now and after."""
    rows = [_spread_row("Cylinders differ by", spread_of(found.now), show=show)]
    if found.after:
        rows.append(_spread_row("after the work by", spread_of(found.after), show=show, inset=True))
    return tuple(rows)


def _spread_row(label: str, spread: Spread, *, show: Show, inset: bool = False) -> Row:
    apart = show.value(spread.clearance_spread_cm3, suffix="cm3")
    named = ""
    if spread.spread_ratio > 0.0:
        named = (
            f"; {spread.highest.name} has the smallest chamber, {spread.lowest.name} the largest"
        )
    return Row(
        label=label, value=f"{spread.spread_ratio:.2f}", note=f"{apart} apart{named}", inset=inset
    )


def spread_table(found: Cylinders, *, show: Show) -> Table:
    """Every cylinder, one a row."""
    limited = found.low_cm3 is not None or found.high_cm3 is not None
    unit = show.unit("cm3")
    heads = ["Cylinder", f"Now, {unit}", "Ratio"]
    if found.after:
        heads += [f"Then, {unit}", "Ratio"]
    if limited:
        heads.append("")
    return Table(
        heads=tuple(heads),
        rows=tuple(
            (
                now.name,
                *_cells(now, show=show),
                *(_cells(last, show=show) if found.after else ()),
                *((("inside" if found.inside(last) else "outside"),) if limited else ()),
            )
            for now, last in zip(found.now, found.last, strict=True)
        ),
    )


def _cells(room: CylinderRoom, *, show: Show) -> tuple[str, str]:
    return show.number(room.chamber_cm3, suffix="cm3"), f"{compression_ratio(room).ratio:.2f}"


def limit_words(found: Cylinders, *, show: Show) -> tuple[str, ...]:
    """Which chambers lie outside what is asked; nothing where all lie inside."""
    if not found.outside:
        return ()
    low, high = found.low_cm3, found.high_cm3
    asked = {
        (False, True): lambda: f"at most {_said(high, show)}",
        (True, False): lambda: f"at least {_said(low, show)}",
        (True, True): lambda: f"{show.number(low or 0.0, suffix='cm3')} to {_said(high, show)}",
    }[low is not None, high is not None]()
    many = "chamber" if len(found.outside) == 1 else "chambers"
    lie = "lies" if len(found.outside) == 1 else "lie"
    return (f"The {many} of {', '.join(found.outside)} {lie} outside: {asked} is asked.",)


def _said(volume_cm3: float | None, show: Show) -> str:
    return show.value(volume_cm3 or 0.0, suffix="cm3")


def chambers_prefill(head: SumsHead) -> dict[str, Usual | None]:
    """Every chamber on record, with what the planned work makes of it, and the sheet's limit."""
    lines = []
    for cylinder in head.sheet.cylinders:
        key = Quantity.CHAMBER_VOLUME, cylinder.name
        read = head.read.get(key)
        if read is None:
            continue
        after = head.after(key[0], place=cylinder.name) if head.planned else None
        moved = "" if after is None or abs(after - read) < 1e-9 else f" {after:.2f}"
        lines.append(f"{cylinder.name} {read:.2f}{moved}")
    limit = head.sheet.limit_for(Quantity.CHAMBER_VOLUME)
    if len(lines) < 2:
        return {}
    return {
        "chambers": "\n".join(lines),
        "low_chamber": None if limit is None else limit.low,
        "high_chamber": None if limit is None else limit.high,
    }
