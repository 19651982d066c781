"""The line of every key, against texts whose lines are counted by hand."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from castworthy.sheets.lines import line_map

TEXT = '''\
# a comment with [brackets] and "quotes
format = 1

[head]
code = "T]66" # x = 3
"quoted key" = 2
outline = [[0, 0], # first
  [32.1, 0],

  [32.1, 9.0]]
note = """
x = 1
[valve]
"""
[[valve]]
name = '1A'
at = { x = 1, y = [2,
  3] }
[[valve]]
name = "1B"
[valve.more]
deep.er = 4
[limit.recession.intake]
low = 1
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("format",), 2),
        (("head",), 4),
        (("head", "code"), 5),
        (("head", "quoted key"), 6),
        (("head", "outline"), 7),
        (("head", "outline", 0), 7),
        (("head", "outline", 1), 8),
        (("head", "outline", 2), 10),
        (("head", "note"), 11),
        (("valve", 0), 15),
        (("valve", 0, "name"), 16),
        (("valve", 0, "at", "y", 0), 17),
        (("valve", 0, "at", "y", 1), 18),
        (("valve", 1, "name"), 20),
        (("valve", 1, "more"), 21),
        (("valve", 1, "more", "deep", "er"), 22),
        (("limit", "recession", "intake", "low"), 24),
    ],
)
def test_lines_counted_by_hand(path: tuple[str | int, ...], line: int) -> None:
    tomllib.loads(TEXT)

    assert line_map(TEXT).line_of(path) == line


def test_a_missing_key_takes_the_line_of_its_table() -> None:
    lines = line_map(TEXT)

    assert lines.line_of(("valve", 1, "x")) == 19
    assert lines.line_of(("price",)) is None


names = st.text("abcxyz", min_size=1, max_size=6)
scalars = st.one_of(
    st.integers(-99, 99).map(str),
    st.sampled_from(['"a # b"', "'c]'", '"""\nd = 1\n"""', "true", "1.5", "2027-03-09"]),
)
arrays = st.lists(scalars, max_size=4).map(lambda parts: f"[\n{','.join(parts)}]")


@settings(max_examples=150)
@given(
    tables=st.lists(
        st.tuples(names, st.dictionaries(names, st.one_of(scalars, arrays), max_size=4)),
        max_size=5,
        unique_by=lambda table: table[0],
    )
)
def test_every_key_is_found_on_the_line_it_was_written_on(
    tables: list[tuple[str, dict[str, str]]],
) -> None:
    text, expected = "", {}
    for name, pairs in tables:
        expected[name,] = text.count("\n") + 1
        text += f"[{name}] # {name}\n"
        for key, value in pairs.items():
            expected[name, key] = text.count("\n") + 1
            text += f"{key} = {value}\n\n"
    tomllib.loads(text)
    lines = line_map(text)

    assert {path: lines.lines[path] for path in expected} == expected
