"""A valve's lift against crank angle from a file (CSV: crank_deg, lift_mm or lift_in)."""

import csv
import io
from math import isfinite
from pathlib import Path

import numpy as np

from castworthy.calc.chamber.piston import LiftCurve
from castworthy.cli.files import read_text
from castworthy.cli.outcome import InputRefusedError
from castworthy.units import convert, read_number

COLUMNS = "crank_deg,lift_mm"
_UNITS = {"lift_mm": "mm", "lift_in": "in", "lift_thou": "thou"}


def read_lifts(path: Path) -> LiftCurve:
    """The lifts of a file in order of angle, 0 the top dead centre of the overlap.

    Raises
    ------
    InputRefusedError
        If it cannot be read, has other columns, no rows, or a cell that is no number.

    """
    text = read_text(path)
    first = text.partition("\n")[0].strip()
    table = csv.reader(io.StringIO(text), delimiter=";" if ";" in first else ",")
    names = [each.strip().casefold() for each in next(table, [])]
    lift = next((name for name in names if name in _UNITS), "")
    if "crank_deg" not in names or not lift:
        raise InputRefusedError(
            f"{path}, line 1: columns {COLUMNS} are wanted (or lift_in, lift_thou), got {first!r}."
        )
    rows = sorted(
        _row(cells, columns=(names.index("crank_deg"), names.index(lift)), where=where)
        for cells in table
        if any(map(str.strip, cells))
        for where in (f"{path}, line {table.line_num}",)
    )
    if not rows:
        raise InputRefusedError(f"{path}: no rows follow the columns {COLUMNS}.")
    return LiftCurve(
        crank_deg=np.array([angle for angle, _ in rows]),
        lift_mm=np.array([convert(each, unit=_UNITS[lift], suffix="mm") for _, each in rows]),
    )


def _row(cells: list[str], *, columns: tuple[int, int], where: str) -> tuple[float, float]:
    try:
        angle, lift = (read_number(cells[at]) for at in columns)
    except (ValueError, IndexError) as fault:
        raise InputRefusedError(
            f"{where}: two numbers are wanted, got {','.join(cells)[:40]!r}."
        ) from fault
    if not (isfinite(angle) and isfinite(lift)):
        raise InputRefusedError(
            f"{where}: finite numbers are wanted, got {','.join(cells)[:40]!r}."
        )
    return angle, lift
