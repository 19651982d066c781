"""The tag that hangs on the metal: 100 x 60 mm, number and code large."""

from dataclasses import dataclass

from castworthy.reports.code import code_svg
from castworthy.reports.parts import Imprint
from castworthy.reports.press import set_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class TagPaper:
    """What a tag says.  ``address`` is what its code opens, ``condition`` "bare" or "loaded"."""

    imprint: Imprint
    tag: str
    address: str
    title: str
    kind: str
    condition: str = ""
    customer: str = ""
    supplier: str = ""
    lot: str = ""
    mark: str = ""
    taken_in: str = ""
    asked: str = ""


def tag_pdf(paper: TagPaper) -> bytes:
    """Set a tag on one page of 100 x 60 mm."""
    return set_paper("tag", paper, made_at=paper.imprint.made_at, code=code_svg(paper.address))
