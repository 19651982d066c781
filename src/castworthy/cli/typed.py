"""Quantities on the command line: ``0.035in``, ``35thou``, ``18uin``."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from castworthy.units import SUFFIXES, UnitError, read_value

_Command = TypeVar("_Command", bound=Callable[..., Any])


class Typed(click.ParamType):
    """A quantity with its unit, as a number in the unit of a suffix."""

    def __init__(self, suffix: str, *, least: float | None = None) -> None:
        self.suffix = suffix
        self.least = least
        self.name = SUFFIXES[suffix]

    def convert(
        self, value: str | float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The value in the suffix's unit."""
        if isinstance(value, float):
            return value
        try:
            number = read_value(str(value), suffix=self.suffix).value
        except UnitError as fault:
            self.fail(str(fault), param, ctx)
        if self.least is not None and number < self.least:
            self.fail(f"{value!r} must be {self.least:g} or more.", param, ctx)
        return number


def uncertainty(
    option: str, name: str, *, kind: click.ParamType, of: str
) -> Callable[[_Command], _Command]:
    """An option for a standard uncertainty, which may be left out."""
    return click.option(option, name, type=kind, help=f"Standard uncertainty of {of}.")


def answer_options(
    *, units: str | None = "thou", says: str = "Units to show."
) -> Callable[[_Command], _Command]:
    """The options ``--json`` and ``--show`` of a command; ``units`` are shown by default."""

    def added(command: _Command) -> _Command:
        show = click.option(
            "--show",
            type=click.Choice(["in", "thou", "mm"]),
            default=units,
            show_default=units is not None,
            help=says,
        )
        return click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")(
            show(command)
        )

    return added


def confidence_option(command: _Command) -> _Command:
    """The option ``--confidence`` of a command that gives a verdict."""
    return click.option(
        "--confidence",
        "confidence_probability",
        type=click.FloatRange(min=0.5, max=1.0, min_open=True, max_open=True),
        default=0.95,
        show_default=True,
        help="Probability a verdict asks for.",
    )(command)
