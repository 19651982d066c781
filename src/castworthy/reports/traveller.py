"""The traveller that goes with a head from machine to machine."""

from dataclasses import dataclass

from castworthy.reports.code import code_svg
from castworthy.reports.parts import BarGroup, Fact, Imprint
from castworthy.reports.press import set_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """How a step was signed off: what was taken, by whom, when."""

    taken: str
    by: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TravellerStep:
    """One step of the work in order.

    ``figures`` are the places with what is taken or fitted there ("5B +8.2 thou"); ``total``
    stands large ("4.0 thou") where one figure rules the step.  ``done`` fills the sign-off box.
    """

    title: str
    total: str = ""
    figures: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    done: Done | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TravellerPaper:
    """What a traveller says.

    ``summary`` is the plan in one sentence, ``warning`` what must be known before starting
    (a plan that keeps only the bare limits, a limit no work can prove).  ``together`` is what to
    keep in hand when it is assembled and proved.
    """

    imprint: Imprint
    tag: str
    address: str
    title: str
    facts: tuple[Fact, ...]
    summary: str
    steps: tuple[TravellerStep, ...]
    warning: str = ""
    units: str = ""
    bars: tuple[BarGroup, ...] = ()
    measure_again: tuple[str, ...] = ()
    together: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    last_word: str = ""


def traveller_pdf(paper: TravellerPaper) -> bytes:
    """Set a traveller on A4 or Letter, as the imprint says."""
    return set_paper(
        "traveller", paper, made_at=paper.imprint.made_at, code=code_svg(paper.address)
    )
