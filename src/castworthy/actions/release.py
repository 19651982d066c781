"""The deed a warranty rests on: releasing a head with its record."""

from django.db.models import Max

from castworthy.actions.deed import deed, head_for_work
from castworthy.actions.errors import DeedRefused
from castworthy.actions.steps import move_to
from castworthy.records.blocks import blocks_of
from castworthy.records.lookups.release_content import content_of
from castworthy.records.models import Outcome, Person, Release, Step
from castworthy.records.plans import digest_of
from castworthy.records.standing import standing_for


def release_head(*, tag: str, by: Person) -> Release:
    """Release a head: its record is numbered, kept with its digest, and never changed.

    Raises
    ------
    DeedRefused
        While anything required is missing, outside, too close to call or older than the work
        that changed it; ``details`` names each reason.

    """
    with deed("released", by=by) as told:
        head = head_for_work(tag)
        standing = standing_for(head)
        blocks = blocks_of(head, standing=standing)
        if blocks:
            more = f" And {len(blocks) - 1} more." if len(blocks) > 1 else ""
            raise DeedRefused(
                f"{tag} cannot be released: {blocks[0].sentence}{more}", code="blocked"
            )
        number = (Release.objects.aggregate(last=Max("number"))["last"] or 0) + 1
        content = content_of(head, number=number, by=str(by), at=told.at, standing=standing)
        release = Release.objects.create(
            head=head,
            number=number,
            content=content,
            digest=digest_of(content),
            by=by,
            at=told.at,
        )
        move_to(head, Step.RELEASE, at=told.at)
        head.outcome, head.ended_at = Outcome.RELEASED, told.at
        head.save(update_fields=("step", "step_since", "outcome", "ended_at"))
        told.about(head=head, subject=tag, number=number, digest=release.digest)
    return release
