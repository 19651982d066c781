"""The claim sheet a supplier gets: every fault with its evidence."""

from dataclasses import dataclass

from castworthy.calc.decision.verdict import Verdict
from castworthy.reports.code import code_svg
from castworthy.reports.parts import CrackRow, Fact, Imprint
from castworthy.reports.press import set_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One limit the head does not hold, and how that is known.

    ``sentence`` says it ("2B is too deep by 2.8 thou."), ``probability`` how sure it is that
    the limit holds ("0.3 %"); ``cause`` is what made it, where known; ``photo`` is a JPEG or PNG
    file's bytes.
    """

    name: str
    sentence: str
    limit: str
    source: str
    reading: str
    uncertainty: str
    probability: str
    gauge: str
    by: str
    at: str
    verdict: Verdict = Verdict.OUTSIDE
    svg: str = ""
    cause: str = ""
    photo: bytes = b""
    photo_about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One line of what the faults cost, in the shop's currency."""

    what: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimPaper:
    """What a claim sheet says.

    ``statement`` is what the shop claims, ``answer_wanted`` what it asks the supplier to do.
    """

    imprint: Imprint
    tag: str
    address: str
    title: str
    supplier: str
    lot: str
    facts: tuple[Fact, ...]
    statement: str
    faults: tuple[Fault, ...]
    cracks: tuple[CrackRow, ...] = ()
    cracks_svg: str = ""
    costs: tuple[CostLine, ...] = ()
    total: str = ""
    deck_svg: str = ""
    deck_about: str = ""
    not_judged: tuple[str, ...] = ()
    answer_wanted: str = ""
    signed_by: str = ""
    units: str = ""


def claim_pdf(paper: ClaimPaper) -> bytes:
    """Set a claim sheet on A4 or Letter, with as many pages as its faults need."""
    return set_paper("claim", paper, made_at=paper.imprint.made_at, code=code_svg(paper.address))
