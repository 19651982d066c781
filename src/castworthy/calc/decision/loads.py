"""What a spring's height says without another reading: its loads and its room before coil bind."""

from collections.abc import Sequence

from castworthy.calc.head import HeadSheet, Reading, Spring
from castworthy.calc.quantity import Quantity

FROM_SPRING_HEIGHT = (Quantity.SEAT_LOAD, Quantity.OPEN_LOAD, Quantity.COIL_BIND)
"""Quantities that follow from the installed height where the sheet gives the spring."""


def derived_readings(sheet: HeadSheet, *, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Seat load, open load and coil-bind margin of valves whose spring height was read.

    A quantity that was read itself, or that the sheet does not limit, is not derived.

    References
    ----------
    Hooke's law with the sheet's rate; coil-bind margin = installed - lift - solid height.

    """
    read = {(r.quantity, r.place) for r in readings}
    return tuple(
        derived
        for reading in readings
        if reading.quantity is Quantity.SPRING_HEIGHT
        for quantity in FROM_SPRING_HEIGHT
        if (quantity, reading.place) not in read
        and sheet.limit_for(quantity, place=reading.place) is not None
        and (
            derived := _derived(reading, quantity=quantity, spring=sheet.spring_for(reading.place))
        )
    )


def _derived(reading: Reading, *, quantity: Quantity, spring: Spring | None) -> Reading | None:
    if spring is None:
        return None
    k = spring.rate_n_per_mm
    match quantity:
        case Quantity.SEAT_LOAD:
            value, slope = k * (spring.free_mm - reading.value), k
        case Quantity.OPEN_LOAD:
            value, slope = k * (spring.free_mm - reading.value + spring.lift_mm), k
        case _:
            value, slope = reading.value - spring.lift_mm - spring.solid_mm, 1.0
    return Reading(
        quantity=quantity,
        place=reading.place,
        value=value,
        u=None if reading.u is None else slope * reading.u,
        resolution=None if reading.resolution is None else slope * reading.resolution,
        repeats_count=reading.repeats_count,
        u_bias=slope * reading.u_bias,
        gauge=reading.gauge,
    )
