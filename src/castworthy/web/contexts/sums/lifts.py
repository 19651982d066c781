"""A pasted table of crank angles and lifts, a line each."""

import itertools
import re

import numpy as np

from castworthy.calc.chamber.piston import LiftCurve
from castworthy.units import Show, UnitError, read_value
from castworthy.web.contexts.sums.form import Given, SumFault
from castworthy.web.contexts.sums.lines import lines_of

_MOST_LINES = 400
_MOST_DEG, _MOST_LIFT_MM = 180.0, 40.0
_APART = re.compile(r"\s*[;\t]\s*|\s*,\s+|\s+(?=[\d.+\-−])")


def lifts_of(given: Given, name: str) -> LiftCurve | None:
    """The table in order of angle; ``None`` where nothing was pasted."""
    lines = lines_of(given.word(name), most=_MOST_LINES, field=name)
    if not lines:
        return None
    pairs = sorted(
        _pair(line, number=number, name=name, show=given.show)
        for number, line in enumerate(lines, start=1)
    )
    angles = [angle for angle, _ in pairs]
    twice = next((a for a, b in itertools.pairwise(angles) if a == b), None)
    if twice is not None:
        raise SumFault(f"{twice:g} degrees stands there twice; leave one out.", field=name)
    return LiftCurve(crank_deg=np.array(angles), lift_mm=np.array([lift for _, lift in pairs]))


def _pair(line: str, *, number: int, name: str, show: Show) -> tuple[float, float]:
    parts = [part for part in _APART.split(line.replace("−", "-")) if part]
    try:
        if len(parts) != 2:
            raise UnitError("two figures")
        angle = read_value(parts[0], suffix="deg", bare_unit="°").value
        lift = read_value(parts[1], suffix="mm", bare_unit=show.unit("mm")).value
    except UnitError as fault:
        raise SumFault(
            f"Line {number}: write degrees after top dead centre, then the lift, as -10 1.2 mm "
            f"(got {line[:40]!r}).",
            field=name,
        ) from fault
    if not (abs(angle) <= _MOST_DEG and 0.0 <= lift <= _MOST_LIFT_MM):
        raise SumFault(
            f"Line {number}: an overlap lies within {_MOST_DEG:g} degrees of top dead centre and "
            f"a lift is 0 to {show.value(_MOST_LIFT_MM, suffix='mm', digits=1)} "
            f"(got {line[:40]!r}); a bare lift counts in {show.unit('mm')}.",
            field=name,
        )
    return angle, lift
