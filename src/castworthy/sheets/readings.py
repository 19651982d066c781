"""A readings file (CSV): one row a reading, judged against the places of its sheet."""

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from castworthy.calc.decision.repeats import mean_of
from castworthy.calc.head import Gauge, HeadSheet, Reading
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.sheets.errors import Finding, SheetError
from castworthy.sheets.gauges import gauge_for
from castworthy.sheets.inspection import did_you_mean
from castworthy.sheets.reading_row import ReadingRow, RowError, read_row
from castworthy.sheets.source import LARGEST_READINGS_BYTES, plain, refuse_size

COLUMNS = ("quantity", "place", "value", "unit", "side", "gauge", "by", "at")
"""The columns of a readings file, in the order they are written."""

NEEDED = ("quantity", "place", "value")
MOST_ROWS_COUNT = 20_000
MOST_FINDINGS_COUNT = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsFile:
    """The readings of a file: repeats averaged in ``readings``, every row kept in ``rows``.

    ``scattered`` names what was read several times with more scatter than its gauge explains.
    """

    readings: tuple[Reading, ...]
    rows: tuple[ReadingRow, ...]
    scattered: tuple[tuple[Quantity, str], ...] = ()

    @property
    def gauges_used(self) -> frozenset[str]:
        """Names of the gauges the rows name."""
        return frozenset(row.gauge for row in self.rows if row.gauge)


def read_readings(
    text: str, *, sheet: HeadSheet, gauges: Sequence[Gauge] = (), file: str = "readings"
) -> ReadingsFile:
    """The readings of a CSV text, comma or semicolon, decimal point or comma.

    Parameters
    ----------
    text : str
        The file's text; its first row names the columns.
    sheet : HeadSheet
        The sheet whose places are read.
    gauges : sequence of Gauge
        The gauges the rows may name; without any, a named gauge is kept as a name only and
        the reading has no uncertainty.
    file : str
        What findings call the file.

    Raises
    ------
    SheetError
        With every finding of the file, up to a hundred.

    """
    refuse_size(len(text), largest=LARGEST_READINGS_BYTES, file=file)
    text = plain(text, file=file)
    found: list[Finding] = []
    rows: list[ReadingRow] = []
    known = {gauge.name.casefold(): gauge for gauge in gauges}
    for line, fields in _rows(text, file=file, found=found):
        try:
            rows.append(read_row(fields, line=line, sheet=sheet, gauges=known))
        except RowError as fault:
            found += _row_findings(fault, file=file, line=line, fields=fields)
        if len(found) >= MOST_FINDINGS_COUNT:
            found.append(_finding(file, line, "reading stopped here; mend these first."))
            break
    grouped = _grouped(rows)
    found += _twice(grouped.values(), file=file)
    if not rows and not found:
        found.append(_finding(file, 1, "there is no reading below the first row."))
    if found:
        raise SheetError(sorted(found, key=lambda finding: finding.line or 0))
    return _averaged(grouped, rows=rows, known=known)


def _rows(text: str, *, file: str, found: list[Finding]) -> Iterable[tuple[int, dict[str, str]]]:
    first = text.partition("\n")[0]
    reader = csv.reader(text.split("\n"), delimiter=_delimiter(first), strict=True)
    columns: list[str] = []
    try:
        for raw in reader:
            cells = [cell.strip() for cell in raw]
            if not any(cells):
                continue
            if not columns:
                columns = [cell.casefold() for cell in cells]
                found += _header_findings(columns, file=file, line=reader.line_num)
                if found:
                    return
                continue
            if reader.line_num > MOST_ROWS_COUNT:
                found.append(
                    _finding(
                        file, reader.line_num, f"no head has more than {MOST_ROWS_COUNT} rows."
                    )
                )
                return
            if len(cells) == len(columns):
                yield reader.line_num, dict(zip(columns, cells, strict=True))
            else:
                found.append(
                    _length_finding(cells, columns=columns, file=file, line=reader.line_num)
                )
                if len(found) >= MOST_FINDINGS_COUNT:
                    return
    except csv.Error as fault:
        found.append(_finding(file, reader.line_num, f"this is no row of a table ({fault})."))
    if not columns and not found:
        found.append(
            _finding(file, 1, f"the file is empty; its first row names {_listed(COLUMNS)}.")
        )


def _delimiter(first: str) -> str:
    return max(",;\t", key=first.count)


def _header_findings(columns: list[str], *, file: str, line: int) -> Iterable[Finding]:
    missing = [name for name in NEEDED if name not in columns]
    if len(missing) == len(NEEDED):
        yield _finding(file, line, f"the first row must name the columns: {_listed(COLUMNS)}.")
        return
    for name in missing:
        yield _finding(file, line, "this column is missing.", key=name)
    for i, name in enumerate(columns):
        if name not in COLUMNS:
            hint = did_you_mean(name, COLUMNS)
            yield _finding(file, line, f"the column {name[:24]!r} is unknown{hint}", column=i + 1)
        elif name in columns[:i]:
            yield _finding(file, line, "this column stands here twice.", key=name, column=i + 1)


def _length_finding(cells: list[str], *, columns: list[str], file: str, line: int) -> Finding:
    hint = ""
    if len(cells) > len(columns):
        hint = "; with decimal commas, part the columns by semicolons"
    return _finding(
        file, line, f"this row has {len(cells)} fields and the first row {len(columns)}{hint}."
    )


def _row_findings(
    fault: RowError, *, file: str, line: int, fields: dict[str, str]
) -> Iterable[Finding]:
    columns = list(fields)
    for name, sentence in fault.faults:
        column = columns.index(name) + 1 if name in columns else None
        yield _finding(file, line, sentence, key=name, column=column)


def _grouped(rows: Iterable[ReadingRow]) -> dict[tuple[Quantity, str], list[ReadingRow]]:
    grouped: dict[tuple[Quantity, str], list[ReadingRow]] = {}
    for row in rows:
        grouped.setdefault((row.quantity, row.place), []).append(row)
    return grouped


def _twice(groups: Iterable[list[ReadingRow]], *, file: str) -> Iterable[Finding]:
    """Readings of one thing that are no repeats: taken at one time, or with two gauges."""
    for first, *others in groups:
        what = f"{first.quantity} at {first.place}" if first.place else f"{first.quantity}"
        times = {first.at: first.line}
        for row in others:
            earlier = times.get(row.at) or times.get("") or ("" if row.at else first.line)
            if earlier:
                yield _finding(
                    file,
                    row.line,
                    f"{what} stands on line {earlier} already; keep one, or give each its own time "
                    "in the column at to have them averaged.",
                )
            elif row.gauge != first.gauge:
                yield _finding(
                    file,
                    row.line,
                    f"{what} was read with another gauge on line {first.line}; repeats are "
                    "averaged for one gauge only.",
                    key="gauge",
                )
            times[row.at] = row.line


def _averaged(
    grouped: dict[tuple[Quantity, str], list[ReadingRow]],
    *,
    rows: list[ReadingRow],
    known: dict[str, Gauge],
) -> ReadingsFile:
    readings: list[Reading] = []
    scattered: list[tuple[Quantity, str]] = []
    for (quantity, place), group in grouped.items():
        gauge = known.get(group[0].gauge.casefold())
        fitted = None if gauge is None else gauge_for(gauge, suffix=FACTS[quantity].suffix)
        mean = mean_of([row.value for row in group], gauge=fitted)
        if mean.scattered:
            scattered.append((quantity, place))
        readings.append(
            Reading(
                quantity=quantity,
                place=place,
                value=mean.value,
                u=mean.u,
                resolution=mean.resolution,
                repeats_count=mean.repeats_count,
                u_bias=mean.u_bias,
                gauge=group[0].gauge,
            )
        )
    return ReadingsFile(readings=tuple(readings), rows=tuple(rows), scattered=tuple(scattered))


def _listed(names: Sequence[str]) -> str:
    return ",".join(names)


def _finding(
    file: str, line: int, sentence: str, *, key: str = "", column: int | None = None
) -> Finding:
    return Finding(file=file, line=line, key=key, sentence=sentence, column=column)
