"""The surface traces of an exported head."""

from base64 import b64encode
from typing import Any

from castworthy.records.models import Head, Trace

TRACE_FIELDS = (
    "face",
    "place",
    "x_mm",
    "y_mm",
    "file_name",
    "digest",
    "profile_number",
    "machine",
    "feed_set_mm",
    "nose_mm",
    "turning_rpm",
    "ra_um",
    "rz_um",
    "wt_um",
    "u_ra_um",
    "u_rz_um",
    "result",
    "software",
    "operations_done_count",
)
"""What an exported trace and its row name alike."""


def traces_told(head: Head) -> list[dict[str, Any]]:
    """Every trace of a head, those set aside too, each with its file."""
    rows = Trace.objects.filter(head=head).select_related("gauge", "by", "set_aside")
    return [_trace(row) for row in rows.order_by("id")]


def _trace(row: Trace) -> dict[str, Any]:
    """A trace with its file as the instrument wrote it."""
    with row.file.open("rb") as file:
        content = b64encode(file.read()).decode()
    aside = getattr(row, "set_aside", None)
    return {
        "uuid": str(row.uuid),
        **{name: getattr(row, name) for name in TRACE_FIELDS},
        "content_base64": content,
        "gauge": row.gauge.name if row.gauge else "",
        "set_aside": aside.why if aside else "",
        "by": str(row.by),
        "at": row.at.isoformat(),
    }
