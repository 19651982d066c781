"""The release record: what a head was, what was done, what it is, and who says so."""

from dataclasses import dataclass

from castworthy.calc.decision.verdict import Verdict
from castworthy.reports.code import code_svg
from castworthy.reports.parts import CrackRow, Fact, Imprint
from castworthy.reports.press import set_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One quantity at one place: as received and as shipped, with the verdict as shipped."""

    shipped: str
    received: str = ""
    verdict: Verdict = Verdict.INSIDE
    svg: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One place with a cell for each column of its table (``None`` where nothing is read)."""

    place: str
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTable:
    """Readings of places of one kind.  ``columns`` name quantity and unit: "Recession, in".

    One column, at most two, should carry bars; they are as wide as the paper allows.
    """

    title: str
    places: str
    columns: tuple[str, ...]
    rows: tuple[ReadingRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """What a quantity was judged by: limit, where it comes from, rule, gauges, people."""

    quantity: str
    limit: str
    source: str
    rule: str = ""
    gauges: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRow:
    """One operation as signed off."""

    what: str
    taken: str
    by: str
    at: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofRow:
    """One test with its conditions, its rule and what was found."""

    what: str
    conditions: str
    rule: str
    found: str
    passed: bool
    by: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PortLogs:
    """The vacuum logs of the ports in one picture, and what they say beside each other."""

    svg: str
    about: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SumRow:
    """One bench sum kept with the head: what it was, where, what it told, who worked it."""

    what: str
    told: str
    by: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleasePaper:
    """What a release record says.

    ``digest`` is the SHA-256 of the record's content in hexadecimal; ``verify`` says how to
    check it.  ``statement`` is the sentence the releaser's name stands under.
    """

    imprint: Imprint
    number: int
    tag: str
    address: str
    title: str
    facts: tuple[Fact, ...]
    statement: str
    tables: tuple[ReadingTable, ...]
    limits: tuple[LimitRow, ...]
    work: tuple[WorkRow, ...]
    tests: tuple[ProofRow, ...]
    not_checked: tuple[str, ...]
    released_by: str
    released_at: str
    digest: str
    parts: tuple[str, ...] = ()
    logs: PortLogs | None = None
    cracks: tuple[CrackRow, ...] = ()
    cracks_svg: str = ""
    sums: tuple[SumRow, ...] = ()
    deck_svg: str = ""
    deck_about: str = ""
    units: str = ""
    asked: str = ""
    warranty: str = ""
    verify: str = ""
    last_word: str = ""


def release_pdf(paper: ReleasePaper) -> bytes:
    """Set a release record on A4 or Letter, on as many pages as its readings need."""
    return set_paper(
        "release",
        paper,
        made_at=paper.imprint.made_at,
        code=code_svg(paper.address),
        digest_groups=digest_groups(paper.digest),
    )


def digest_groups(digest: str) -> tuple[str, ...]:
    """A digest in groups of four, as it is printed and read back aloud."""
    return tuple(digest[start : start + 4] for start in range(0, len(digest), 4))
