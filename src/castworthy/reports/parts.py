"""What several papers share: the shop at the top, facts, bars, the imprint at the foot.

Every text is as a person reads it, figures already in their units.  ``svg`` fields hold
pictures from ``charts`` in ``Theme.PRINT``; an empty one is left out.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from castworthy.calc.decision.verdict import Verdict


class PaperSize(StrEnum):
    """The sheet a paper is printed on."""

    A4 = "a4"
    LETTER = "us-letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """Whose paper it is."""

    name: str
    address: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Imprint:
    """Where and when a paper was made.

    ``made_at`` goes into the file (so that the same input gives the same bytes), ``made`` is
    what the foot says: "Printed 14 Mar 2026 10:41 by Ana Ruse".
    """

    shop: Shop
    made_at: datetime
    made: str
    software: str = ""
    size: PaperSize = PaperSize.A4


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One labelled line about the head."""

    label: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrackRow:
    """One place a crack was found at, numbered as its mark on the map.

    ``photo`` is a JPEG or PNG file's bytes, empty where there is none; ``told`` who found it and
    when.
    """

    number: int
    words: str
    photo: bytes = b""
    photo_about: str = ""
    told: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarRow:
    """One quantity at one place before and after, with its bar.

    ``verdict`` is that of the value after (of the value before where there is no other).
    """

    name: str
    before: str
    after: str = ""
    verdict: Verdict = Verdict.INSIDE
    svg: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarGroup:
    """Bars of one quantity under one heading, which says unit and limit."""

    title: str
    about: str
    rows: tuple[BarRow, ...]
