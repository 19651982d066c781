"""A small sheet that reads as it stands, to be written over."""

_SIZES = {
    "in": {
        "corners": "[[0, 0], [6.0, 0], [6.0, 6.0], [0, 6.0]]",
        "middle": "3.0",
        "bore": "4.0",
        "left": "2.1",
        "right": "3.9",
        "intake": "1.50",
        "exhaust": "1.35",
        "near": "0.6",
        "low": "0.030",
        "high": "0.045",
        "flat": "0.002",
        "finish": "60",
    },
    "mm": {
        "corners": "[[0, 0], [150, 0], [150, 150], [0, 150]]",
        "middle": "75",
        "bore": "100",
        "left": "52",
        "right": "98",
        "intake": "38",
        "exhaust": "34",
        "near": "15",
        "low": "0.75",
        "high": "1.15",
        "flat": "0.05",
        "finish": "1.5",
    },
}

_TEXT = """\
# Every figure here stands for yours: write over it.
format = 1
unit = "{unit}"

[head]
code = "NEW"
title = "A head with one cylinder, 2 valves"
material = "grey iron"
source = "say where these limits come from"
outline = {corners}

[[cylinder]]
name = "1"
x = {middle}
y = {middle}
bore = {bore}

[[valve]]
name = "1A"
cylinder = "1"
kind = "intake"
x = {left}
y = {middle}
head_diameter = {intake}

[[valve]]
name = "1B"
cylinder = "1"
kind = "exhaust"
x = {right}
y = {middle}
head_diameter = {exhaust}

[[place]]
name = "T1"
kind = "thickness"
x = {near}
y = {near}

[limit.recession]
low = {low}
high = {high}

[limit.flatness]
high = {flat}

[limit.finish_ra]
high = {finish}
"""


def skeleton(*, unit: str) -> str:
    """A sheet with one cylinder, two valves and three limits, in inches or millimetres."""
    return _TEXT.format(unit=unit, **_SIZES[unit])
