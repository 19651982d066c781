"""A draft goes to text and back without losing what a person wrote.  Common practice, no source."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.sheets.draft import ROWS, Draft, as_field, as_toml, read_draft
from castworthy.sheets.draft_text import write_draft

SHEET = """\
# Kept by the bench: figures checked with the old gauge.
format = 1
unit = "in"

[head]
code = "H21"    # on the pattern plate
title = "Heron 21"
material = "grey iron"
source = "shop notes"
outline = [
  [0, 0],   # corner by the water pump
  [12.5, 0],
  [12.5, 6.25],
  [0, 6.25],
]

# front bore
[[cylinder]]
name = "1"
x = 4.000
y = 3.1
bore = 4.0

[[valve]]
name = "1A"
cylinder = "1"
kind = "intake"
x = 3.2
y = 3.1
head_diameter = "40 mm"
colour = "red"

[[place]]
name = "T1"
kind = "thickness"
x = 0.5
y = 0.5

[limit.recession.intake]
low = 0.0325   # from the card on the wall
high = 0.0465

[limit.recesion]
high = 1

[work]
shims = [0.015, "0.4 mm"]
"""


def with_row(draft: Draft, table: str, index: int, **typed: str) -> Draft:
    rows = [dict(row) for row in draft.table(table)]
    rows[index].update(typed)
    return draft.with_rows(table, rows)


def test_unchanged_draft_leaves_the_text_as_it_was() -> None:
    assert write_draft(read_draft(SHEET), base=SHEET) == SHEET


def test_digits_stay_as_typed() -> None:
    draft = read_draft(SHEET)

    assert draft.table("cylinder")[0]["x"] == "4.000"
    assert draft.table("valve")[0]["head_diameter"] == "40 mm"
    assert draft.section("work")["shims"] == "0.015, 0.4 mm"


def test_one_changed_figure_changes_one_line() -> None:
    draft = with_row(read_draft(SHEET), "limit", 0, low=".033")

    written = write_draft(draft, base=SHEET)

    assert written == SHEET.replace("low = 0.0325 ", "low = 0.033 ")


def test_a_new_key_and_a_cleared_key() -> None:
    draft = with_row(read_draft(SHEET), "limit", 0, aim="0,039", high="")

    written = write_draft(draft, base=SHEET)

    assert written == SHEET.replace("high = 0.0465", "aim = 0.039")


def test_a_row_taken_out_takes_its_comment_along() -> None:
    draft = read_draft(SHEET).with_rows("cylinder", [])

    written = write_draft(draft, base=SHEET)

    assert "front bore" not in written
    assert "[[cylinder]]" not in written
    assert 'colour = "red"' in written


def test_new_rows_follow_their_own_kind() -> None:
    draft = read_draft(SHEET)
    rows = [*draft.table("cylinder"), {"name": "2", "x": "8", "y": "3.1", "bore": "4"}]

    written = write_draft(draft.with_rows("cylinder", rows), base=SHEET)

    assert written.index('name = "2"') > written.index('name = "1"')
    assert written.index('name = "2"') < written.index("[[valve]]")
    assert read_draft(written).table("cylinder")[1]["bore"] == "4"


def test_rows_of_a_table_the_text_had_not_yet() -> None:
    rows = [{"name": "S1", "x": "1", "y": "1", "diameter": "0.5"}]

    written = write_draft(read_draft(SHEET).with_rows("stud", rows), base=SHEET)

    assert read_draft(written).table("stud")[0]["diameter"] == "0.5"
    assert written.index("[[valve]]") < written.index("[[stud]]") < written.index("[[place]]")


def test_a_renamed_row_keeps_its_unknown_keys() -> None:
    written = write_draft(with_row(read_draft(SHEET), "valve", 0, name="1X"), base=SHEET)

    assert written == SHEET.replace('name = "1A"', 'name = "1X"')


def test_a_misspelt_limit_is_not_swept_away() -> None:
    draft = with_row(read_draft(SHEET), "cylinder", 0, bore="4.1")

    assert "[limit.recesion]" in write_draft(draft, base=SHEET)


def test_inline_tables_give_way_to_a_plain_text() -> None:
    base = 'format = 1\nunit = "mm"\ncylinder = [{name = "1", x = 1, y = 2, bore = 3}]\n'
    draft = with_row(read_draft(base), "cylinder", 0, bore="4")

    written = write_draft(draft, base=base)

    assert read_draft(written).table("cylinder")[0]["bore"] == "4"
    assert "[[cylinder]]" in written


def test_base_that_is_no_toml_gives_a_plain_text() -> None:
    written = write_draft(read_draft(SHEET), base="[[[")

    assert read_draft(written).table("valve")[0]["name"] == "1A"


def test_quotes_and_breaks_in_a_note() -> None:
    note = 'said "tight"\r\nand \\ wet\t\x07'

    assert tomllib.loads(f"a = {as_toml(note, key='source')}")["a"] == note.replace("\r\n", "\n")


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        (".035", "0.035"),
        ("0,89", "0.89"),
        ("5.", "5.0"),
        ("007", "7"),
        ("1e-3", "1e-3"),
        ("-0.5", "-0.5"),
        ("0.89 mm", '"0.89 mm"'),
        ("abc", '"abc"'),
        ("  ", ""),
    ],
)
def test_a_field_as_toml(typed: str, written: str) -> None:
    assert as_toml(typed, key="x") == written


def test_a_name_is_always_a_word() -> None:
    assert as_toml("1", key="name") == '"1"'


def test_shims_with_decimal_commas() -> None:
    assert as_toml("0,4; 0,8", key="shims") == "[0.4, 0.8]"
    assert as_toml("0,4", key="shims") == "[0.4]"


typed = st.text(
    alphabet=st.characters(blacklist_categories=("Cs",), blacklist_characters="\r"), max_size=12
)


@given(value=typed)
def test_any_words_survive_the_way_to_text_and_back(value: str) -> None:
    written = as_toml(value, key="title")

    found = tomllib.loads(f"a = {written}")["a"] if written else ""

    assert as_field(found) == value.strip()


@given(
    data=st.data(),
    table=st.sampled_from(["cylinder", "valve", "stud", "opening", "place"]),
)
def test_whatever_is_typed_in_a_row_reads_back(data: st.DataObject, table: str) -> None:
    row = {column: data.draw(typed) for column in ROWS[table]} | {"name": "N1"}
    draft = read_draft(SHEET).with_rows(table, [row])

    back = read_draft(write_draft(draft, base=SHEET)).table(table)[0]

    texts = {"name", "cylinder", "kind"}
    assert {key: back[key] for key in texts & row.keys()} == {
        key: row[key].strip() for key in texts & row.keys()
    }
    assert write_draft(read_draft(write_draft(draft, base=SHEET))) == write_draft(draft)
