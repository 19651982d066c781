"""The deck sheet: the height field on the deck, its figures, and the least cut that cleans it."""

from dataclasses import dataclass

from castworthy.reports.code import code_svg
from castworthy.reports.parts import BarGroup, Fact, Imprint
from castworthy.reports.press import set_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckPaper:
    """What a deck sheet says.

    ``before_svg`` is the face as it is, ``after_svg`` what the planned cut leaves uncut (empty:
    no cut planned); ``lines`` are whole sentences.
    """

    imprint: Imprint
    tag: str
    address: str
    title: str
    facts: tuple[Fact, ...]
    summary: str
    past: str
    bars: tuple[BarGroup, ...]
    figures: tuple[Fact, ...]
    cleanup: tuple[Fact, ...]
    before_svg: str
    after_title: str
    after_svg: str
    along_svg: str
    across_svg: str
    lines: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    last_word: str = ""


def deck_pdf(paper: DeckPaper) -> bytes:
    """Set a deck sheet on A4 or Letter, as the imprint says."""
    return set_paper("deck", paper, made_at=paper.imprint.made_at, code=code_svg(paper.address))
