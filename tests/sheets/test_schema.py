"""The published schema says what the reader says."""

import copy
import json
import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from castworthy.sheets.errors import SheetError
from castworthy.sheets.keys import LIMITED, OUTLINE, TABLES
from castworthy.sheets.schema import sheet_schema
from castworthy.sheets.spec import read_sheet
from castworthy.sheets.write import write_sheet

PUBLISHED = Path(__file__).parents[2] / "docs" / "reference" / "sheet.schema.json"
EXAMPLES = ("t66.toml", "f14.toml")


def example(name: str) -> str:
    return (resources.files("castworthy.demo") / "sheets" / name).read_text(encoding="utf-8")


def tables(name: str) -> dict[str, Any]:
    return tomllib.loads(example(name))


def valid(document: object) -> bool:
    return Draft202012Validator(sheet_schema()).is_valid(document)


def test_the_schema_is_sound_and_published_as_it_is() -> None:
    Draft202012Validator.check_schema(sheet_schema())

    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == sheet_schema()


def test_every_key_of_the_reader_is_in_the_schema() -> None:
    properties = sheet_schema()["properties"]

    for table in TABLES.values():
        if table.name == "limit":
            assert set(properties["limit"]["properties"]) == {q.value for q in LIMITED}
            continue
        shape = properties[table.name].get("items", properties[table.name])
        names = set(shape["properties"]) - {OUTLINE, "intake", "exhaust"}
        assert names == set(table.by_name)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_examples_and_what_the_writer_makes_of_them_are_valid(name: str, unit: str) -> None:
    written = write_sheet(read_sheet(example(name)), unit=unit)

    assert valid(tables(name))
    assert valid(tomllib.loads(written))


def every_table(document: dict[str, Any]) -> list[dict[str, Any]]:
    found = [document]
    for value in document.values():
        if isinstance(value, dict):
            found += every_table(value)
        if isinstance(value, list):
            found += [t for row in value if isinstance(row, dict) for t in every_table(row)]
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_unknown_key_is_refused_in_every_table(name: str) -> None:
    count = len(every_table(tables(name)))
    for index in range(count):
        document = copy.deepcopy(tables(name))
        every_table(document)[index]["colour"] = 1
        assert not valid(document)


CHANGES = [
    ("unit", "cm"),
    ("format", 2),
    ("head.code", "a code far too long"),
    ("head.material", "wood"),
    ("head.overhead_cam", "yes"),
    ("head.outline", [[0, 0], [1, 1]]),
    ("cylinder.0.bore", 0),
    ("cylinder.0.bore", True),
    ("valve.0.kind", "inlet"),
    ("valve.0.tilt", 61),
    ("limit.recession.rule", "strict"),
    ("limit.recession.intake", {"aim": 1}),
    ("limit.seat_load", {"low": 90}),
    ("limit.flatness.span", 6),
    ("limit.local_flatness", {"high": 1}),
    ("work.confidence", 95),
    ("work.most_shims", 1.5),
    ("work.vacuum_hold", 30),
    ("price.labour_per_hour", "95"),
    ("spring.rate", 42),
]


@pytest.mark.parametrize(("address", "value"), CHANGES)
def test_reader_and_schema_refuse_the_same_values(address: str, value: object) -> None:
    document = tables("t66.toml")
    *path, key = address.split(".")
    table: Any = document
    for part in path:
        table = table[int(part)] if part.isdigit() else table.setdefault(part, {})
    table[key] = value

    assert not valid(document)
    with pytest.raises(SheetError):
        read_sheet(as_toml(document))


def as_toml(document: dict[str, Any]) -> str:
    """The document as TOML in inline form, which is enough for a test."""

    def inline(value: object) -> str:
        if isinstance(value, dict):
            return "{" + ", ".join(f"{k} = {inline(v)}" for k, v in value.items()) + "}"
        if isinstance(value, list):
            return "[" + ", ".join(inline(v) for v in value) + "]"
        return json.dumps(value, ensure_ascii=False)

    return "\n".join(f"{key} = {inline(value)}" for key, value in document.items())


def test_the_inline_form_itself_reads() -> None:
    for name in EXAMPLES:
        assert read_sheet(as_toml(tables(name))) == read_sheet(example(name))
