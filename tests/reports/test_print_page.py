"""The how-to's example runs as it stands."""

import re
from pathlib import Path

PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "print.md"


def test_the_example_makes_a_tag(words_of):
    (example,) = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    names: dict[str, object] = {}
    exec(compile(example, str(PAGE), "exec"), names)
    assert "T66-0042" in words_of(names["pdf"])


def test_the_names_it_lists_exist():
    from castworthy.reports import claim, parts, release, tag, traveller

    text = PAGE.read_text(encoding="utf-8")
    listed = set(re.findall(r"`(?:reports\.\w+\.)?([A-Z]\w+|\w+_pdf)`", text))
    assert len(listed) > 12
    for name in listed:
        assert any(hasattr(room, name) for room in (claim, parts, release, tag, traveller)), name
