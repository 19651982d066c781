"""What every page's look must keep: contrast, and nothing inline."""

import re
from itertools import product
from pathlib import Path

import pytest

import castworthy.web

WEB = Path(castworthy.web.__file__).parent
CSS = (WEB / "static" / "castworthy" / "own" / "castworthy.css").read_text()
SETS = [
    dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block))
    for block in re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)[:2]
]
TEXT = ("ink", "soft", "blue", "vermilion-text", "ochre-text", "steel-text")
GROUNDS = ("paper", "card", "wash", "wash-soft", "vermilion-wash", "ochre-wash", "casting")
TEMPLATES = sorted((WEB / "templates").rglob("*.html"))


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_21() -> None:
    # WCAG 2.2, definition of contrast ratio: the ratios range from 1 to 21.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("colours", SETS, ids=["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), list(product(TEXT, GROUNDS)))
def test_text_can_be_read(colours: dict[str, str], text: str, ground: str) -> None:
    # WCAG 2.2, 1.4.3 (AA): 4.5 to 1.
    assert contrast(colours[text], colours[ground]) >= 4.5


@pytest.mark.parametrize("colours", SETS, ids=["light", "dark"])
def test_buttons_edges_and_marks_can_be_seen(colours: dict[str, str]) -> None:
    # WCAG 2.2, 1.4.3: 4.5 to 1 for the words; 1.4.11 (AA): 3 to 1 for edges and marks.
    assert contrast(colours["on-blue"], colours["blue"]) >= 4.5
    for name in ("rule-strong", "blue", "vermilion", "ochre", "soft"):
        assert contrast(colours[name], colours["card"]) >= 3.0


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.relative_to(WEB).as_posix())
def test_templates_hold_no_inline_script_or_style(path: Path) -> None:
    text = path.read_text()
    assert not re.search(r"\sstyle\s*=", text)
    assert not re.search(r"\son\w+\s*=\s*[\"']", text)
    assert not re.search(r"hx-on|javascript:", text)
    assert not re.search(r"<style\b", text)
    assert all("src=" in tag for tag in re.findall(r"<script\b[^>]*>", text))


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.relative_to(WEB).as_posix())
def test_templates_fetch_nothing_from_elsewhere(path: Path) -> None:
    assert not re.search(r"(src|href)=[\"'](https?:)?//", path.read_text())
