"""A sentence of calc, which speaks millimetres and newtons, in the units a person reads."""

import re
from collections.abc import Mapping

from castworthy.units.show import Show

_SUFFIXES: Mapping[str, str] = {
    "mm": "mm",
    "mm2": "mm2",
    "cm3": "cm3",
    "µm": "um",
    "N": "n",
    "N/mm": "n_per_mm",
    "N m": "n_m",
    "kPa": "kpa",
    "MPa": "mpa",
}
_NUMBER = r"(?<![\w.-])-?\d+(?:\.\d+)?"
_UNIT = r"N/mm|N m|mm2|mm|µm|cm3|kPa|MPa|°C|N"
_AMOUNTS = re.compile(rf"({_NUMBER}(?:(?:, and |, | and | to | or ){_NUMBER})*) ({_UNIT})(?![\w/])")
_SMALL_MM = 1.0
"""Lengths all below this are told as differences, in thou, as a shop speaks of them."""


def retell(sentence: str, *, show: Show, sizes: bool = False) -> str:
    """The sentence with every amount in the person's units.

    Numbers that share a unit ("0.203 and 0.254 mm") are told together.  With ``sizes`` small
    lengths are told in inches too, as feeds are.  A person who reads millimetres gets the
    sentence as it is.

    >>> retell("A stand of 0.203 to 0.254 mm.", show=Show(length="thou"))
    'A stand of 8.0 to 10.0 thou.'
    """
    if show.metric:
        return sentence
    return _AMOUNTS.sub(
        lambda found: _told(found[1], unit=found[2], show=show, sizes=sizes), sentence
    )


def _told(numbers: str, *, unit: str, show: Show, sizes: bool) -> str:
    if unit == "°C":
        return f"{re.sub(_NUMBER, _fahrenheit, numbers)} °F"
    suffix = _SUFFIXES[unit]
    values = [float(each) for each in re.findall(_NUMBER, numbers)]
    small = not sizes and suffix == "mm" and all(abs(value) < _SMALL_MM for value in values)

    def one(found: re.Match[str]) -> str:
        value = float(found[0])
        return "0" if value == 0.0 else show.number(value, suffix=suffix, difference=small)

    return f"{re.sub(_NUMBER, one, numbers)} {show.unit(suffix, difference=small)}"


def _fahrenheit(found: re.Match[str]) -> str:
    return f"{float(found[0]) * 9 / 5 + 32:.0f}"
