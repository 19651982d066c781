"""Exact factors, the closed suffix list, text to number and back.  Knows nothing of the trade."""

from castworthy.units.dual import read_entry
from castworthy.units.factors import SUFFIXES, UNITS, Unit, UnitError, convert
from castworthy.units.read import Typed, read_number, read_value
from castworthy.units.show import Show

__all__ = [
    "SUFFIXES",
    "UNITS",
    "Show",
    "Typed",
    "Unit",
    "UnitError",
    "convert",
    "read_entry",
    "read_number",
    "read_value",
]
