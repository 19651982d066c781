"""Printing papers: each print is a deed, so that the trail says which papers are about."""

from castworthy.actions.deed import EVERYBODY, deed
from castworthy.actions.errors import DeedRefused
from castworthy.actions.setting.claim import claim_paper
from castworthy.actions.setting.deck import deck_paper
from castworthy.actions.setting.finish import finish_paper
from castworthy.actions.setting.groove import groove_paper
from castworthy.actions.setting.press import Press, moment, size_for
from castworthy.actions.setting.release import release_paper
from castworthy.actions.setting.traveller import traveller_paper
from castworthy.records.lookups.heads import head_facts
from castworthy.records.models import Person, Release
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for
from castworthy.reports.claim import claim_pdf
from castworthy.reports.deck import deck_pdf
from castworthy.reports.finish import finish_pdf
from castworthy.reports.groove import groove_pdf
from castworthy.reports.release import release_pdf
from castworthy.reports.tag import TagPaper, tag_pdf
from castworthy.reports.traveller import traveller_pdf


def print_tag(*, tag: str, address: str, by: Person, size: str = "") -> bytes:
    """The tag of a head as PDF; ``address`` is its page, for the code."""
    with deed("tag printed", by=by, may=EVERYBODY) as told:
        head = head_facts(tag)
        told.about(head=head_row(tag), subject=tag)
        press = Press(by=by, at=told.at, address=address, size=size_for(by, asked=size))
        return tag_pdf(
            TagPaper(
                imprint=press.imprint,
                tag=tag,
                address=address,
                title=head.sheet_title,
                kind=head.kind,
                condition="loaded" if head.loaded else "bare",
                customer=head.customer,
                supplier=head.supplier,
                lot=head.lot_code,
                mark=head.mark,
                taken_in=moment(head.taken_in_at),
                asked=head.asked,
            )
        )


def print_traveller(*, tag: str, address: str, by: Person, size: str = "") -> bytes:
    """The traveller of a head as PDF: the chosen work in order, with boxes to sign."""
    with deed("traveller printed", by=by, may=EVERYBODY) as told:
        told.about(head=head_row(tag), subject=tag)
        press = Press(by=by, at=told.at, address=address, size=size_for(by, asked=size))
        return traveller_pdf(traveller_paper(tag, press=press))


def print_release(*, tag: str, address: str, by: Person, size: str = "") -> bytes:
    """The release record of a head as PDF.

    Raises
    ------
    DeedRefused
        If it was not released.

    """
    with deed("release record printed", by=by, may=EVERYBODY) as told:
        head = head_row(tag)
        told.about(head=head, subject=tag)
        release = Release.objects.filter(head=head).first()
        if release is None:
            raise DeedRefused(
                f"{tag} is not released yet, so there is no record to print.", code="not released"
            )
        press = Press(by=by, at=told.at, address=address, size=size_for(by, asked=size))
        return release_pdf(
            release_paper(
                tag,
                content=release.content,
                digest=release.digest,
                sheet=sheet_for(head),
                press=press,
            )
        )


def print_claim(*, tag: str, address: str, by: Person, size: str = "") -> bytes:
    """The claim sheet of a head as PDF: every fault as received, with its evidence."""
    with deed("claim printed", by=by, may=EVERYBODY) as told:
        told.about(head=head_row(tag), subject=tag)
        press = Press(by=by, at=told.at, address=address, size=size_for(by, asked=size))
        return claim_pdf(claim_paper(tag, press=press))


def print_finish(*, tag: str, address: str, by: Person, size: str = "") -> bytes:
    """The finish sheet of a head as PDF: traces, verdicts, causes, the feed of the next cut."""
    with deed("finish sheet printed", by=by, may=EVERYBODY) as told:
        told.about(head=head_row(tag), subject=tag)
        press = Press(by=by, at=told.at, address=address, size=size_for(by, asked=size))
        return finish_pdf(finish_paper(tag, press=press))


def print_deck(*, tag: str, address: str, by: Person, size: str = "") -> bytes:
    """The deck sheet of a head as PDF: the height field, its figures, the least cut.

    Raises
    ------
    DeedRefused
        If the deck's heights are not all read.

    """
    with deed("deck sheet printed", by=by, may=EVERYBODY) as told:
        told.about(head=head_row(tag), subject=tag)
        press = Press(by=by, at=told.at, address=address, size=size_for(by, asked=size))
        return deck_pdf(deck_paper(tag, press=press))


def print_groove(*, tag: str, address: str, by: Person, size: str = "") -> bytes:
    """The groove set-up sheet of a head as PDF: grooves, joints, wire, boxes to fill in.

    Raises
    ------
    DeedRefused
        If the sheet has no sealing ring.

    """
    with deed("groove sheet printed", by=by, may=EVERYBODY) as told:
        told.about(head=head_row(tag), subject=tag)
        press = Press(by=by, at=told.at, address=address, size=size_for(by, asked=size))
        return groove_pdf(groove_paper(tag, press=press))
