"""Which line of a TOML text each key stands on.

``tomllib`` gives values without their places; this scanner walks the same text once more and
notes the line of every table header, key and array element.  It only ever sees text that
``tomllib`` has accepted, so it needs no error handling of its own.
"""

import tomllib
from dataclasses import dataclass, field

Path = tuple[str | int, ...]


@dataclass(slots=True, kw_only=True)
class LineMap:
    """Lines by path: ``("valve", 2, "x")`` is key ``x`` of the third ``[[valve]]``."""

    lines: dict[Path, int] = field(default_factory=dict)

    def note(self, path: Path, line: int) -> None:
        """Keep the first line a path is seen on."""
        self.lines.setdefault(path, line)

    def line_of(self, path: Path) -> int | None:
        """The line of a path, or of the nearest table around it."""
        for length in range(len(path), 0, -1):
            line = self.lines.get(path[:length])
            if line is not None:
                return line
        return None


def line_map(text: str) -> LineMap:
    """The lines of every key of a TOML text that ``tomllib`` reads."""
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.found = LineMap()
        self.counts: dict[Path, int] = {}

    def scan(self) -> LineMap:
        table: Path = ()
        while self._skip_blank():
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._pair(table, end="\n")
        return self.found

    def _step(self, count: int = 1) -> None:
        self.line += self.text.count("\n", self.at, self.at + count)
        self.at += count

    def _skip_blank(self, signs: str = " \t\r\n") -> bool:
        """Pass over blanks and comments; False at the end of the text."""
        while self.at < len(self.text):
            if self.text[self.at] in signs:
                self._step()
            elif self.text[self.at] == "#":
                end = self.text.find("\n", self.at)
                self._step((len(self.text) if end < 0 else end) - self.at)
            else:
                return True
        return False

    def _header(self) -> Path:
        line, listed = self.line, self.text.startswith("[[", self.at)
        self._step(2 if listed else 1)
        path: Path = ()
        *outer, last = self._dotted()
        for name in outer:
            path = self._within((*path, name))
        path = (*path, last)
        if listed:
            self.counts[path] = self.counts.get(path, 0) + 1
            self.found.note(path, line)
            path = (*path, self.counts[path] - 1)
        self.found.note(path, line)
        self._step(2 if listed else 1)
        return path

    def _within(self, path: Path) -> Path:
        """A table named on the way stands in the latest element of an array of tables."""
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def _dotted(self) -> list[str]:
        """A dotted key up to its ``=`` or ``]``."""
        start = self.at
        while self.text[self.at] not in "=]":
            if self.text[self.at] in "\"'":
                self._string()
            else:
                self._step()
        return _names(self.text[start : self.at].strip())

    def _pair(self, table: Path, *, end: str) -> None:
        line = self.line
        path = table
        for name in self._dotted():
            path = (*path, name)
            self.found.note(path, line)
        self._step()
        self._value(path, end=end)

    def _value(self, path: Path, *, end: str) -> None:
        self._skip_blank(" \t")
        sign = self.text[self.at]
        if sign in "\"'":
            self._string()
        elif sign == "[":
            self._array(path)
        elif sign == "{":
            self._inline(path)
        else:
            while self.at < len(self.text) and self.text[self.at] not in f"{end}#\n":
                self._step()

    def _array(self, path: Path) -> None:
        self._step()
        index = 0
        while self._skip_blank(" \t\r\n,") and self.text[self.at] != "]":
            element = (*path, index)
            self.found.note(element, self.line)
            self._value(element, end=",]")
            index += 1
        self._step()

    def _inline(self, path: Path) -> None:
        self._step()
        while self._skip_blank(" \t\r\n,") and self.text[self.at] != "}":
            self._pair(path, end=",}")
        self._step()

    def _string(self) -> None:
        sign = self.text[self.at]
        quote = sign * 3 if self.text.startswith(sign * 3, self.at) else sign
        self._step(len(quote))
        while not self.text.startswith(quote, self.at):
            self._step(2 if sign == '"' and self.text[self.at] == "\\" else 1)
        self._step(len(quote))
        while len(quote) == 3 and self.text.startswith(sign, self.at):
            self._step()


def _names(dotted: str) -> list[str]:
    """The names of a dotted key, unquoted by the reader that knows how."""
    names: list[str] = []
    found: object = tomllib.loads(f"{dotted} = 0")
    while isinstance(found, dict):
        name, found = next(iter(found.items()))
        names.append(name)
    return names
