"""The reference pages are what the code says."""

from pathlib import Path

import click
import pytest

from castworthy.calc.quantity import Quantity
from castworthy.cli.docs import SCHEMA, schema_text
from castworthy.cli.main import COMMANDS, main
from castworthy.cli.needs import NEEDS
from castworthy.cli.reference import BLOCKS, filled
from castworthy.sheets.keys import TABLES
from castworthy.sheets.readings import COLUMNS
from castworthy.units import SUFFIXES
from cli.conftest import Run

DOCS = Path(__file__).parents[2] / "docs"
PAGES = sorted(DOCS.rglob("*.md"))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(DOCS)))
def test_every_generated_part_is_fresh(page: Path) -> None:
    text = page.read_text(encoding="utf-8")

    assert filled(text) == text, "castworthy docs writes it again"


def test_every_block_is_shown_somewhere() -> None:
    shown = "".join(page.read_text(encoding="utf-8") for page in PAGES)

    assert [name for name in BLOCKS if f"<!-- begin {name} -->" not in shown] == []


def test_the_schema_is_published() -> None:
    assert (DOCS / SCHEMA).read_text(encoding="utf-8") == schema_text()


def test_names_and_units_lists_every_suffix_and_quantity() -> None:
    page = (DOCS / "names-and-units.md").read_text(encoding="utf-8")

    assert [suffix for suffix in SUFFIXES if f"| `_{suffix}` |" not in page] == []
    assert [quantity for quantity in Quantity if f"| `{quantity}` |" not in page] == []


def test_every_key_column_and_option_is_on_its_page(run: Run) -> None:
    sheet = (DOCS / "reference" / "sheet.md").read_text(encoding="utf-8")
    readings = (DOCS / "reference" / "readings.md").read_text(encoding="utf-8")
    commands = (DOCS / "reference" / "commands.md").read_text(encoding="utf-8")

    for table in TABLES.values():
        assert [key.name for key in table.keys if f"| `{key.name}` |" not in sheet] == []
    assert [column for column in COLUMNS if f"| `{column}` |" not in readings] == []
    for name in COMMANDS:
        assert f"### {name}\n" in commands
        words = run(name, "--help").stdout.split()
        options = {word.strip(",[]") for word in words if word.startswith("--")}
        assert [option for option in options if option not in commands] == []


def test_docs_writes_what_is_stale(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "docs"
    (folder / "reference").mkdir(parents=True)
    page = folder / "a.md"
    page.write_text("before\n<!-- begin columns -->\nold\n<!-- end columns -->\nafter\n")

    assert run("docs", "--folder", folder).stdout == "2 pages, 2 written anew.\n"
    assert run("docs", "--folder", folder).stdout == "2 pages, 0 written anew.\n"
    assert ",".join(COLUMNS) in page.read_text(encoding="utf-8")
    assert page.read_text(encoding="utf-8").startswith("before\n")


def test_docs_refuses_any_other_folder(run: Run, tmp_path: Path) -> None:
    result = run("docs", "--folder", tmp_path)

    assert result.exit_code == 2
    assert "is not the project's docs folder" in result.stderr


@pytest.mark.parametrize("command", NEEDS)
def test_options_that_rest_on_others_are_options(command: str) -> None:
    found = main.get_command(click.Context(main), command)
    assert found is not None
    names = {each.name for each in found.params}

    assert {name for pair in NEEDS[command].items() for name in (pair[0], *pair[1])} <= names
