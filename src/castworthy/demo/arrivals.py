"""The heads of the invented shop, and how far each has come."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum

from castworthy.calc.quantity import Quantity


class Reached(IntEnum):
    """How far a head has come; each includes those before."""

    DOOR = 0
    MEASURING = 1
    MEASURED = 2
    PLANNED = 3
    MACHINING = 4
    MACHINED = 5
    ASSEMBLING = 6
    ASSEMBLED = 7
    PROVING = 8
    PROVED = 9
    RELEASED = 10
    SENT_BACK = 11
    SCRAPPED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """One head: where from, how far, how many days ago it came.

    ``share`` of its readings are taken while it is measured; ``fixed`` readings [in] are as
    written here, the rest come from its maker's habit.  ``logged``: the vacuum of its ports is
    logged, not only read at the end.
    """

    tag: str
    sheet: str
    lot: str = ""
    customer: str = ""
    reached: Reached
    days: float
    share: float = 1.0
    history: str = ""
    asked: str = ""
    why: str = ""
    fixed: Mapping[tuple[Quantity, str], float] = field(default_factory=dict)
    until: tuple[Quantity, str] | None = None
    heights: bool = False
    logged: bool = False


_SCENE_THOU = {
    "1A": 40.6,
    "1B": 41.7,
    "1C": 39.3,
    "1D": 41.4,
    "2A": 42.8,
    "2B": 49.3,
    "2C": 44.4,
    "2D": 38.3,
    "3A": 40.7,
    "3B": 38.7,
    "3C": 38.5,
    "3D": 40.0,
    "4A": 41.1,
    "4B": 41.5,
    "4C": 41.8,
    "4D": 46.1,
    "5A": 42.7,
    "5B": 36.5,
    "5C": 30.9,
    "5D": 38.9,
    "6A": 39.2,
}
SCENE = {(Quantity.RECESSION, name): thou / 1000 for name, thou in _SCENE_THOU.items()}
"""The head at the bench this minute: one valve too deep, one too shallow, 6B next."""


def _small(
    first: int, reached: Reached, *rows: tuple[str, float], logged: bool = False
) -> tuple[Arrival, ...]:
    return tuple(
        Arrival(
            tag=f"F14-{first + at}",
            sheet="F14",
            lot=lot,
            reached=reached,
            days=days,
            logged=logged,
        )
        for at, (lot, days) in enumerate(rows)
    )


ARRIVALS: tuple[Arrival, ...] = (
    Arrival(
        tag="T66-0036",
        sheet="T66",
        lot="A3",
        reached=Reached.RELEASED,
        days=16.0,
        asked="Measure, bring inside the sheet, prove.",
        logged=True,
    ),
    Arrival(tag="T66-0039", sheet="T66", lot="7F", reached=Reached.MEASURED, days=6.2),
    Arrival(tag="T66-0041", sheet="T66", lot="7F", reached=Reached.MACHINING, days=4.3),
    Arrival(
        tag="T66-0042",
        sheet="T66",
        lot="7F",
        reached=Reached.MEASURING,
        days=2.1,
        fixed=SCENE,
        until=(Quantity.RECESSION, "6B"),
        heights=True,
    ),
    Arrival(tag="T66-0043", sheet="T66", lot="7F", reached=Reached.MEASURING, days=1.9, share=0.2),
    Arrival(tag="T66-0044", sheet="T66", lot="12", reached=Reached.DOOR, days=1.1),
    Arrival(tag="T66-0045", sheet="T66", lot="12", reached=Reached.DOOR, days=0.9),
    Arrival(
        tag="T66-0046",
        sheet="T66",
        customer="Harbour Dredging Co-operative",
        reached=Reached.MEASURING,
        days=0.4,
        share=0.06,
        history="Coolant lost on the quay, stopped within a minute.",
        asked="Say whether it is worth doing before anything is cut.",
    ),
    *_small(
        171,
        Reached.RELEASED,
        ("A3", 41.0),
        ("A3", 39.0),
        ("7F", 36.0),
        ("A3", 34.0),
        ("7F", 30.0),
        ("A3", 29.0),
        ("12", 27.0),
        ("A3", 22.0),
    ),
    *_small(181, Reached.SENT_BACK, ("12", 26.0), ("12", 23.0), ("12", 20.0)),
    Arrival(
        tag="F14-184",
        sheet="F14",
        customer="Ridge Farms",
        reached=Reached.SCRAPPED,
        days=18.0,
        why="Deck too thin over the passage after three earlier cuts.",
        history="Cut at least twice before.",
    ),
    *_small(190, Reached.PROVED, ("A3", 9.0), logged=True),
    *_small(191, Reached.PROVING, ("7F", 8.6), ("A3", 8.1)),
    *_small(193, Reached.ASSEMBLED, ("A3", 7.4)),
    *_small(194, Reached.ASSEMBLING, ("7F", 7.0), ("A3", 6.6)),
    *_small(196, Reached.MACHINED, ("12", 6.3)),
    *_small(197, Reached.MACHINING, ("7F", 5.9), ("12", 5.5)),
    *_small(199, Reached.PLANNED, ("7F", 5.1)),
    *_small(200, Reached.MEASURED, ("12", 4.8), ("A3", 4.5), ("7F", 3.9)),
    Arrival(
        tag="F14-203",
        sheet="F14",
        customer="Ridge Farms",
        reached=Reached.MEASURED,
        days=3.5,
        history="Overheated last summer; cut once before.",
    ),
    Arrival(tag="F14-204", sheet="F14", lot="12", reached=Reached.MEASURING, days=2.5, share=0.6),
    Arrival(tag="F14-205", sheet="F14", lot="A3", reached=Reached.MEASURING, days=1.5, share=0.3),
    *_small(206, Reached.DOOR, ("7F", 0.7), ("A3", 0.3)),
    Arrival(
        tag="F14-208",
        sheet="F14",
        customer="Ridge Farms",
        reached=Reached.DOOR,
        days=0.1,
        history="Sat in a barn for six years.",
    ),
)
