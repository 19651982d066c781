"""Reads single values out of tables and gathers every finding on the way."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from typing import Any

from castworthy.sheets.errors import Finding
from castworthy.sheets.keys import CODE_PATTERN, NAME_PATTERN, Key, Kind
from castworthy.sheets.lines import LineMap, Path
from castworthy.units import UnitError, convert, read_entry

_LONGEST_TEXT = 200
_SUFFIXES = {
    Kind.LENGTH: "mm",
    Kind.AREA: "mm2",
    Kind.ANGLE: "deg",
    Kind.RATE: "n_per_mm",
    Kind.SECONDS: "s",
    Kind.FINISH: "um",
    Kind.VOLUME: "cm3",
}
_FINISH_UNITS = {"in": "µin", "mm": "µm"}
_AREA_UNITS = {"in": "in²", "mm": "mm²"}


@dataclass(slots=True, kw_only=True)
class Inspection:
    """The findings of one file.  ``unit`` is what its bare lengths are in."""

    file: str
    unit: str = "mm"
    lines_of: Callable[[], LineMap] = LineMap
    found: list[tuple[Path, str]] = field(default_factory=list)

    def note(self, path: Path, sentence: str) -> None:
        """Keep one finding."""
        self.found.append((path, sentence))

    def findings(self) -> tuple[Finding, ...]:
        """Everything found, in the order of the file."""
        lines = self.lines_of()
        found = [
            Finding(
                file=self.file,
                line=lines.line_of(path),
                key=key_of(path),
                sentence=sentence,
            )
            for path, sentence in self.found
        ]
        return tuple(sorted(found, key=lambda finding: finding.line or 0))

    def unknown(self, table: Mapping[str, Any], *, path: Path, known: Iterable[str]) -> None:
        """A finding for every key that is none of the known ones."""
        names = tuple(known)
        for name in table:
            if name not in names:
                self.note((*path, name), f"this key is unknown{did_you_mean(name, names)}")

    def fields(
        self, table: Mapping[str, Any], *, keys: Iterable[Key], path: Path, suffix: str = "mm"
    ) -> dict[str, Any]:
        """The sound values of a table by the field they fill; the others become findings.

        ``suffix`` is the unit suffix of limits.
        """
        filled: dict[str, Any] = {}
        for key in keys:
            if key.name not in table:
                if key.required:
                    self.note((*path, key.name), f"this key is missing: {key.says}.")
                continue
            value = self.value(table[key.name], key=key, path=(*path, key.name), suffix=suffix)
            if value is not None and key.fills:
                filled[key.fills] = value
        return filled

    def value(self, raw: Any, *, key: Key, path: Path, suffix: str = "mm") -> Any:
        """One value in the unit of its field, or ``None`` with a finding."""
        match key.kind:
            case Kind.TEXT | Kind.NAME | Kind.CODE | Kind.CHOICE:
                return self._text(raw, key=key, path=path)
            case Kind.FLAG:
                return self._flag(raw, path=path)
            case Kind.COUNT:
                return self._count(raw, key=key, path=path)
            case Kind.LENGTHS:
                return self._lengths(raw, key=key, path=path)
            case _:
                return self._number(raw, key=key, path=path, suffix=suffix)

    def rows(self, raw: Any, *, path: Path) -> list[tuple[Path, dict[str, Any]]]:
        """The rows of an array of tables with their paths."""
        name = path[-1]
        if not isinstance(raw, list) or not all(isinstance(row, dict) for row in raw):
            self.note(path, f"this must be rows that begin with [[{name}]] (got {_got(raw)}).")
            return []
        return [((*path, i), row) for i, row in enumerate(raw)]

    def table(self, raw: Any, *, path: Path) -> dict[str, Any]:
        """A table, empty with a finding when it is none."""
        if isinstance(raw, dict):
            return raw
        self.note(
            path, f"this must be a table that begins with [{key_of(path)}] (got {_got(raw)})."
        )
        return {}

    def _text(self, raw: Any, *, key: Key, path: Path) -> str | None:
        if not isinstance(raw, str):
            fix = f'; write it in quotes: "{raw}"' if isinstance(raw, int | Decimal) else ""
            self.note(path, f"this must be a text (got {_got(raw)}){fix}.")
            return None
        text = raw.strip()
        if not text or len(text) > _LONGEST_TEXT or not text.isprintable():
            self.note(path, f"this must be one line of 1 to {_LONGEST_TEXT} signs: {key.says}.")
            return None
        if key.kind is Kind.CHOICE and text not in key.choices:
            choices = ", ".join(key.choices)
            hint = did_you_mean(text, key.choices)
            self.note(path, f"this must be one of {choices} (got {text!r}){hint}")
            return None
        pattern = {Kind.NAME: NAME_PATTERN, Kind.CODE: CODE_PATTERN}.get(key.kind)
        if pattern is not None and re.fullmatch(pattern, text) is None:
            signs = (
                "letters, digits and hyphens"
                if key.kind is Kind.CODE
                else "letters, digits, spaces and . _ + -"
            )
            most = 12 if key.kind is Kind.CODE else 24
            self.note(path, f"this must be at most {most} {signs} (got {text!r}).")
            return None
        return text

    def _flag(self, raw: Any, *, path: Path) -> bool | None:
        if isinstance(raw, bool):
            return raw
        self.note(path, f"this must be true or false, without quotes (got {_got(raw)}).")
        return None

    def _count(self, raw: Any, *, key: Key, path: Path) -> int | None:
        if not isinstance(raw, int) or isinstance(raw, bool):
            self.note(path, f"this must be a whole number (got {_got(raw)}).")
            return None
        return int(raw) if self._within(float(raw), raw=raw, key=key, path=path) else None

    def _lengths(self, raw: Any, *, key: Key, path: Path) -> tuple[float, ...] | None:
        if not isinstance(raw, list) or len(raw) > 50:
            self.note(path, f"this must be a list of at most 50 lengths (got {_got(raw)}).")
            return None
        values = [
            self._number(each, key=key, path=(*path, i), suffix="mm", kind=Kind.LENGTH)
            for i, each in enumerate(raw)
        ]
        sound = [value for value in values if value is not None]
        if len(set(sound)) < len(sound):
            self.note(path, "the same length stands here twice; keep one.")
            return None
        return tuple(sound) if len(sound) == len(values) else None

    def _number(
        self, raw: Any, *, key: Key, path: Path, suffix: str, kind: Kind | None = None
    ) -> float | None:
        kind = kind or key.kind
        if isinstance(raw, bool) or not isinstance(raw, int | Decimal | str):
            self.note(path, f"this must be a number: {key.says} (got {_got(raw)}).")
            return None
        try:
            value = self._measured(raw, kind=kind, suffix=_SUFFIXES.get(kind, suffix))
        except UnitError as fault:
            self.note(path, str(fault))
            return None
        return value if self._within(value, raw=raw, key=key, path=path) else None

    def _measured(self, raw: int | Decimal | str, *, kind: Kind, suffix: str) -> float:
        if kind is Kind.NUMBER:
            if isinstance(raw, str):
                raise UnitError(f"this must be a bare number, without quotes (got {raw!r}).")
            return float(_finite(raw))
        bare = self._bare_unit(kind, suffix=suffix)
        if isinstance(raw, str):
            return read_entry(raw, suffix=suffix, bare_unit=bare).value
        number = _finite(raw)
        if bare is None:
            return read_entry(str(raw), suffix=suffix).value
        if abs(number) > 10**9:
            raise UnitError(f"{raw} is beyond anything a shop measures.")
        return convert(number, unit=bare, suffix=suffix)

    def _bare_unit(self, kind: Kind, *, suffix: str) -> str | None:
        """The unit a bare number is in; ``None`` where it must carry its unit."""
        if kind is Kind.ANGLE:
            return "°"
        if kind is Kind.AREA:
            return _AREA_UNITS[self.unit]
        if suffix == "mm":
            return self.unit
        return _FINISH_UNITS[self.unit] if suffix == "um" else None

    def _within(self, value: float, *, raw: Any, key: Key, path: Path) -> bool:
        if key.least is not None and (value <= key.least if key.open_least else value < key.least):
            least = f"{key.least:g}"
            rule = f"more than {least}" if key.open_least else f"{least} or more"
            self.note(path, f"this must be {rule} (got {raw}).")
            return False
        if key.most is not None and value > key.most:
            self.note(path, f"this must be at most {key.most:g} (got {raw}).")
            return False
        return True


def key_of(path: Path) -> str:
    """A path as a person reads it: ``valve 3, x`` counts rows from 1."""
    words: list[str] = []
    for part in path:
        if isinstance(part, int):
            words[-1] = f"{words[-1]}[{part + 1}]"
        else:
            words.append(part)
    return ".".join(words)


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """The nearest known name as the end of a sentence."""
    names = tuple(known)
    near = get_close_matches(name, names, n=1, cutoff=0.7) or [
        each for each in names if each.casefold() == name.casefold()
    ]
    return f"; did you mean {near[0]}?" if near else "."


def _finite(raw: int | Decimal) -> Fraction:
    if isinstance(raw, Decimal) and not raw.is_finite():
        raise UnitError(f"this must be a finite number (got {raw}).")
    if isinstance(raw, Decimal) and raw and not -30 <= raw.adjusted() <= 30:
        raise UnitError(f"{raw} is beyond anything a shop measures.")
    return Fraction(raw)


def _got(raw: Any) -> str:
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, dict):
        return "a table"
    if isinstance(raw, list):
        return f"a list of {len(raw)}"
    text = repr(raw) if isinstance(raw, str) else str(raw)
    return text if len(text) <= 40 else f"{text[:37]}..."
