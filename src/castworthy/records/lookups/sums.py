"""What a head already knows of a bench sum: its sheet and what was read at a place."""

from collections.abc import Mapping
from dataclasses import dataclass

from castworthy.calc.head import Cylinder, HeadSheet, Spring, Valve
from castworthy.calc.quantity import Quantity
from castworthy.records.errors import NotOnRecord
from castworthy.records.rows import head_row
from castworthy.records.standing import standing_for


@dataclass(frozen=True, slots=True, kw_only=True)
class SumsHead:
    """A head beside a sum.

    ``place`` is a valve, a cylinder or empty; ``read`` holds what stands on record by quantity
    and place, in the unit of the quantity.
    """

    tag: str
    sheet: HeadSheet
    place: str
    read: Mapping[tuple[Quantity, str], float]

    @property
    def valve(self) -> Valve | None:
        """The valve of the place, ``None`` where it is none."""
        return next((each for each in self.sheet.valves if each.name == self.place), None)

    @property
    def cylinder(self) -> Cylinder | None:
        """The cylinder of the place or of its valve; the first where no place is named."""
        name = self.place if self.valve is None else self.valve.cylinder
        found = next((each for each in self.sheet.cylinders if each.name == name), None)
        return found if self.place else next(iter(self.sheet.cylinders), None)

    @property
    def spring(self) -> Spring | None:
        """The spring of the valve, or the sheet's only one."""
        if self.valve is not None:
            return self.sheet.spring_for(self.valve.name)
        return self.sheet.springs[0] if len(self.sheet.springs) == 1 else None

    def here(self, quantity: Quantity) -> float | None:
        """What stands on record at the place."""
        return self.read.get((quantity, self.place))


def places_of(sheet: HeadSheet) -> frozenset[str]:
    """The places a sum may be worked at: valves, cylinders, and the sheet's own spots."""
    return frozenset(
        each.name for places in (sheet.valves, sheet.cylinders, sheet.places) for each in places
    )


def sheet_for_sums(tag: str, *, place: str = "") -> SumsHead:
    """The sheet and the readings of a head, at one of its valves or cylinders.

    Raises
    ------
    NotOnRecord
        If there is no such head or place.

    """
    standing = standing_for(head_row(tag))
    sheet = standing.sheet
    if place and place not in places_of(sheet):
        raise NotOnRecord(f"Sheet {sheet.code} has no place {place!r}; choose one of its valves.")
    return SumsHead(
        tag=tag,
        sheet=sheet,
        place=place,
        read={
            (each.quantity, each.place): each.value
            for each in standing.by_spot.values()
            if each.read and each.value is not None
        },
    )
