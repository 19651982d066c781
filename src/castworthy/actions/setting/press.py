"""What every paper shares."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from castworthy import __version__
from castworthy.calc.decision.phrases import own_show, side_of
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.head import Limit
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.charts.theme import Theme
from castworthy.records.lookups.heads import HeadFacts
from castworthy.records.lookups.people import shop
from castworthy.records.models import Person
from castworthy.reports.parts import Fact, Imprint, PaperSize, Shop
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """Who prints, when, for whom to read: what the words of a paper depend on.

    ``address`` is the head's page, for the code on the paper.
    """

    by: Person
    at: datetime
    address: str
    size: PaperSize

    @property
    def show(self) -> Show:
        """The printing person's units."""
        return Show(length=self.by.show_length)

    @property
    def imprint(self) -> Imprint:
        """Shop at the top, maker at the foot."""
        place = shop()
        return Imprint(
            shop=Shop(name=place.name, address=place.address, phone=place.phone),
            made_at=self.at,
            made=f"Printed {moment(self.at)} by {self.by}",
            software=f"Castworthy {__version__}",
            size=self.size,
        )


def size_for(by: Person, *, asked: str) -> PaperSize:
    """The sheet asked for; else A4 for people who read millimetres, Letter for the others."""
    if asked in set(PaperSize):
        return PaperSize(asked)
    return PaperSize.A4 if Show(length=by.show_length).metric else PaperSize.LETTER


def moment(at: datetime) -> str:
    """``14 Mar 2026 10:41`` in the shop's own zone."""
    local = timezone.localtime(at)
    return f"{local.day} {local:%b %Y %H:%M}"


def day(at: datetime) -> str:
    """``14 Mar 10:41`` in the shop's own zone."""
    local = timezone.localtime(at)
    return f"{local.day} {local:%b %H:%M}"


def figure(value: float, *, quantity: Quantity, show: Show) -> str:
    """A figure for a column that names the unit; a side only where it is the unusual one."""
    own = own_show(show, quantity=quantity)
    side = side_of(value, quantity=quantity)
    number = own.number(abs(value) if side else value, suffix=FACTS[quantity].suffix)
    usual = "above the deck" if quantity is Quantity.INJECTOR_PROTRUSION else "below the deck"
    return number if side in {"", usual} else f"{number} {side.partition(' ')[0]}"


def unit(quantity: Quantity, *, show: Show) -> str:
    """The unit a quantity's column is in."""
    return own_show(show, quantity=quantity).unit(FACTS[quantity].suffix)


UNIT_WORDS = {"in": "inches", "thou": "thou", "mm": "millimetres"}


def unit_words(show: Show, *, difference: bool = False) -> str:
    """The length unit spelled out, for a caption: "inches"."""
    return UNIT_WORDS[show.unit("mm", difference=difference)]


def share(probability: float) -> str:
    """A probability as a person reads it, never rounded up to certainty."""
    if probability > 0.999:
        return "better than 99.9 %"
    if probability < 0.001:
        return "under 0.1 %"
    return f"{probability * 100:.1f} %"


def bar(limit: Limit | None, *, quantity: Quantity, marks: Sequence[BarMark], show: Show) -> str:
    """A limit bar for print; empty where no limit rules."""
    if limit is None or not marks:
        return ""
    return limit_bar(
        LimitBar(
            low=limit.low,
            high=limit.high,
            aim=limit.aim,
            marks=tuple(marks),
            suffix=FACTS[quantity].suffix,
            show=own_show(show, quantity=quantity),
        ),
        theme=Theme.PRINT,
    )


def facts_of(head: HeadFacts) -> tuple[Fact, ...]:
    """The head's top lines."""
    rows = (
        ("kind", head.kind_words),
        ("from" if head.lot_code else "customer", _origin(head)),
        ("mark", head.mark),
        ("spec sheet", f"{head.sheet_code} revision {head.revision_number}"),
        ("taken in", f"{moment(head.taken_in_at)} by {head.taken_in_by}"),
        ("asked for", head.asked),
        ("its owner says", head.history),
    )
    return tuple(Fact(label=label, value=value) for label, value in rows if value)


def verdict(text: str) -> Verdict:
    """A stored verdict; inside where no limit rules."""
    return Verdict(text) if text else Verdict.INSIDE


def _origin(head: HeadFacts) -> str:
    return f"{head.supplier}, lot {head.lot_code}" if head.lot_code else head.customer
