"""What is measured on a head: the quantities, where each is read, in which unit calc holds it."""

from dataclasses import dataclass
from enum import StrEnum


class Site(StrEnum):
    """What kind of place a quantity is read at."""

    VALVE = "valve"
    CYLINDER = "cylinder"
    THICKNESS = "thickness"
    HEIGHT = "height"
    HEAD = "head"


class Quantity(StrEnum):
    """Every quantity a sheet can limit or a reading can carry."""

    HEIGHT = "height"
    RECESSION = "recession"
    DECK_THICKNESS = "deck_thickness"
    HEAD_HEIGHT = "head_height"
    FLATNESS = "flatness"
    LOCAL_FLATNESS = "local_flatness"
    FINISH_RA = "finish_ra"
    FINISH_RZ = "finish_rz"
    WAVINESS_WT = "waviness_wt"
    TIP_HEIGHT = "tip_height"
    SPRING_HEIGHT = "spring_height"
    SEAT_LOAD = "seat_load"
    OPEN_LOAD = "open_load"
    COIL_BIND = "coil_bind"
    MARGIN = "margin"
    SEAT_WIDTH = "seat_width"
    SEAT_RUNOUT = "seat_runout"
    GUIDE_CLEARANCE = "guide_clearance"
    INJECTOR_PROTRUSION = "injector_protrusion"
    CHAMBER_VOLUME = "chamber_volume"
    RING_STAND = "ring_stand"
    VACUUM_HOLD = "vacuum_hold"
    PRESSURE_HOLD = "pressure_hold"


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityFacts:
    """What a quantity is: where it is read, in which unit calc holds it, what people call it.

    ``suffix`` is the unit suffix of its value ("mm", "um", "n", "cm3", "kpa").
    ``sided`` quantities are entered with a side (below, flush or above the deck).
    ``tested`` quantities are proved at the end, not measured on the bench.
    """

    site: Site
    suffix: str
    title: str
    sided: bool = False
    tested: bool = False


FACTS: dict[Quantity, QuantityFacts] = {
    Quantity.HEIGHT: QuantityFacts(site=Site.HEIGHT, suffix="mm", title="Deck heights"),
    Quantity.RECESSION: QuantityFacts(site=Site.VALVE, suffix="mm", title="Recession", sided=True),
    Quantity.DECK_THICKNESS: QuantityFacts(
        site=Site.THICKNESS, suffix="mm", title="Deck thickness"
    ),
    Quantity.HEAD_HEIGHT: QuantityFacts(site=Site.HEAD, suffix="mm", title="Head height"),
    Quantity.FLATNESS: QuantityFacts(site=Site.HEAD, suffix="mm", title="Flatness"),
    Quantity.LOCAL_FLATNESS: QuantityFacts(site=Site.HEAD, suffix="mm", title="Local flatness"),
    Quantity.FINISH_RA: QuantityFacts(site=Site.HEAD, suffix="um", title="Finish Ra"),
    Quantity.FINISH_RZ: QuantityFacts(site=Site.HEAD, suffix="um", title="Finish Rz"),
    Quantity.WAVINESS_WT: QuantityFacts(site=Site.HEAD, suffix="um", title="Waviness Wt"),
    Quantity.TIP_HEIGHT: QuantityFacts(site=Site.VALVE, suffix="mm", title="Tip height"),
    Quantity.SPRING_HEIGHT: QuantityFacts(site=Site.VALVE, suffix="mm", title="Spring height"),
    Quantity.SEAT_LOAD: QuantityFacts(site=Site.VALVE, suffix="n", title="Seat load"),
    Quantity.OPEN_LOAD: QuantityFacts(site=Site.VALVE, suffix="n", title="Open load"),
    Quantity.COIL_BIND: QuantityFacts(site=Site.VALVE, suffix="mm", title="Coil-bind margin"),
    Quantity.MARGIN: QuantityFacts(site=Site.VALVE, suffix="mm", title="Valve margin"),
    Quantity.SEAT_WIDTH: QuantityFacts(site=Site.VALVE, suffix="mm", title="Seat width"),
    Quantity.SEAT_RUNOUT: QuantityFacts(site=Site.VALVE, suffix="mm", title="Seat run-out"),
    Quantity.GUIDE_CLEARANCE: QuantityFacts(site=Site.VALVE, suffix="mm", title="Guide clearance"),
    Quantity.INJECTOR_PROTRUSION: QuantityFacts(
        site=Site.CYLINDER, suffix="mm", title="Injector protrusion", sided=True
    ),
    Quantity.CHAMBER_VOLUME: QuantityFacts(
        site=Site.CYLINDER, suffix="cm3", title="Chamber volume"
    ),
    Quantity.RING_STAND: QuantityFacts(site=Site.CYLINDER, suffix="mm", title="Ring stand"),
    Quantity.VACUUM_HOLD: QuantityFacts(
        site=Site.VALVE, suffix="kpa", title="Vacuum held", tested=True
    ),
    Quantity.PRESSURE_HOLD: QuantityFacts(
        site=Site.HEAD, suffix="kpa", title="Pressure held", tested=True
    ),
}
"""Facts of every quantity.  Vacuum and pressure are the results of the proof tests."""
