"""Nothing leaves unproved; what leaves can be checked later."""

from uuid import uuid4

import pytest

from castworthy.actions import papers
from castworthy.actions.errors import DeedRefused
from castworthy.actions.kept_sums import keep_sum, take_back_sum
from castworthy.actions.release import release_head
from castworthy.actions.work import sign_operation
from castworthy.records.blocks import release_blocks
from castworthy.records.lookups.release_content import verify_release
from castworthy.records.models import Head, KeptSum, Operation, Person, ProofTest, Release
from castworthy.records.plans import digest_of
from factories import shop
from factories.sums import seat_sunk

SHALLOW = {("recession", "2B"): "0.0270 in"}


@pytest.fixture
def ready(head: Head, owner: Person) -> Head:
    shop.ready_to_leave(head.tag, by=owner, other=SHALLOW)
    head.refresh_from_db()
    return head


def sentences(head: Head) -> list[str]:
    return [block.sentence for block in release_blocks(head.tag)]


def test_a_ready_head_leaves_with_a_numbered_record(ready: Head, machinist: Person) -> None:
    assert (ready.step, sentences(ready)) == ("release", [])
    release = release_head(tag=ready.tag, by=machinist)
    ready.refresh_from_db()

    assert (release.number, ready.outcome) == (1, "released")
    assert release.digest == digest_of(release.content)
    assert len(release.digest) == 64


def test_the_record_holds_both_states_and_what_was_taken(ready: Head, machinist: Person) -> None:
    content = release_head(tag=ready.tag, by=machinist).content
    cut = next(r for r in content["readings"] if (r["quantity"], r["place"]) == ("recession", "2B"))
    seat = next(w for w in content["work"] if w["kind"] == "seat")

    assert cut["received"]["value"] == pytest.approx(0.0270 * 25.4)
    assert cut["shipped"]["value"] == pytest.approx(0.0390 * 25.4)
    assert cut["verdict"] == "inside"
    assert cut["limit"]["source"] == "invented for the tests"
    assert seat["taken_mm"] >= 0.0055 * 25.4 - 1e-9
    assert {test["kind"] for test in content["tests"]} == {"crack", "pressure", "vacuum"}


def test_an_untouched_head_is_blocked_by_everything(head: Head, machinist: Person) -> None:
    told = sentences(head)

    assert "Recession of valve 1A is not measured." in told
    assert "The pressure test is not done." in told
    assert any(sentence.startswith("The assembly list is open") for sentence in told)
    with pytest.raises(DeedRefused, match=r"cannot be released: .* And \d+ more\."):
        release_head(tag=head.tag, by=machinist)
    assert not Release.objects.exists()


def test_readings_before_later_work_block_and_are_named(ready: Head, machinist: Person) -> None:
    late = Operation.objects.create(
        head=ready, position=99, kind="seat", place="1A", planned_mm=0.05
    )
    sign_operation(operation_id=late.pk, by=machinist)
    told = sentences(ready)

    assert "Recession of valve 1A was read before the seat 1A changed it; read it again." in told
    assert "The vacuum test of 1A was done before the seat 1A; do it again." in told
    assert not any("valve 1B" in sentence for sentence in told)


def test_an_outside_reading_blocks(ready: Head, machinist: Person) -> None:
    shop.kept(ready.tag, "finish_ra", "", "400 uin", by=machinist)

    assert any("Finish Ra of the head is outside its limit" in s for s in sentences(ready))


def test_a_released_head_takes_nothing_more(ready: Head, machinist: Person) -> None:
    release_head(tag=ready.tag, by=machinist)
    with pytest.raises(DeedRefused, match="was released on"):
        shop.kept(ready.tag, "recession", "1A", "0.0390 in", by=machinist)
    with pytest.raises(DeedRefused, match="was released on"):
        release_head(tag=ready.tag, by=machinist)


def test_the_digest_is_verified_and_tampering_is_seen(ready: Head, machinist: Person) -> None:
    release = release_head(tag=ready.tag, by=machinist)
    grouped = " ".join(release.digest[i : i + 4] for i in range(0, 64, 4)).upper()

    assert verify_release(ready.tag, digest=grouped).matches
    wrong = "0" * 64
    assert "misread" in verify_release(ready.tag, digest=wrong).sentence
    ProofTest.objects.filter(kind="pressure").update(found="nothing to see")
    assert "tests" in verify_release(ready.tag, digest=release.digest).sentence
    Release.objects.update(content={**release.content, "number": 7})
    assert "stored record" in verify_release(ready.tag, digest=release.digest).sentence


def test_a_viewer_may_not_release(ready: Head, viewer: Person) -> None:
    with pytest.raises(DeedRefused, match="may look"):
        release_head(tag=ready.tag, by=viewer)


def test_the_record_holds_the_sums_that_stand(ready: Head, machinist: Person) -> None:
    keep_sum(tag=ready.tag, uuid=uuid4(), worked=seat_sunk(), by=machinist)
    wrong = keep_sum(tag=ready.tag, uuid=uuid4(), worked=seat_sunk(place="1A"), by=machinist)
    take_back_sum(uuid=wrong.uuid, why="that was 2A", by=machinist)
    release = release_head(tag=ready.tag, by=machinist)
    (told,) = release.content["sums"]

    assert told["title"] == "Seat and contact"
    assert (told["place"], told["by"]) == ("2B", str(machinist))
    assert told["headline"] == "Sunk 10.0 thou, the seat is 52.8 thou wider."
    assert verify_release(ready.tag, digest=release.digest).matches
    KeptSum._base_manager.filter(place="2B")._raw_delete("default")
    assert "were changed since: sums" in verify_release(ready.tag, digest=release.digest).sentence


def test_a_record_of_before_sums_were_kept_still_verifies(ready: Head, machinist: Person) -> None:
    release = release_head(tag=ready.tag, by=machinist)
    old = {part: told for part, told in release.content.items() if part != "sums"}
    Release.objects.update(content=old, digest=digest_of(old))
    assert verify_release(ready.tag, digest=digest_of(old)).matches
    assert papers.print_release(tag=ready.tag, address="http://bench.example/", by=machinist)
