"""The photos of a head: taken in, looked at, and who may.  Common practice, no source."""

from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from castworthy.actions import heads
from castworthy.records.lookups.photos import photos_of
from castworthy.records.models import Head, Person, Photo


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def text_of(response) -> str:
    return response.content.decode()


def picture(size: tuple[int, int] = (1200, 900), kind: str = "JPEG") -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", size, "navy").save(out, format=kind)
    return SimpleUploadedFile("deck.jpg", out.getvalue(), content_type="image/jpeg")


@pytest.fixture
def address(head: Head) -> str:
    return reverse("photos", args=[head.tag])


@pytest.fixture
def kept(head: Head, machinist: Person, address: str) -> Photo:
    sent = {"camera": picture(), "caption": "Crack at 2B", "uuid": uuid4()}
    answer = signed_in(machinist).post(address, sent)
    assert answer.status_code == 302
    return Photo.objects.get()


def test_empty_page_says_what_a_photo_is_for(machinist: Person, address: str) -> None:
    page = text_of(signed_in(machinist).get(address))
    assert "No photo yet" in page
    assert 'capture="environment"' in page
    assert 'accept="image/jpeg,image/png,image/webp"' in page


@pytest.mark.parametrize("field", ["camera", "upload"])
def test_a_photo_is_kept_and_shown(
    head: Head, machinist: Person, viewer: Person, address: str, field: str
) -> None:
    sent = {field: picture(), "caption": "Casting mark"}
    page = text_of(signed_in(machinist).post(address, sent, follow=True))
    assert "The photo is kept." in page
    facts = photos_of(head.tag)[0]
    page = text_of(signed_in(viewer).get(address))
    assert "Casting mark" in page
    assert reverse("photo-small", args=[facts.uuid]) in page
    assert 'type="file"' not in page


def test_the_same_sent_twice_is_kept_once(machinist: Person, address: str) -> None:
    sent = {"caption": "once", "uuid": uuid4()}
    client = signed_in(machinist)
    for _ in range(2):
        assert client.post(address, sent | {"upload": picture()}).status_code == 302
    assert Photo.objects.count() == 1


@pytest.mark.parametrize(
    ("upload", "told"),
    [
        (None, "Take a photo or choose a file first."),
        (SimpleUploadedFile("x.jpg", b"no photo"), "no photo that can be read"),
        (SimpleUploadedFile("x.jpg", b""), "The file is empty"),
    ],
)
def test_what_is_no_photo_is_refused_at_its_field(
    machinist: Person, address: str, upload: SimpleUploadedFile | None, told: str
) -> None:
    sent = {"caption": "typed already"} | ({"upload": upload} if upload else {})
    answer = signed_in(machinist).post(address, sent)
    assert answer.status_code == 422
    assert told in text_of(answer)
    assert 'value="typed already"' in text_of(answer)
    assert not Photo.objects.exists()


def test_one_photo_large_with_its_neighbours(
    head: Head, machinist: Person, address: str, kept: Photo
) -> None:
    client = signed_in(machinist)
    client.post(address, {"upload": picture(), "caption": "Later"})
    page = text_of(client.get(reverse("photo", args=[head.tag, kept.uuid])))
    assert "Crack at 2B" in page
    assert "2 of 2" in page
    newer = photos_of(head.tag)[0]
    assert reverse("photo", args=[head.tag, newer.uuid]) in page


def test_files_are_for_signed_in_people_only(viewer: Person, kept: Photo) -> None:
    for name in ("photo-file", "photo-small"):
        there = reverse(name, args=[kept.uuid])
        assert Client().get(there).status_code == 302
        answer = signed_in(viewer).get(there)
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["Cache-Control"].startswith("private")
        with Image.open(BytesIO(answer.getvalue())) as image:
            assert max(image.size) == (1200 if name == "photo-file" else 480)
            assert not image.getexif()


def test_strip_shows_the_last_ones(head: Head, viewer: Person, kept: Photo) -> None:
    page = text_of(signed_in(viewer).get(reverse("photo-strip", args=[head.tag])))
    assert reverse("photo-small", args=[kept.uuid]) in page
    assert "<html" not in page


def test_viewer_adds_nothing(viewer: Person, address: str) -> None:
    answer = signed_in(viewer).post(address, {"upload": picture()})
    assert answer.status_code == 403
    assert not Photo.objects.exists()


def test_stranger_sees_the_door(address: str) -> None:
    assert Client().get(address).status_code == 302


def test_what_is_not_on_record_is_not_found(owner: Person, head: Head, kept: Photo) -> None:
    client = signed_in(owner)
    unknown = uuid4()
    assert client.get(reverse("photos", args=["NONE"])).status_code == 404
    assert client.get(reverse("photo", args=[head.tag, unknown])).status_code == 404
    assert client.get(reverse("photo-file", args=[unknown])).status_code == 404
    kept.file.delete(save=False)
    answer = client.get(reverse("photo-file", args=[kept.uuid]))
    assert answer.status_code == 404
    assert "is gone from the data folder" in text_of(answer)


def test_a_head_that_left_takes_no_more(machinist: Person, head: Head, address: str) -> None:
    heads.scrap(tag=head.tag, note="cracked", by=machinist)
    client = signed_in(machinist)
    assert 'type="file"' not in text_of(client.get(address))
    answer = client.post(address, {"upload": picture()})
    assert answer.status_code == 422
    assert not Photo.objects.exists()
