"""A photo of a crack, taken beside its place before the check is recorded."""

from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from castworthy.actions import proof
from castworthy.records.crack_places import CrackTyped
from castworthy.records.models import Head, Person, Photo, ProofTest


def signed_in(person: Person) -> Client:
    client = Client(HTTP_HOST="localhost")
    client.force_login(person)
    return client


def picture() -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", (300, 200), "grey").save(out, format="JPEG")
    return SimpleUploadedFile("crack.jpg", out.getvalue(), content_type="image/jpeg")


def address(head: Head) -> str:
    return reverse("prove-crack-photo", args=[head.tag])


def test_a_photo_is_kept_at_once_and_named_in_its_row(head: Head, machinist: Person) -> None:
    sent = {"camera": picture(), "caption": "2B exhaust seat: 14 mm"}
    answer = signed_in(machinist).post(address(head), sent)
    photo, text = Photo.objects.get(), answer.content.decode()

    assert answer.status_code == 200
    assert photo.caption == "2B exhaust seat: 14 mm"
    assert f'<option value="{photo.uuid}"' in text
    assert text.count(" selected") == 1
    assert reverse("photo-small", args=[photo.uuid]) in text


def test_what_is_no_photo_is_said_in_the_row(head: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    none = client.post(address(head), {"caption": "2B"})
    other = client.post(address(head), {"camera": SimpleUploadedFile("a.jpg", b"no picture")})

    assert (none.status_code, other.status_code) == (422, 422)
    assert "No photo came; take it again." in none.content.decode()
    assert "send a JPEG, PNG or WebP photo" in other.content.decode()
    assert not Photo.objects.exists()


def test_who_may_only_look_takes_none(head: Head, viewer: Person) -> None:
    answer = signed_in(viewer).post(address(head), {"camera": picture()})
    assert answer.status_code == 403
    assert not Photo.objects.exists()


def test_cracks_are_looked_for_as_the_head_came(head: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    text = client.get(reverse("prove", args=[head.tag])).content.decode()
    assert reverse("prove-crack", args=[head.tag]) in text
    assert "what is found before the first cut goes into a claim" in text
    assert reverse("prove-pressure", args=[head.tag]) not in text
    sent = {"method": "dye penetrant", "result": "crack", "place": "2B", "found": "14 mm"}
    client.post(reverse("prove-crack", args=[head.tag]), sent)
    assert not ProofTest.objects.get(kind="crack").passed


def test_mark_and_photo_stand_together(head: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    client.post(address(head), {"camera": picture(), "caption": "2B"})
    photo = Photo.objects.get()
    places = (CrackTyped(where="2B", found="14 mm", photo=str(photo.uuid)),)
    proof.record_crack_check(tag=head.tag, method="dye", clear=False, places=places, by=machinist)
    for name in ("prove", "history"):
        text = client.get(reverse(name, args=[head.tag])).content.decode()
        listed = text[text.index('class="crack-list"') :]
        assert text.index("cw-mark") < text.index('class="crack-list"')
        assert reverse("photo-small", args=[photo.uuid]) in listed
        assert "2B exhaust seat: 14 mm" in listed
