"""What is wrong with a file a person wrote: every finding of one pass, each one sentence."""

from collections.abc import Iterable
from dataclasses import dataclass

MOST_SHOWN_COUNT = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing wrong with a file, and where: line and column from 1, key as written."""

    file: str
    line: int | None
    key: str
    sentence: str
    column: int | None = None

    def __str__(self) -> str:
        where = [self.file]
        if self.line is not None:
            where.append(f"line {self.line}")
        if self.column is not None:
            where.append(f"column {self.column}")
        if self.key:
            where.append(self.key)
        return f"{', '.join(where)}: {self.sentence}"


class SheetError(ValueError):
    """A spec sheet, a readings file or a gauges file cannot be taken as it is.

    ``findings`` holds everything found wrong; the text shows the first twenty, one a line.
    """

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__(self._text())

    def _text(self) -> str:
        shown = [str(finding) for finding in self.findings[:MOST_SHOWN_COUNT]]
        rest = len(self.findings) - MOST_SHOWN_COUNT
        if rest > 0:
            shown.append(f"... and {rest} more {'finding' if rest == 1 else 'findings'}.")
        return "\n".join(shown)

    def __reduce__(self) -> tuple[type["SheetError"], tuple[tuple[Finding, ...]]]:
        return type(self), (self.findings,)
