"""The measure page: the run sheet, one quantity's places, the gauges that read it."""

from dataclasses import dataclass

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.gauges import GaugeFacts, gauges_for
from castworthy.records.models import Reading
from castworthy.records.rows import head_row
from castworthy.records.standing import (
    QuantityCount,
    Spot,
    SpotStanding,
    Standing,
    standing_for,
    walk,
)
from castworthy.units import Show

_LATELY_COUNT = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherQuantity:
    """A quantity the sheet asks no reading of but has places for."""

    quantity: Quantity
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurePage:
    """What the bench shows.

    ``rows`` are the places of ``quantity`` in walking order, ``spot`` the one whose field waits
    (``None``: nothing is left to read and no place was asked for).  ``unit`` is the unit a bare
    number is read in, ``gauge`` the name of the gauge to start with, of ``gauges``.
    """

    tag: str
    sheet: HeadSheet
    standing: Standing
    counts: tuple[QuantityCount, ...]
    others: tuple[OtherQuantity, ...]
    quantity: Quantity
    rows: tuple[SpotStanding, ...]
    spot: Spot | None
    unit: str
    sided: bool
    gauges: tuple[GaugeFacts, ...]
    gauge: str


def measure_page(
    tag: str, *, show: Show, quantity: str = "", place: str | None = None
) -> MeasurePage:
    """The bench of one head, at ``quantity`` and ``place`` or at what is read next.

    Raises
    ------
    NotOnRecord
        If there is no such head, quantity or place.

    """
    head = head_row(tag)
    standing = standing_for(head)
    chosen = _quantity(quantity, standing=standing)
    rows = rows_of(standing, quantity=chosen)
    fitting = gauges_for(FACTS[chosen].suffix)
    return MeasurePage(
        tag=tag,
        sheet=standing.sheet,
        standing=standing,
        counts=standing.counts,
        others=_others(standing),
        quantity=chosen,
        rows=rows,
        spot=_spot(rows, place=place, quantity=chosen, sheet=standing.sheet),
        unit=show.unit(FACTS[chosen].suffix),
        sided=FACTS[chosen].sided,
        gauges=fitting,
        gauge=_usual_gauge(standing, quantity=chosen, gauges=fitting),
    )


def rows_of(standing: Standing, *, quantity: Quantity) -> tuple[SpotStanding, ...]:
    """Every place of a quantity, those never read and not required too."""
    return tuple(
        standing.by_spot.get(site.key)
        or SpotStanding(
            quantity=site.quantity,
            place=site.place,
            required=False,
            limit=site.limit,
            judgement=None,
            value=None,
            u=None,
            received=None,
            stale=False,
            stale_by=None,
            derived=False,
            current=(),
            history=(),
        )
        for site in walk(standing.sheet)
        if site.quantity is quantity
    )


def _quantity(name: str, *, standing: Standing) -> Quantity:
    if not name:
        if standing.next_place is not None:
            return standing.next_place.quantity
        return standing.counts[0].quantity if standing.counts else Quantity.RECESSION
    if name not in set(Quantity) or FACTS[Quantity(name)].tested:
        raise NotOnRecord(f"{name!r} is nothing that is measured at the bench.")
    return Quantity(name)


def _spot(
    rows: tuple[SpotStanding, ...], *, place: str | None, quantity: Quantity, sheet: HeadSheet
) -> Spot | None:
    if place is None:
        return next((row.spot for row in rows if not row.read and not row.derived), None)
    found = next((row.spot for row in rows if row.place == place), None)
    if found is None:
        raise NotOnRecord(f"Sheet {sheet.code} has no place {place!r} for {FACTS[quantity].title}.")
    return found


def _others(standing: Standing) -> tuple[OtherQuantity, ...]:
    listed = {count.quantity for count in standing.counts}
    more = dict.fromkeys(s.quantity for s in walk(standing.sheet) if s.quantity not in listed)
    return tuple(OtherQuantity(quantity=q, title=FACTS[q].title) for q in more)


def _usual_gauge(standing: Standing, *, quantity: Quantity, gauges: tuple[GaugeFacts, ...]) -> str:
    """The gauge this quantity was last read with: on this head, else lately on any."""
    names = {gauge.name for gauge in gauges}
    here = [taken for row in standing.of(quantity) for taken in row.history]
    here.sort(key=lambda taken: -taken.id)
    lately = Reading.objects.order_by("-id").values_list("quantity", "gauge__name")
    used = [taken.gauge for taken in here]
    used += [name for read, name in lately[:_LATELY_COUNT] if read == quantity]
    return next((name for name in used if name in names), "")
