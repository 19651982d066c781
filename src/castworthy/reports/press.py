"""Typst at work: frozen facts and a template in, PDF bytes out.

Facts travel as JSON and pictures as files of their own, so that nothing a person typed is
ever read as Typst's markup.
"""

import json
import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from enum import StrEnum
from functools import cache
from pathlib import Path

import typst

from castworthy.reports.photo import photo_svg

_ROOM = Path(__file__).parent
_FORBIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")
_LONG_WORD = re.compile(r"[^\s\u200b-]{25,}")
_BREAK = "\u200b"
_compile: Callable[..., bytes] = typst.compile  # its stubs leave out a dictionary of files


class PaperError(RuntimeError):
    """A paper could not be set: a fault of a template or of a chart, never of a text."""


def set_paper(
    template: str, paper: object, *, made_at: datetime, code: str, **more: object
) -> bytes:
    """Set a paper by its template.  The same facts give the same bytes.

    ``more`` are facts the template needs beside the paper's own fields.

    Raises
    ------
    PaperError
        If a chart cannot be read.
    PhotoError
        If a photo cannot be read.

    """
    pictures: dict[str, bytes] = {"code.svg": code.encode()}
    facts = {name: _field(name, getattr(paper, name), pictures) for name in _names(paper)}
    facts |= {name: _plain(fact, pictures) for name, fact in more.items()}
    files: dict[str, bytes] = {
        "main.typ": _template(template),
        "common.typ": _template("common"),
        "facts.json": json.dumps(facts, ensure_ascii=False).encode(),
        **pictures,
    }
    stamp = made_at.astimezone(UTC).replace(microsecond=0)
    try:
        made = _compile(files, format="pdf", font_paths=_fonts(), timestamp=stamp)
    except typst.TypstError as fault:
        raise PaperError(f"The {template} could not be set: {fault.message}.") from fault
    return made


def _plain(fact: object, pictures: dict[str, bytes]) -> object:
    """A fact as JSON holds it; photos and SVG become files and leave their name."""
    if is_dataclass(fact):
        return {name: _field(name, getattr(fact, name), pictures) for name in _names(fact)}
    if isinstance(fact, tuple):
        return [_plain(part, pictures) for part in fact]
    if isinstance(fact, datetime):
        return fact.isoformat()
    if isinstance(fact, StrEnum):
        return fact.value
    return soften(fact) if isinstance(fact, str) else fact


def _names(fact: object) -> list[str]:
    return [field.name for field in fields(fact)]  # type: ignore[arg-type]


def _field(name: str, value: object, pictures: dict[str, bytes]) -> object:
    if isinstance(value, bytes):
        return _file(photo_svg(value) if value else "", pictures)
    if isinstance(value, str) and (name == "svg" or name.endswith("_svg")):
        return _file(value, pictures)
    return _plain(value, pictures)


def _file(svg: str, pictures: dict[str, bytes]) -> str:
    if not svg:
        return ""
    name = f"picture-{len(pictures)}.svg"
    pictures[name] = svg.encode()
    return name


def soften(text: str) -> str:
    """Text without control signs, words too long for a column given places to break."""
    plain = _FORBIDDEN.sub("\ufffd", text.replace("\r\n", "\n"))
    return _LONG_WORD.sub(lambda word: _BREAK.join(_chunks(word.group())), plain)


def _chunks(word: str) -> list[str]:
    return [word[start : start + 12] for start in range(0, len(word), 12)]


@cache
def _template(name: str) -> bytes:
    return (_ROOM / "papers" / f"{name}.typ").read_bytes()


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(font_paths=[_ROOM / "fonts"])
