"""What a release record holds: both states of the head and everything they rest on.

The content is plain JSON; its SHA-256 is the digest printed on the record.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from castworthy import __version__
from castworthy.calc.head import Limit
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.assembly import assembly_groups
from castworthy.records.crack_places import crack_places
from castworthy.records.errors import NotOnRecord
from castworthy.records.kept_sums import kept_sums_of
from castworthy.records.leak_logs import told_conditions
from castworthy.records.lookups.heads import origin_words
from castworthy.records.lookups.people import shop
from castworthy.records.models import (
    Gauge,
    Head,
    Operation,
    OperationState,
    Photo,
    Release,
    TestKind,
)
from castworthy.records.plans import digest_of
from castworthy.records.proving import proofs_of, tested_of
from castworthy.records.rows import head_row
from castworthy.records.standing import SpotStanding, Standing, standing_for, walk
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show

FORMAT = 1
_FROM_ROWS = ("readings", "work", "assembly", "tests", "cracks", "sums")
"""Parts of the content that are built again from the rows when a record is verified; those that
came later than a record are not asked of it.
"""

NOT_ASKED = (
    Quantity.FLATNESS,
    Quantity.LOCAL_FLATNESS,
    Quantity.FINISH_RA,
    Quantity.WAVINESS_WT,
    Quantity.GUIDE_CLEARANCE,
    Quantity.SEAT_RUNOUT,
    Quantity.SEAT_WIDTH,
    Quantity.SEAT_LOAD,
    Quantity.CHAMBER_VOLUME,
    Quantity.RING_STAND,
)
"""What a customer may expect to be checked and is told when the sheet does not ask for it."""


def content_of(
    head: Head, *, number: int, by: str, at: datetime, standing: Standing | None = None
) -> dict[str, Any]:
    """The content of a release record of this head."""
    standing = standing or standing_for(head)
    sheet = standing.sheet
    place = shop()
    tests = _tests(head, standing=standing)
    return {
        "format": FORMAT,
        "number": number,
        "shop": {"name": place.name, "address": place.address, "phone": place.phone},
        "warranty": place.warranty,
        "head": {
            "tag": head.tag,
            "mark": head.mark,
            "kind": head.kind,
            "loaded": head.loaded,
            "origin": origin_words(head),
            "history": head.history,
            "asked": head.asked,
            "taken_in_by": str(head.taken_in_by),
            "taken_in_at": head.taken_in_at.isoformat(),
        },
        "sheet": {
            "code": sheet.code,
            "title": sheet.title,
            "revision": head.revision.number,
            "digest": head.revision.digest,
            "confidence": sheet.work.confidence_probability,
        },
        "readings": [_reading(spot) for spot in standing.spots if _told(spot)],
        "work": _work(head),
        "assembly": _assembly(head),
        "tests": tests,
        "cracks": _cracks(head),
        "sums": _sums(head),
        "gauges": _gauges(standing, tests=tests),
        "not_checked": list(not_checked(standing)),
        "released": {"by": by, "at": at.isoformat()},
        "software": __version__,
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """What a check of a digest says."""

    tag: str
    matches: bool
    sentence: str


def verify_release(tag: str, *, digest: str) -> Verified:
    """Say whether a printed digest still matches the release record of a head.

    Spaces and capitals in the digest do not count.

    Raises
    ------
    NotOnRecord
        If there is no such head, or it was not released.

    """
    head = head_row(tag)
    release = Release.objects.filter(head=head).select_related("by").first()
    if release is None:
        raise NotOnRecord(f"{tag} was not released, so there is no record to compare with.")
    printed = "".join(digest.split()).lower()
    if printed != release.digest:
        return Verified(
            tag=tag,
            matches=False,
            sentence=f"The digest is not that of release {release.number} of {tag}: the paper or "
            "the record was changed, or a group was misread.",
        )
    if digest_of(release.content) != release.digest:
        return Verified(
            tag=tag,
            matches=False,
            sentence=f"The stored record of release {release.number} of {tag} was changed since "
            "it was signed; the paper is right.",
        )
    rebuilt = content_of(head, number=release.number, by=str(release.by), at=release.at)
    told = release.content
    moved = [
        part
        for part in _FROM_ROWS
        if part in told and _instants(rebuilt[part]) != _instants(told[part])
    ]
    if moved:
        return Verified(
            tag=tag,
            matches=False,
            sentence=f"The digest matches release {release.number} of {tag}, but rows behind it "
            f"were changed since: {', '.join(moved)}.",
        )
    return Verified(
        tag=tag,
        matches=True,
        sentence=f"The digest matches release {release.number} of {tag}, and nothing behind it "
        "was changed since.",
    )


def _instants(told: Any) -> Any:
    """What is told with every time as the moment it names, whatever zone it was written in."""
    if isinstance(told, list):
        return [_instants(each) for each in told]
    if isinstance(told, dict):
        return {name: _moment(name, value) for name, value in told.items()}
    return told


def _moment(name: str, value: Any) -> Any:
    if name == "at" and value:
        return datetime.fromisoformat(value)
    return _instants(value)


def _told(spot: SpotStanding) -> bool:
    return spot.value is not None and not spot.stale


def _reading(spot: SpotStanding) -> dict[str, Any]:
    last, judged, received = spot.last, spot.judgement, spot.received
    return {
        "quantity": spot.quantity.value,
        "place": spot.place,
        "unit": FACTS[spot.quantity].suffix,
        "received": None if received is None else {"value": received.value, "u": received.u},
        "shipped": {"value": spot.value, "u": spot.u},
        "verdict": judged.verdict.value if judged else "",
        "probability": judged.probability if judged else None,
        "limit": None if spot.limit is None else _limit(spot.limit),
        "gauge": last.gauge if last else "",
        "by": last.by if last else "",
        "at": last.at.isoformat() if last else "",
        "readings": len(spot.current),
    }


def _limit(limit: Limit) -> dict[str, Any]:
    return {
        "low": limit.low,
        "high": limit.high,
        "aim": limit.aim,
        "rule": limit.rule.value,
        "source": limit.source,
    }


def _work(head: Head) -> list[dict[str, Any]]:
    rows = Operation.objects.filter(head=head, state=OperationState.DONE).select_related("by")
    return [
        {
            "kind": row.kind,
            "place": row.place,
            "planned_mm": row.planned_mm,
            "taken_mm": row.taken_mm,
            "parts_mm": list(row.parts),
            "note": row.note,
            "by": str(row.by),
            "at": row.at.isoformat() if row.at else "",
        }
        for row in rows.order_by("done_number")
    ]


def _assembly(head: Head) -> list[dict[str, Any]]:
    groups = assembly_groups(head, sheet=sheet_for(head), show=Show())
    return [
        {"item": item.item, "place": item.place, "by": item.ticked.by}
        for group in groups
        for item in group.items
        if item.ticked is not None
    ]


def _tests(head: Head, *, standing: Standing) -> list[dict[str, Any]]:
    proofs = proofs_of(head, sheet=standing.sheet, worked=standing.worked)
    return [
        {
            "kind": proof.kind.value,
            "place": proof.place,
            "conditions": told_conditions(proof.latest.conditions),
            "rule": proof.latest.rule,
            "found": proof.latest.found,
            "passed": proof.latest.passed,
            "by": proof.latest.by,
            "at": proof.latest.at.isoformat(),
        }
        | ({"gauge": proof.latest.gauge} if proof.latest.gauge else {})
        for proof in proofs
        if proof.latest is not None
    ]


def _cracks(head: Head) -> list[dict[str, Any]]:
    """What earlier crack checks found, with the digests of its photos."""
    found = [test for test in tested_of(head) if test.kind is TestKind.CRACK and not test.passed]
    photos = {
        str(uuid): digest
        for uuid, digest in Photo.objects.filter(head=head).values_list("uuid", "digest")
    }
    return [
        {
            "method": test.conditions["method"],
            "found": test.found,
            "places": [
                place.stored | {"photo_digest": photos.get(place.photo, "")}
                for place in crack_places(test)
            ],
            "by": test.by,
            "at": test.at.isoformat(),
        }
        for test in found
    ]


def _sums(head: Head) -> list[dict[str, Any]]:
    """The kept sums that stand."""
    return [
        {
            "name": kept.worked.name,
            "title": kept.worked.title,
            "place": kept.worked.place,
            "headline": kept.worked.answer.headline,
            "by": kept.by,
            "at": kept.at.astimezone(UTC).isoformat(),
        }
        for kept in kept_sums_of(head)
        if kept.stands
    ]


def _gauges(standing: Standing, *, tests: list[dict[str, Any]]) -> list[dict[str, Any]]:
    used = {taken.gauge for spot in standing.spots for taken in spot.current if taken.gauge}
    used |= {test["gauge"] for test in tests if "gauge" in test}
    return [
        {
            "name": row.name,
            "reads": row.reads,
            "u": row.u,
            "unit": row.unit,
            "calibrated_until": row.calibrated_until.isoformat() if row.calibrated_until else "",
        }
        for row in Gauge.objects.filter(name__in=used).order_by("name")
    ]


def not_checked(standing: Standing) -> tuple[str, ...]:
    """What a customer may expect to be checked and the sheet does not ask for."""
    asked = {site.quantity for site in walk(standing.sheet) if site.limit is not None}
    read = {spot.quantity for spot in standing.spots if _told(spot)}
    left = [FACTS[quantity].title for quantity in NOT_ASKED if quantity not in asked | read]
    return tuple(f"{title}: the sheet sets no limit and nothing was read" for title in left)


def gauge_words(content: Mapping[str, Any], *, quantity: str) -> str:
    """The gauges a quantity was read with, for a limit's line."""
    names = {row["gauge"] for row in content["readings"] if row["quantity"] == quantity}
    return ", ".join(sorted(name for name in names if name))
