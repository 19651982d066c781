"""Deeds about photos."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import BinaryIO
from uuid import UUID, uuid4

from django.core.files.base import ContentFile
from PIL import Image, ImageOps, UnidentifiedImageError

from castworthy.actions.deed import WORKERS, check_role, deed, head_for_work
from castworthy.actions.entry import uuid_of
from castworthy.actions.errors import DeedRefused
from castworthy.actions.texts import short
from castworthy.records.models import Person, Photo, Reading

LARGEST_BYTES = 15 * 1024 * 1024
"""Largest file taken in."""
MOST_PIXELS = 60_000_000
"""Most pixels unpacked: more is no photo of a head but an attempt to fill the memory."""
LONGEST_EDGE = 2000
"""Longest edge kept, in pixels."""
FORMATS = ("JPEG", "PNG", "WEBP")
"""Kinds of file taken in."""
_QUALITY = 85
_WANTED = "send a JPEG, PNG or WebP photo"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Picture:
    content: bytes
    width: int
    height: int
    digest: str


def add_photo(
    *,
    tag: str,
    upload: BinaryIO,
    by: Person,
    uuid: str | UUID = "",
    caption: str = "",
    reading: str | UUID = "",
) -> Photo:
    """Keep a photo of a head, or of one of its readings (the reading's uuid).

    It is turned upright, brought down to 2000 pixels, stripped of everything the camera wrote
    into it, and stored as JPEG.  Sent again with the same ``uuid`` it is kept once.

    Raises
    ------
    DeedRefused
        If it is no photo, too large, or there is no such head or reading.

    """
    check_role(by, may=WORKERS)
    picture = _picture(upload)
    kept_uuid = uuid_of(uuid) if uuid else uuid4()
    with deed("photo added", by=by) as told:
        head = head_for_work(tag)
        prior = Photo.objects.filter(uuid=kept_uuid).first()
        if prior is not None:
            told.nothing_new()
            return _echo(prior, head_id=head.pk)
        photo = Photo(
            uuid=kept_uuid,
            head=head,
            reading=_reading(reading, head_id=head.pk) if reading else None,
            width=picture.width,
            height=picture.height,
            digest=picture.digest,
            caption=short(caption, field="caption", what="The caption", longest=120),
            by=by,
            at=told.at,
        )
        told.about(head=head, subject=photo.caption or tag, digest=picture.digest)
        with _file_of(photo, content=picture.content):
            photo.save()
    return photo


def _echo(prior: Photo, *, head_id: int) -> Photo:
    if prior.head_id != head_id:
        raise DeedRefused(
            "This photo's identity belongs to a photo of another head; send it anew.",
            field="uuid",
            code="uuid",
        )
    return prior


@contextmanager
def _file_of(photo: Photo, *, content: bytes) -> Iterator[None]:
    """Write the file, and take it away again when the row is not written."""
    photo.file.save(f"{photo.uuid}.jpg", ContentFile(content), save=False)
    try:
        yield
    except BaseException:
        photo.file.delete(save=False)
        raise


def _reading(uuid: str | UUID, *, head_id: int) -> Reading:
    row = Reading.objects.filter(uuid=uuid_of(uuid), head_id=head_id).first()
    if row is None:
        raise DeedRefused(
            "There is no such reading of this head; add the photo to the head.", field="reading"
        )
    return row


def _picture(upload: BinaryIO) -> _Picture:
    content = upload.read(LARGEST_BYTES + 1)
    if not content:
        raise DeedRefused(f"The file is empty; {_WANTED}.", field="upload")
    if len(content) > LARGEST_BYTES:
        raise DeedRefused(
            f"The photo is larger than {LARGEST_BYTES // 1024**2} MB; take it at a lower "
            "resolution.",
            field="upload",
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _upright(content)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many_pixels() from error
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError) as error:
        raise DeedRefused(
            f"This file is no photo that can be read; {_WANTED}.", field="upload"
        ) from error


def _upright(content: bytes) -> _Picture:
    with Image.open(BytesIO(content), formats=FORMATS) as opened:
        if opened.width * opened.height > MOST_PIXELS:
            raise _too_many_pixels()
        opened.draft("RGB", (LONGEST_EDGE, LONGEST_EDGE))
        turned = ImageOps.exif_transpose(opened)
        turned.thumbnail((LONGEST_EDGE, LONGEST_EDGE), Image.Resampling.LANCZOS)
        plain = _on_white(turned)
    out = BytesIO()
    plain.save(out, format="JPEG", quality=_QUALITY, optimize=True)
    kept = out.getvalue()
    return _Picture(
        content=kept,
        width=plain.width,
        height=plain.height,
        digest=sha256(kept).hexdigest(),
    )


def _on_white(image: Image.Image) -> Image.Image:
    """The bare pixels, on white where they let light through; nothing the camera wrote."""
    if image.has_transparency_data:
        layered = image.convert("RGBA")
        plain = Image.new("RGB", image.size, "white")
        plain.paste(layered, mask=layered.getchannel("A"))
        return plain
    plain = Image.new("RGB", image.size)
    plain.paste(image.convert("RGB"))
    return plain


def _too_many_pixels() -> DeedRefused:
    return DeedRefused(
        f"The photo has more than {MOST_PIXELS // 1_000_000} million pixels; take it at a lower "
        "resolution.",
        field="upload",
    )
