"""All readings of one head against its sheet."""

from collections.abc import Sequence
from dataclasses import dataclass

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.loads import FROM_SPRING_HEIGHT, derived_readings
from castworthy.calc.decision.slips import Slip, ask_slips
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.deck.derive import form_readings
from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.quantity import FACTS, Quantity, Site


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadReadings:
    """What the readings of a head say, each against its limit, in the sheet's order.

    ``missing`` are the places a limit of the sheet asks a reading of and none was given.
    """

    judgements: tuple[Judgement, ...]
    missing: tuple[tuple[Quantity, str], ...]
    slips: tuple[Slip, ...]

    @property
    def outside(self) -> tuple[Judgement, ...]:
        """The readings outside their limits."""
        return tuple(j for j in self.judgements if j.verdict is Verdict.OUTSIDE)

    @property
    def close(self) -> tuple[Judgement, ...]:
        """The readings too close to call."""
        return tuple(j for j in self.judgements if j.verdict is Verdict.CLOSE)


def judge_readings(sheet: HeadSheet, *, readings: Sequence[Reading]) -> HeadReadings:
    """Judge every reading of a head, say which are missing and which look like slips.

    Raises
    ------
    InputError
        If a place is read twice for one quantity (average repeats first) or is none of the
        sheet's.

    """
    _check(sheet, readings=readings)
    confidence = sheet.work.confidence_probability
    order = {site: i for i, site in enumerate(_all_sites(sheet))}
    every = sorted(
        (
            *readings,
            *derived_readings(sheet, readings=readings),
            *form_readings(sheet, readings=readings),
        ),
        key=lambda reading: order[reading.quantity, reading.place],
    )
    judgements = tuple(
        judge(reading, limit=limit, confidence_probability=confidence)
        for reading in every
        if (limit := sheet.limit_for(reading.quantity, place=reading.place)) is not None
    )
    read = {(reading.quantity, reading.place) for reading in every}
    return HeadReadings(
        judgements=judgements,
        missing=tuple(site for site in required_sites(sheet) if site not in read),
        slips=_slips(sheet, readings=readings),
    )


def required_sites(sheet: HeadSheet) -> tuple[tuple[Quantity, str], ...]:
    """Every (quantity, place) a limit of the sheet asks a bench reading of, in walking order.

    Quantities proved by a test at the end are left out; loads and coil bind ask for the
    spring height instead where the sheet gives the spring.
    """
    wanted: dict[tuple[Quantity, str], None] = {}
    for quantity, place in _all_sites(sheet):
        if FACTS[quantity].tested or sheet.limit_for(quantity, place=place) is None:
            continue
        wanted[_asked(sheet, quantity=quantity, place=place), place] = None
    return tuple(site for site in _all_sites(sheet) if site in wanted)


def neighbours_of(
    sheet: HeadSheet, *, quantity: Quantity, place: str, readings: Sequence[Reading]
) -> tuple[float, ...]:
    """Values of the same quantity at the head's other places; of the same kind of valve only.

    Parameters
    ----------
    sheet : HeadSheet
        The head's sheet.
    quantity : Quantity
        The quantity.
    place : str
        The place whose neighbours are asked for.
    readings : sequence of Reading
        Readings of the head, in the units of their quantities.

    References
    ----------
    No outside source.

    """
    return tuple(
        reading.value
        for reading in readings
        if reading.quantity is quantity
        and reading.place != place
        and _kind(sheet, quantity, reading.place) == _kind(sheet, quantity, place)
    )


def _slips(sheet: HeadSheet, *, readings: Sequence[Reading]) -> tuple[Slip, ...]:
    kinds = {valve.name: valve.kind for valve in sheet.valves}
    groups: dict[tuple[Quantity, str], list[Reading]] = {}
    for reading in readings:
        kind = kinds[reading.place] if FACTS[reading.quantity].site is Site.VALVE else ""
        groups.setdefault((reading.quantity, kind), []).append(reading)
    return tuple(
        slip
        for group in groups.values()
        for reading in group
        for slip in ask_slips(
            reading,
            limit=sheet.limit_for(reading.quantity, place=reading.place),
            neighbours=[other.value for other in group if other is not reading],
        )
    )


def _kind(sheet: HeadSheet, quantity: Quantity, place: str) -> str:
    return sheet.valve(place).kind if FACTS[quantity].site is Site.VALVE else ""


def _asked(sheet: HeadSheet, *, quantity: Quantity, place: str) -> Quantity:
    if quantity in FROM_SPRING_HEIGHT and sheet.spring_for(place) is not None:
        return Quantity.SPRING_HEIGHT
    return quantity


def _all_sites(sheet: HeadSheet) -> list[tuple[Quantity, str]]:
    return [(quantity, place) for quantity in Quantity for place in sheet.sites_of(quantity)]


def _check(sheet: HeadSheet, *, readings: Sequence[Reading]) -> None:
    known = set(_all_sites(sheet))
    seen: set[tuple[Quantity, str]] = set()
    for reading in readings:
        site = (reading.quantity, reading.place)
        if site not in known:
            raise InputError(
                f"{reading.quantity} cannot be read at {reading.place!r}: sheet {sheet.code} "
                "has no such place."
            )
        if site in seen:
            raise InputError(
                f"{reading.quantity} at {reading.place!r} is given twice; average repeats first."
            )
        seen.add(site)
