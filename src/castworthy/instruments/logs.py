"""Pressure logs of a port: CSV files of a logger, and readings typed or pasted."""

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.leak.decay import PressureLog
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.looks import Format, format_of, looks_like
from castworthy.units import UnitError, convert
from castworthy.units.factors import names_for

WANTED = "t_s,p_kpa (absolute) or t_s,vacuum_inHg (below the atmosphere)"
"""What a log's first line says."""

MOST_BYTES = 20_000_000
MOST_READINGS = 200_000

_NAME = re.compile(
    r"^(time|t|pressure|p|vacuum|vac)(?:[\s_]*[\[(]|[\s_]+|$)\s*([^\s\[\]()]*)\s*[\])]?$",
    re.IGNORECASE,
)
_GAUGE = re.compile(
    r"^(?:p|pressure)[\s_]*(?:gauge|gage|rel)|^(?:gauge|gage|rel)[\s_]*(?:p|k|m|b|inhg)|psig|barg",
    re.IGNORECASE,
)
_CLOCK = re.compile(r"^(?:(\d+):)?(\d+):([0-5]?\d(?:[.,]\d+)?)$")
_NUMBER = re.compile(r"^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?$")
_DECIMALS = re.compile(r"[.,](\d+)")
_FIGURE = re.compile(r"[+-]?[\d.,]")
_SEPARATORS = ";\t,"
_MOST = 1e12

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogFile:
    """Readings against time, both shape (n,), times rising.

    ``below_atmosphere`` says that ``reading_kpa`` is vacuum counted as a positive figure, else it
    is absolute pressure.  ``step_kpa`` and ``time_step_s`` are the last digits readings and times
    were written with.
    """

    time_s: Floats
    reading_kpa: Floats
    below_atmosphere: bool
    step_kpa: float
    time_step_s: float
    notes: tuple[str, ...]

    def log(self, *, atmosphere_kpa: float) -> PressureLog:
        """The readings as absolute pressures, the air outside being at ``atmosphere_kpa``.

        Raises
        ------
        InstrumentError
            If a vacuum is deeper than the atmosphere.

        """
        pressure_kpa = self.reading_kpa
        if self.below_atmosphere:
            pressure_kpa = atmosphere_kpa - self.reading_kpa
            if (pressure_kpa < 0.0).any():
                raise InstrumentError(
                    f"A vacuum of {self.reading_kpa.max():.1f} kPa is deeper than the atmosphere "
                    f"of {atmosphere_kpa:.1f} kPa; check the unit of the log and the atmosphere."
                )
        return PressureLog(
            time_s=self.time_s,
            pressure_kpa=pressure_kpa,
            step_kpa=self.step_kpa,
            time_step_s=self.time_step_s,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """Where time and reading stand and in which units; no separator where lines were typed."""

    time_at: int
    time_unit: str
    reading_at: int
    reading_unit: str
    below_atmosphere: bool
    separator: str | None


def read_log(raw: bytes, *, file: str) -> LogFile:
    """The log of a CSV file with a first line such as ``t_s,p_kpa`` or ``t_s,vacuum_inHg``.

    Parameters
    ----------
    raw : bytes
        The file as it is.
    file : str
        What sentences call it.

    Raises
    ------
    InstrumentError
        With one sentence: where, the rule, what was got, the way out.

    """
    if len(raw) > MOST_BYTES:
        raise InstrumentError(
            f"{file} is larger than {MOST_BYTES // 1_000_000} MB, which no log of a port is. Log "
            "less often."
        )
    if format_of(raw) is not Format.COLUMNS:
        seen = looks_like(raw) or "something that is no text"
        raise InstrumentError(
            f"{file} looks like {seen}; a log is a CSV file with a first line such as {WANTED}."
        )
    lines = _lines(raw.decode("utf-8", errors="replace"))
    if not lines:
        raise InstrumentError(f"{file} holds no readings. Write a first line such as {WANTED}.")
    number, first = lines[0]
    where = f"{file}, line {number}"
    if _FIGURE.match(first):
        raise InstrumentError(
            f"{where}: the columns have no names, so their units are not known. Write a first line "
            f"such as {WANTED}."
        )
    return _read(lines[1:], columns=_columns(first, where=where), file=file)


def read_pasted(
    text: str, *, columns: str = "t_s,p_kpa", file: str = "The pasted readings"
) -> LogFile:
    """Readings typed or pasted, a time and a reading on each line.

    The two stand apart by a space, a tab, a semicolon or a comma; a time may read 1:30 (minutes
    and seconds).  A first line of names counts; without one ``columns`` names them.

    Parameters
    ----------
    text : str
        The lines.
    columns : str
        Names of the two columns where the lines name none.
    file : str
        What sentences call them.

    Raises
    ------
    InstrumentError
        With one sentence: where, the rule, what was got, the way out.

    """
    lines = _lines(text[:MOST_BYTES])
    if lines and not _FIGURE.match(lines[0][1]):
        number, names = lines.pop(0)
        return _read(lines, columns=_columns(names, where=f"{file}, line {number}"), file=file)
    named = _columns(columns, where=file)
    loose = _Columns(
        time_at=0,
        time_unit=named.time_unit,
        reading_at=1,
        reading_unit=named.reading_unit,
        below_atmosphere=named.below_atmosphere,
        separator=None,
    )
    return _read(lines, columns=loose, file=file)


def _lines(text: str) -> list[tuple[int, str]]:
    """Lines with something on them, and their numbers."""
    numbered = enumerate(text.removeprefix("\ufeff").splitlines(), start=1)
    return [
        (number, line.strip())
        for number, line in numbered
        if line.strip() and not line.lstrip().startswith("#")
    ]


def _columns(names: str, *, where: str) -> _Columns:
    separator = max(_SEPARATORS, key=names.count)
    found: dict[str, tuple[int, str, str]] = {}
    for at, each in enumerate(names.split(separator)):
        name = each.strip().strip('"').strip()
        kind, unit = _named(name, where=where)
        if kind and kind in found:
            raise InstrumentError(
                f"{where}: {found[kind][2]!r} and {name!r} both give a {kind}; keep one of them."
            )
        if kind:
            found[kind] = (at, unit, name)
    for kind in ("time", "pressure"):
        if kind not in found:
            raise InstrumentError(
                f"{where}: no column of {kind} is named (got {names[:40]!r}). Write a first line "
                f"such as {WANTED}."
            )
    return _Columns(
        time_at=found["time"][0],
        time_unit=found["time"][1],
        reading_at=found["pressure"][0],
        reading_unit=found["pressure"][1],
        below_atmosphere=found["pressure"][2].lower().startswith("vac"),
        separator=separator,
    )


def _named(name: str, *, where: str) -> tuple[str, str]:
    """Kind and unit of a column; no kind for a column of something else."""
    if _GAUGE.search(name):
        raise InstrumentError(
            f"{where}: column {name[:40]!r} may mean either side of the atmosphere. Name it p_... "
            "for absolute pressure or vacuum_... for pressure below the atmosphere."
        )
    found = _NAME.match(name)
    if found is None:
        return "", ""
    kind, suffix = ("time", "s") if found[1].lower() in {"t", "time"} else ("pressure", "kpa")
    try:
        convert(1.0, unit=found[2], suffix=suffix)
    except UnitError:
        units = ", ".join(names_for(suffix))
        said = f"is in {found[2]!r}, which is not known" if found[2] else "says no unit"
        raise InstrumentError(
            f"{where}: column {name[:40]!r} {said}; name it with one of {units}, as in {WANTED}."
        ) from None
    return kind, found[2]


def _read(lines: list[tuple[int, str]], *, columns: _Columns, file: str) -> LogFile:
    if len(lines) > MOST_READINGS:
        raise InstrumentError(
            f"{file} holds {len(lines)} readings; at most {MOST_READINGS} are read. Log less often."
        )
    time_per_unit = convert(1.0, unit=columns.time_unit, suffix="s")
    kpa_per_unit = convert(1.0, unit=columns.reading_unit, suffix="kpa")
    times: list[float] = []
    readings: list[float] = []
    left_out_count, digits_count, time_step_s = 0, 0, time_per_unit
    for number, line in lines:
        where = f"{file}, line {number}"
        time_text, reading_text = _pair(line, columns=columns, where=where)
        if not reading_text:
            left_out_count += 1
            continue
        digits_count = max(digits_count, _decimals_count(reading_text))
        readings.append(_number(reading_text, where=where) * kpa_per_unit)
        times.append(_time(time_text, per_unit=time_per_unit, where=where))
        own_unit_s = 1.0 if ":" in time_text else time_per_unit
        time_step_s = min(time_step_s, own_unit_s * 10.0 ** -_decimals_count(time_text))
        _check(times, reading_kpa=readings[-1], columns=columns, where=where)
    if not readings:
        raise InstrumentError(f"{file} names its columns but holds no readings. Add them below.")
    return LogFile(
        time_s=np.array(times),
        reading_kpa=np.array(readings),
        below_atmosphere=columns.below_atmosphere,
        step_kpa=10.0**-digits_count * kpa_per_unit,
        time_step_s=time_step_s,
        notes=_notes(left_out_count),
    )


def _notes(left_out_count: int) -> tuple[str, ...]:
    if not left_out_count:
        return ()
    if left_out_count == 1:
        return ("One line without a reading was left out.",)
    return (f"{left_out_count} lines without a reading were left out.",)


def _pair(line: str, *, columns: _Columns, where: str) -> tuple[str, str]:
    """The texts of time and reading; an empty reading where the field is empty or left off."""
    if columns.separator is None:
        bare_comma = line.count(",") == 1 and not re.search(r"[;\s]", line)
        fields = line.split(",") if bare_comma else re.split(r"[;\s]+", line)
    else:
        fields = line.split(columns.separator)
    fields = [each.strip().strip('"').rstrip(",") for each in fields]
    if columns.separator is None and len(fields) != 2:
        raise InstrumentError(
            f"{where}: a time and a reading were expected (got {line[:40]!r}). Write two numbers "
            "with a space between them."
        )
    if len(fields) <= columns.time_at or not fields[columns.time_at]:
        raise InstrumentError(
            f"{where}: the time is missing (got {line[:40]!r}). Mend the line or leave it out."
        )
    there = len(fields) > columns.reading_at
    return fields[columns.time_at], fields[columns.reading_at] if there else ""


def _time(text: str, *, per_unit: float, where: str) -> float:
    clock = _CLOCK.match(text)
    if clock:
        hours, minutes, seconds = clock[1] or "0", clock[2], clock[3].replace(",", ".")
        return 3600.0 * int(hours) + 60.0 * int(minutes) + float(seconds)
    return _number(text, where=where) * per_unit


def _decimals_count(text: str) -> int:
    """How many digits stand behind the decimal sign."""
    found = _DECIMALS.search(text)
    return 0 if found is None else min(len(found[1]), 12)


def _number(text: str, *, where: str) -> float:
    if _NUMBER.match(text):
        value = float(text.replace(",", "."))
        if abs(value) <= _MOST:
            return value
        raise InstrumentError(f"{where}: {text[:40]!r} is beyond anything a shop measures.")
    raise InstrumentError(
        f"{where}: {text[:40]!r} is no number. Mend the line or leave the field empty."
    )


def _check(times: list[float], *, reading_kpa: float, columns: _Columns, where: str) -> None:
    if len(times) > 1 and times[-1] <= times[-2]:
        raise InstrumentError(
            f"{where}: the time must grow from line to line ({times[-1]:g} s after "
            f"{times[-2]:g} s). Keep one test in a log."
        )
    if reading_kpa < 0.0:
        meant = (
            "vacuum counts as a positive figure" if columns.below_atmosphere else "p is absolute"
        )
        raise InstrumentError(
            f"{where}: a reading below 0 cannot be ({meant}; got {reading_kpa:.4g} kPa). Name the "
            f"column as it is meant: {WANTED}."
        )
