"""The tests of a head on paper: logs beside each other, the crack map, what the air's warmth took.

An older record, made before these stood in it, still verifies.
"""

from io import BytesIO

import pypdf
import pytest
from PIL import Image

from castworthy.actions import papers, proof
from castworthy.actions.leak_log import record_vacuum_log
from castworthy.actions.photos import add_photo
from castworthy.actions.release import release_head
from castworthy.records.crack_places import CrackTyped
from castworthy.records.leak_trial import LogTyped
from castworthy.records.lookups.release_content import verify_release
from castworthy.records.models import Head, Person, Photo, ProofTest, Release
from castworthy.records.plans import digest_of
from factories import shop

ADDRESS = "http://bench.example:8000/heads/F2-0001/"
TIGHT = "0 26.0\n5 26.0\n10 26.0\n15 25.9\n20 26.0\n25 25.9\n30 25.9"
LEAKS = "0 26.0\n5 25.8\n10 25.6\n15 25.4\n20 25.2\n25 25.0\n30 24.8"


def words_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def log(head: Head, by: Person, place: str, readings: str, *, gauge: str = "") -> None:
    typed = LogTyped(readings=readings, volume="250", u_volume="4 %", dead_head="27", gauge=gauge)
    record_vacuum_log(tag=head.tag, place=place, typed=typed, by=by)


def photo_of(head: Head, by: Person) -> Photo:
    picture = BytesIO()
    Image.new("RGB", (90, 60), "grey").save(picture, format="PNG")
    picture.seek(0)
    return add_photo(tag=head.tag, upload=picture, caption="Lamp at 2B", by=by)


@pytest.fixture
def cracked(head: Head, owner: Person) -> Head:
    """A head with a crack and a photo of it as received, clear after the work."""
    photo = photo_of(head, owner)
    places = (
        CrackTyped(where="2B", found="14 mm across the seat", photo=str(photo.uuid)),
        CrackTyped(where="8.0, 3.6", found="pores"),
    )
    proof.record_crack_check(
        tag=head.tag, method="dye penetrant", clear=False, places=places, by=owner
    )
    return head


def printed_release(head: Head, by: Person) -> str:
    return words_of(papers.print_release(tag=head.tag, address=ADDRESS, by=by))


def test_a_release_shows_the_logs_of_its_ports_and_the_odd_one(head: Head, owner: Person) -> None:
    shop.ready_to_leave(head.tag, by=owner)
    gauge = shop.add_vacuum_gauge(owner)
    for place in ("1A", "1B", "2A"):
        log(head, owner, place, TIGHT, gauge=gauge)
    log(head, owner, "2B", LEAKS, gauge=gauge)
    release = release_head(tag=head.tag, by=owner)
    text = printed_release(head, owner)

    assert "4 of 4 ports logged with VG-2; pump against a shut line 27.0 inHg." in text
    assert "2B is the odd one out of 4" in text
    assert "least 24.8 inHg at 2B" in text
    assert "One round hole" not in text  # the long words of a log are no line of a table
    assert [each["name"] for each in release.content["gauges"]] == ["VG-2"]
    assert verify_release(head.tag, digest=release.digest).matches


def test_a_log_whose_readings_were_changed_is_not_drawn(head: Head, owner: Person) -> None:
    shop.ready_to_leave(head.tag, by=owner)
    log(head, owner, "1A", TIGHT)
    release_head(tag=head.tag, by=owner)
    assert "1 of 4 ports logged" in printed_release(head, owner)
    row = ProofTest.objects.filter(conditions__has_key="log").get()
    row.conditions["log"]["pressure_kpa"][2] += 1.0
    ProofTest.objects.filter(pk=row.pk).update(conditions=row.conditions)
    assert "ports logged" not in printed_release(head, owner)


def test_cracks_found_on_the_way_stand_on_the_release(cracked: Head, owner: Person) -> None:
    shop.ready_to_leave(cracked.tag, by=owner)
    release = release_head(tag=cracked.tag, by=owner)
    text = printed_release(cracked, owner)
    (check,) = release.content["cracks"]

    assert "Cracks found on the way" in text
    assert "2B exhaust seat: 14 mm across the seat" in text
    assert "dye penetrant" in text
    assert check["places"][0]["photo_digest"] == Photo.objects.get().digest
    assert verify_release(cracked.tag, digest=release.digest).matches
    ProofTest.objects.filter(kind="crack", passed=False).update(found="nothing much")
    assert "cracks" in verify_release(cracked.tag, digest=release.digest).sentence


def test_a_record_older_than_its_newer_parts_still_verifies(head: Head, owner: Person) -> None:
    shop.ready_to_leave(head.tag, by=owner)
    release = release_head(tag=head.tag, by=owner)
    older = {key: value for key, value in release.content.items() if key != "cracks"}
    Release.objects.update(content=older, digest=digest_of(older))

    assert verify_release(head.tag, digest=digest_of(older)).matches
    assert "Vacuum, 4 ports" in printed_release(head, owner)


def test_a_claim_shows_each_crack_with_its_photo(cracked: Head, owner: Person) -> None:
    shop.measure_all(cracked.tag, by=owner)
    pdf = papers.print_claim(tag=cracked.tag, address=ADDRESS, by=owner)
    text = words_of(pdf)

    assert "The crack check (dye penetrant) found: 2B exhaust seat: 14 mm" in text
    assert "Cracks found as received" in text
    assert "dye penetrant, " in text
    shown = [image for page in pypdf.PdfReader(BytesIO(pdf)).pages for image in page.images]
    assert len(shown) == 1


def test_the_temperature_of_a_pressure_test_stands_on_the_release(
    head: Head, owner: Person
) -> None:
    shop.ready_to_leave(head.tag, by=owner)
    proof.record_pressure(
        tag=head.tag,
        medium="air",
        start="45 psi",
        held="44.2 psi",
        start_temperature="72 °F",
        end_temperature="66 °F",
        gauge=shop.add_vacuum_gauge(owner),
        by=owner,
    )
    release_head(tag=head.tag, by=owner)
    text = printed_release(head, owner)

    # Gay-Lussac: 59.7 psi absolute from 295.4 K to 292.0 K loses 0.67 psi of the 0.8.
    assert "air, 45.0 psi, 72 °F to 66 °F" in text
    assert "44.2 psi held; cooling took 0.7 psi" in text
