"""The command line as a person calls it, with the examples at hand."""

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from castworthy.cli.main import main

PROJECT = Path(__file__).parents[2]
SHEETS = PROJECT / "src" / "castworthy" / "demo" / "sheets"
EXAMPLES = PROJECT / "examples"

Run = Callable[..., Result]


@pytest.fixture
def run() -> Run:
    """Call a command with its words."""

    def called(*words: str | Path) -> Result:
        return CliRunner().invoke(main, [str(word) for word in words])

    return called


@pytest.fixture
def t66() -> list[str | Path]:
    """The six-cylinder example: sheet, readings and gauges as words of a command."""
    return _words("t66")


@pytest.fixture
def f14() -> list[str | Path]:
    """The single-cylinder example."""
    return _words("f14")


def _words(code: str) -> list[str | Path]:
    gauges = EXAMPLES / f"{code}-gauges.toml"
    return [SHEETS / f"{code}.toml", EXAMPLES / f"{code}-readings.csv", "--gauges", gauges]
