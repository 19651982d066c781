"""Small tables named on the command line: CSV files whose cells carry their units."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from castworthy.cli.files import read_text
from castworthy.cli.outcome import InputRefusedError
from castworthy.units import UnitError, read_value


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row: where it stands, for a fault, and its cells by column."""

    where: str
    cells: dict[str, str]

    @property
    def name(self) -> str:
        """What the row is about."""
        return self.cells["name"].strip()

    def has(self, column: str) -> bool:
        """Whether the cell is there and filled."""
        return bool(self.cells.get(column, "").strip())

    def value(self, column: str, *, suffix: str) -> float:
        """A quantity, in the unit of a suffix.

        Raises
        ------
        InputRefusedError
            If it is missing or no such quantity.

        """
        if not self.has(column):
            raise InputRefusedError(f"{self.where}: {column} is missing.")
        try:
            return read_value(self.cells[column], suffix=suffix).value
        except UnitError as fault:
            raise InputRefusedError(f"{self.where}, {column}: {fault}") from fault

    def value_or(self, column: str, *, suffix: str, otherwise: float) -> float:
        """The same, or another where the cell is not filled."""
        return self.value(column, suffix=suffix) if self.has(column) else otherwise


def read_rows(path: Path, *, wanted: str) -> list[Row]:
    """The rows of a table with a column ``name``; ``wanted`` lists its columns for a fault.

    Raises
    ------
    InputRefusedError
        If the file cannot be read, has no such column, no rows, or a row without a name.

    """
    text = read_text(path)
    first = text.partition("\n")[0].strip()
    table = csv.reader(io.StringIO(text), delimiter=";" if ";" in first else ",")
    try:
        columns = [each.strip().casefold() for each in next(table, [])]
        lines = [(table.line_num, cells) for cells in table if any(map(str.strip, cells))]
    except csv.Error as fault:
        raise InputRefusedError(
            f"{path}, line {table.line_num}: the line cannot be read ({fault})."
        ) from fault
    if "name" not in columns:
        raise InputRefusedError(f"{path}, line 1: columns {wanted} are wanted, got {first!r}.")
    rows = [
        Row(where=f"{path}, line {line}", cells=dict(zip(columns, cells, strict=False)))
        for line, cells in lines
    ]
    if not rows:
        raise InputRefusedError(f"{path}: no rows follow the columns {wanted}.")
    for row in rows:
        if not row.has("name"):
            raise InputRefusedError(f"{row.where}: name is missing.")
    return rows
