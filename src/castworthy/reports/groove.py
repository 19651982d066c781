"""The groove set-up sheet: where every ring groove is cut, how, and where its wire begins."""

from dataclasses import dataclass

from castworthy.reports.code import code_svg
from castworthy.reports.parts import Fact, Imprint
from castworthy.reports.press import set_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveRow:
    """One groove: its centre from the datum corner, its edges, its joint, its wire."""

    cylinder: str
    x: str
    y: str
    inner: str
    outer: str
    joint: str
    stud: str
    cut: str
    land: str
    left: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRow:
    """One size of the fit: its figure, its span at worst and by root-sum-square."""

    name: str
    figure: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroovePaper:
    """What a groove set-up sheet says.

    ``cutter`` are the sizes to set, ``warnings`` what was cut or is planned and what is wrong,
    ``units`` the unit of the table's columns.
    """

    imprint: Imprint
    tag: str
    address: str
    title: str
    facts: tuple[Fact, ...]
    summary: str
    warnings: tuple[str, ...]
    datum: str
    units: str
    deck_svg: str
    cutter: tuple[Fact, ...]
    rows: tuple[GrooveRow, ...]
    joints: tuple[str, ...]
    fit: tuple[FitRow, ...]
    share: str
    wire: str
    practices: tuple[str, ...]
    cautions: tuple[str, ...]
    last_word: str


def groove_pdf(paper: GroovePaper) -> bytes:
    """Set a groove set-up sheet on A4 or Letter, as the imprint says."""
    return set_paper("groove", paper, made_at=paper.imprint.made_at, code=code_svg(paper.address))
