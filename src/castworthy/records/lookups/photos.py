"""Photos of a head; their files are only handed out by pages behind the sign-in."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.utils import timezone

from castworthy.calc.decision.phrases import place_phrase
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.errors import NotOnRecord
from castworthy.records.models import Photo
from castworthy.records.rows import head_row


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFacts:
    """One photo; ``of_reading`` names the reading it belongs to, empty for the head."""

    uuid: UUID
    tag: str
    caption: str
    of_reading: str
    width: int
    height: int
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFile:
    """Where a photo lies, for the page that hands it out; always a JPEG."""

    path: Path
    digest: str


def photos_of(tag: str) -> tuple[PhotoFacts, ...]:
    """The photos of a head, newest first.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    rows = Photo.objects.filter(head=head_row(tag)).select_related("by", "reading")
    return tuple(_facts(row, tag=tag) for row in rows.order_by("-id"))


def photo_file(uuid: UUID) -> PhotoFile:
    """The file of a photo.

    Raises
    ------
    NotOnRecord
        If there is none, or its file is gone.

    """
    row = Photo.objects.filter(uuid=uuid).first()
    if row is None:
        raise NotOnRecord("There is no such photo on record.")
    path = Path(row.file.path)
    if not path.is_file():
        raise NotOnRecord("The file of this photo is gone from the data folder.")
    return PhotoFile(path=path, digest=row.digest)


def _facts(row: Photo, *, tag: str) -> PhotoFacts:
    reading = row.reading
    return PhotoFacts(
        uuid=row.uuid,
        tag=tag,
        caption=row.caption,
        of_reading=""
        if reading is None
        else f"{FACTS[Quantity(reading.quantity)].title} of "
        f"{place_phrase(Quantity(reading.quantity), place=reading.place)}",
        width=row.width,
        height=row.height,
        by=str(row.by),
        at=timezone.localtime(row.at),
    )
