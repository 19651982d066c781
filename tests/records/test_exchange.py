"""A head out and in again is the same head; a file changed on the way is noticed."""

import copy
import json
from base64 import b64encode
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import pytest
from django.utils import timezone
from jsonschema import Draft202012Validator
from PIL import Image

from castworthy.actions.errors import DeedRefused
from castworthy.actions.exchange import import_head
from castworthy.actions.kept_sums import keep_sum, take_back_sum
from castworthy.actions.photos import add_photo
from castworthy.actions.proof import record_crack_check
from castworthy.actions.release import release_head
from castworthy.records import models
from castworthy.records.crack_places import CrackTyped
from castworthy.records.exchange import content_digest, export_head, head_schema, readings_csv
from castworthy.records.kept_sums import kept_sums_of
from castworthy.records.lookups.release_content import verify_release
from castworthy.records.models import Head, Person, Photo, Reading, Trace
from castworthy.records.plans import digest_of
from castworthy.records.standing import standing_of
from castworthy.sheets.readings import read_readings
from factories import shop
from factories.sums import seat_sunk
from factories.traces import cusps

SCHEMA = Path(__file__).parents[2] / "docs" / "reference" / "head.schema.json"
SHALLOW = {("recession", "2B"): "0.0270 in"}


@pytest.fixture
def released(head: Head, owner: Person) -> dict[str, object]:
    photo = add_photo(tag=head.tag, upload=jpeg(), caption="stain by 2B", by=owner)
    stain = CrackTyped(where="2B", found="a stain that washed off", photo=str(photo.uuid))
    record_crack_check(tag=head.tag, method="dye penetrant", clear=False, places=[stain], by=owner)
    shop.ready_to_leave(head.tag, by=owner, other=SHALLOW)
    keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), note="a note", by=owner)
    wrong = keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(place="1A"), by=owner)
    take_back_sum(uuid=wrong.uuid, why="that was 2A", by=owner)
    release_head(tag=head.tag, by=owner)
    return json.loads(json.dumps(export_head(head.tag)))


def jpeg() -> BytesIO:
    """A small photo as a camera sends it."""
    out = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(out, format="JPEG")
    out.seek(0)
    return out


def forget(tag: str) -> None:
    """The head as if this record had never seen it."""
    rows = ("Release", "ProofTest", "AssemblyTick", "Operation", "Plan", "Trail", "Photo", "Trace")
    rows = (*rows, "KeptSum")
    aside = models.TraceSetAside._base_manager.filter(trace__head__tag=tag)
    aside._raw_delete("default")
    back = models.SumTakenBack._base_manager.filter(kept__head__tag=tag)
    back._raw_delete("default")
    for name in rows:
        model = getattr(models, name)
        model._base_manager.filter(head__tag=tag)._raw_delete("default")
    readings = Reading._base_manager.filter(head__tag=tag)
    readings._raw_delete("default")
    Head._base_manager.filter(tag=tag)._raw_delete("default")


def test_the_published_schema_is_the_code_s() -> None:
    assert json.loads(SCHEMA.read_text(encoding="utf-8")) == head_schema()


def test_an_export_keeps_to_its_schema(released: dict[str, object]) -> None:
    assert list(Draft202012Validator(head_schema()).iter_errors(released)) == []
    assert content_digest(released) == released["digest"]


def test_out_and_in_again_is_the_same_head(released: dict[str, object], owner: Person) -> None:
    tag = released["head"]["tag"]
    forget(tag)
    came = import_head(file=released, by=owner)
    again = json.loads(json.dumps(export_head(tag)))

    assert came.new
    assert again == released
    assert verify_release(tag, digest=released["release"]["digest"]).matches


def test_a_release_is_verified_in_any_time_zone(released: dict[str, object]) -> None:
    tag = released["head"]["tag"]
    with timezone.override("Pacific/Auckland"):
        assert verify_release(tag, digest=released["release"]["digest"]).matches


def test_photos_travel_with_their_files(released: dict[str, object], owner: Person) -> None:
    forget(released["head"]["tag"])
    import_head(file=released, by=owner)
    photo = Photo.objects.get()

    assert (photo.caption, photo.width, photo.height) == ("stain by 2B", 40, 30)
    with photo.file.open("rb") as kept, Image.open(kept) as picture:
        assert picture.size == (40, 30)


def test_a_photo_changed_on_the_way_is_noticed(released: dict[str, object], owner: Person) -> None:
    forget(released["head"]["tag"])
    released["photos"][0]["content_base64"] = "not base64 at all"
    released["digest"] = content_digest(released)
    with pytest.raises(DeedRefused, match="photo stain by 2B in the file was changed"):
        import_head(file=released, by=owner)


def test_an_identity_or_a_time_that_is_none_is_one_sentence(
    released: dict[str, object], owner: Person
) -> None:
    forget(released["head"]["tag"])
    wrong = copy.deepcopy(released)
    wrong["readings"][0]["uuid"] = "seven"
    with pytest.raises(DeedRefused, match="at readings/0/uuid"):
        import_head(file=wrong, by=owner)
    wrong = copy.deepcopy(released)
    wrong["readings"][0]["at"] = "yesterday"
    wrong["digest"] = content_digest(wrong)
    with pytest.raises(DeedRefused, match="'yesterday' where a time with its zone belongs"):
        import_head(file=wrong, by=owner)


def test_kept_sums_travel_with_who_took_them_back(
    released: dict[str, object], owner: Person
) -> None:
    tag = released["head"]["tag"]
    before = kept_sums_of(Head.objects.get(tag=tag))
    forget(tag)
    assert not models.KeptSum.objects.exists()
    import_head(file=released, by=owner)
    after = kept_sums_of(Head.objects.get(tag=tag))

    assert after == before
    assert [each.stands for each in after] == [True, False]
    assert after[0].worked == seat_sunk()
    assert (after[1].taken_back.why, after[1].taken_back.by) == ("that was 2A", "Olive Marsh")
    assert after[0].later_count == 0 < after[0].epoch


def test_a_file_of_before_sums_were_kept_still_comes_in(
    released: dict[str, object], owner: Person
) -> None:
    tag = released["head"]["tag"]
    forget(tag)
    del released["sums"], released["photos"]
    del released["release"]["content"]["cracks"]
    del released["release"]["content"]["sums"]
    released["release"]["digest"] = digest_of(released["release"]["content"])
    released["digest"] = content_digest(released)

    assert import_head(file=released, by=owner).new
    assert not import_head(file=released, by=owner).new
    assert kept_sums_of(Head.objects.get(tag=tag)) == ()
    assert verify_release(tag, digest=released["release"]["digest"]).matches


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"uuid": "7"}, "sums/0/uuid"),
        ({"units": "ells"}, "sums/0/units"),
        ({"answer": {}}, "sums/0/answer"),
        ({"taken_back": {"why": "x"}}, "sums/0/taken_back"),
    ],
)
def test_a_sum_of_another_shape_is_told_where(
    released: dict[str, object], owner: Person, change: dict[str, object], where: str
) -> None:
    released["sums"][0] |= change
    with pytest.raises(DeedRefused, match=f"no head that export wrote: at {where}"):
        import_head(file=released, by=owner)


def test_a_sum_on_record_for_another_head_is_refused(
    released: dict[str, object], owner: Person
) -> None:
    other = shop.take_in(owner, code="F2", tag="F2-0009")
    uuid = uuid4()
    keep_sum(tag=other.tag, uuid=uuid, worked=seat_sunk(), by=owner)
    forget(released["head"]["tag"])
    released["sums"][0]["uuid"] = str(uuid)
    released["digest"] = content_digest(released)
    with pytest.raises(DeedRefused, match="Sums of the file are on record for another head"):
        import_head(file=released, by=owner)
    assert not Head.objects.filter(tag=released["head"]["tag"]).exists()


def test_the_same_file_twice_changes_nothing(released: dict[str, object], owner: Person) -> None:
    count = Reading.objects.count()
    came = import_head(file=released, by=owner)

    assert not came.new
    assert Reading.objects.count() == count


def test_a_changed_file_is_noticed(released: dict[str, object], owner: Person) -> None:
    changed = copy.deepcopy(released)
    changed["readings"][0]["value"] += 0.01
    with pytest.raises(DeedRefused, match="changed after it was exported"):
        import_head(file=changed, by=owner)


@pytest.mark.parametrize("key", ["readings", "head", "digest", "version"])
def test_another_shape_is_told_where(released: dict[str, object], owner: Person, key: str) -> None:
    broken = {**released, key: 7}
    with pytest.raises(DeedRefused, match=f"no head that export wrote: at {key}"):
        import_head(file=broken, by=owner)


def test_a_head_on_record_otherwise_is_refused(released: dict[str, object], owner: Person) -> None:
    other = copy.deepcopy(released)
    other["readings"] = other["readings"][:-1]
    other["digest"] = content_digest(other)
    with pytest.raises(DeedRefused, match="differs from the file"):
        import_head(file=other, by=owner)


def test_people_unknown_here_come_as_closed_accounts(
    released: dict[str, object], owner: Person
) -> None:
    tag = released["head"]["tag"]
    forget(tag)
    for reading in released["readings"]:
        reading["by"] = "Ines Vale"
    released["digest"] = content_digest(released)
    import_head(file=released, by=owner)
    stranger = Person.objects.get(full_name="Ines Vale")

    assert (stranger.is_active, stranger.role) == (False, "viewer")
    assert not stranger.has_usable_password()


def test_readings_as_csv_are_read_back_the_same(head: Head, owner: Person) -> None:
    shop.measure_all(head.tag, by=owner)
    sheet = standing_of(head.tag).sheet
    read = read_readings(readings_csv(head.tag), sheet=sheet, file="out.csv")
    stands = {
        (spot.quantity, spot.place): spot.value
        for spot in standing_of(head.tag).spots
        if spot.value is not None and not spot.derived
    }

    assert {(r.quantity, r.place): pytest.approx(r.value) for r in read.readings} == stands


def test_traces_travel_with_their_files(head: Head, owner: Person) -> None:
    from castworthy.actions.traces import TraceUpload, add_traces, set_trace_aside

    for name in ("a.csv", "b.csv"):
        upload = TraceUpload(name=name, content=cusps(0.16))
        add_traces(tag=head.tag, files=[upload], place=name, by=owner)
    aside = Trace.objects.get(file_name="a.csv")
    set_trace_aside(uuid=aside.uuid, why="across a scratch", by=owner)
    file = export_head(head.tag)
    forget(head.tag)
    import_head(file=file, by=owner)

    assert json.loads(json.dumps(export_head(head.tag))) == json.loads(json.dumps(file))
    kept = Trace.objects.get(file_name="b.csv")
    with kept.file.open("rb") as content:
        assert content.read() == cusps(0.16)


def test_a_trace_changed_on_the_way_is_noticed(head: Head, owner: Person) -> None:
    from castworthy.actions.traces import TraceUpload, add_traces

    add_traces(tag=head.tag, files=[TraceUpload(name="a.csv", content=cusps(0.16))], by=owner)
    file = export_head(head.tag)
    forget(head.tag)
    file["traces"][0]["content_base64"] = b64encode(cusps(0.12)).decode()
    file["digest"] = content_digest(file)
    with pytest.raises(DeedRefused, match=r"trace a\.csv"):
        import_head(file=file, by=owner)
