"""The finish sheet: what a deck's traces say, with the same charts as the page."""

from dataclasses import dataclass

from castworthy.reports.code import code_svg
from castworthy.reports.parts import BarGroup, Fact, Imprint
from castworthy.reports.press import set_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishTrace:
    """One trace: where, what made the surface, its parameters, its three charts."""

    title: str
    about: str
    past: str
    cause: str
    conditions: str
    warnings: tuple[str, ...]
    parameters: tuple[Fact, ...]
    profile_svg: str
    ratio_svg: str
    spectrum_svg: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishPaper:
    """What a finish sheet says.

    ``deck_svg`` shows where the traces were taken, ``bars`` what decides on each face, ``cure``
    the feed in a sentence.
    """

    imprint: Imprint
    tag: str
    address: str
    title: str
    facts: tuple[Fact, ...]
    summary: str
    rule: str
    deck_svg: str
    bars: tuple[BarGroup, ...]
    cure: str
    traces: tuple[FinishTrace, ...]
    cautions: tuple[str, ...] = ()
    last_word: str = ""


def finish_pdf(paper: FinishPaper) -> bytes:
    """Set a finish sheet on A4 or Letter, as the imprint says."""
    return set_paper("finish", paper, made_at=paper.imprint.made_at, code=code_svg(paper.address))
