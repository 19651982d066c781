"""The photos of an exported head."""

from base64 import b64encode
from typing import Any

from castworthy.records.models import Head, Photo

PHOTO_FIELDS = ("uuid", "width", "height", "digest", "caption")
"""What an exported photo and its row name alike."""


def photos_told(head: Head) -> list[dict[str, Any]]:
    """Every photo of a head, oldest first, each with its file."""
    rows = Photo.objects.filter(head=head).select_related("reading", "by")
    return [_photo(row) for row in rows.order_by("id")]


def _photo(row: Photo) -> dict[str, Any]:
    with row.file.open("rb") as file:
        content = b64encode(file.read()).decode()
    return {
        "uuid": str(row.uuid),
        "width": row.width,
        "height": row.height,
        "digest": row.digest,
        "caption": row.caption,
        "content_base64": content,
        "reading": str(row.reading.uuid) if row.reading else None,
        "by": str(row.by),
        "at": row.at.isoformat(),
    }
