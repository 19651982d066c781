"""The air's own pressure at the bench, as commands that test for leaks take it."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from castworthy.calc.leak.flow import standard_atmosphere_kpa
from castworthy.calc.leak.proof import ATMOSPHERE_KPA
from castworthy.cli.typed import Typed

_Command = TypeVar("_Command", bound=Callable[..., Any])


def air_options(command: _Command) -> _Command:
    """The options ``--atmosphere`` and ``--altitude``."""
    pressure = click.option(
        "--atmosphere",
        "atmosphere_kpa",
        type=Typed("kpa"),
        help="The air's own pressure at the bench, as 98.2kPa; else 101.325kPa.",
    )
    height = click.option(
        "--altitude",
        "altitude_mm",
        type=Typed("mm"),
        help="In its place the shop's height, as 1200m.",
    )
    return pressure(height(command))


def air_kpa(atmosphere_kpa: float | None, *, altitude_mm: float | None) -> float:
    """The air's pressure from what was asked [kPa]; sea level's where nothing was."""
    if atmosphere_kpa is not None and altitude_mm is not None:
        raise click.UsageError("Give --atmosphere or --altitude, not both.")
    if altitude_mm is not None:
        return standard_atmosphere_kpa(altitude_mm=altitude_mm)
    return ATMOSPHERE_KPA if atmosphere_kpa is None else atmosphere_kpa
