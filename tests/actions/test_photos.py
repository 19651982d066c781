"""Photos are re-encoded, upright, small and bare."""

from io import BytesIO
from uuid import uuid4

import pytest
from PIL import Image

from castworthy.actions import photos
from castworthy.actions.errors import DeedRefused
from castworthy.records.lookups.photos import photo_file, photos_of
from castworthy.records.models import Head, Person, Photo
from factories import shop

ORIENTATION, TURNED_RIGHT = 0x0112, 6
MAKER = 0x010F


def picture(
    size: tuple[int, int] = (40, 30), *, kind: str = "JPEG", turned: bool = False
) -> BytesIO:
    image = Image.new("RGB", size, "navy")
    image.paste("white", (0, 0, size[0] // 2, size[1] // 2))
    exif = image.getexif()
    exif[MAKER] = "an invented camera"
    if turned:
        exif[ORIENTATION] = TURNED_RIGHT
    out = BytesIO()
    image.save(out, format=kind, exif=exif)
    out.seek(0)
    return out


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_as_a_bare_jpeg(kind: str, head: Head, machinist: Person) -> None:
    photos.add_photo(tag=head.tag, upload=picture(kind=kind), caption="deck", by=machinist)
    facts = photos_of(head.tag)[0]
    assert (facts.caption, facts.width, facts.height, facts.by) == ("deck", 40, 30, "Ana Reed")
    with Image.open(photo_file(facts.uuid).path) as kept:
        assert kept.format == "JPEG"
        assert not kept.getexif()
        assert b"invented camera" not in photo_file(facts.uuid).path.read_bytes()


def test_a_photo_taken_sideways_is_turned_upright(head: Head, machinist: Person) -> None:
    row = photos.add_photo(tag=head.tag, upload=picture(turned=True), by=machinist)
    assert (row.width, row.height) == (30, 40)
    with Image.open(photo_file(row.uuid).path) as kept:
        top_right, top_left = kept.getpixel((25, 5)), kept.getpixel((5, 5))
    assert sum(top_right) > 600 > sum(top_left)


def test_a_large_photo_is_brought_down(head: Head, machinist: Person) -> None:
    row = photos.add_photo(tag=head.tag, upload=picture((5000, 1000)), by=machinist)
    assert (row.width, row.height) == (photos.LONGEST_EDGE, 400)


def test_light_shining_through_turns_white(head: Head, machinist: Person) -> None:
    out = BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, format="PNG")
    out.seek(0)
    row = photos.add_photo(tag=head.tag, upload=out, by=machinist)
    with Image.open(photo_file(row.uuid).path) as kept:
        assert min(kept.getpixel((10, 10))) > 250


def bomb() -> BytesIO:
    out = BytesIO()
    Image.new("1", (30_000, 10_000)).save(out, format="PNG")
    out.seek(0)
    return out


@pytest.mark.parametrize(
    ("upload", "says"),
    [
        (BytesIO(b""), "is empty"),
        (BytesIO(b"GIF89a not a photo"), "no photo that can be read"),
        (BytesIO(b"%PDF-1.7 " * 100), "no photo that can be read"),
        (BytesIO(picture().getvalue()[:200]), "no photo that can be read"),
        (BytesIO(b"\xff" * (photos.LARGEST_BYTES + 1)), "larger than 15 MB"),
        (bomb(), "million pixels"),
    ],
)
def test_what_is_no_photo_is_refused(
    upload: BytesIO, says: str, head: Head, machinist: Person
) -> None:
    upload.seek(0)
    with pytest.raises(DeedRefused) as refusal:
        photos.add_photo(tag=head.tag, upload=upload, by=machinist)
    assert says in refusal.value.sentence
    assert refusal.value.field == "upload"
    assert not Photo.objects.exists()


def test_a_gif_is_refused_however_sound(head: Head, machinist: Person) -> None:
    out = BytesIO()
    Image.new("P", (20, 20)).save(out, format="GIF")
    out.seek(0)
    with pytest.raises(DeedRefused, match="JPEG, PNG or WebP"):
        photos.add_photo(tag=head.tag, upload=out, by=machinist)


def test_a_photo_belongs_to_a_reading_and_is_kept_once(head: Head, machinist: Person) -> None:
    reading = shop.kept(head.tag, "recession", "2B", "0.039 in", by=machinist).reading
    uuid = uuid4()
    for _ in range(2):
        photos.add_photo(
            tag=head.tag, upload=picture(), uuid=uuid, reading=reading.uuid, by=machinist
        )
    (facts,) = photos_of(head.tag)
    assert facts.of_reading == "Recession of valve 2B"


def test_a_refused_photo_leaves_no_file(head: Head, machinist: Person, viewer: Person) -> None:
    with pytest.raises(DeedRefused, match="no such reading"):
        photos.add_photo(tag=head.tag, upload=picture(), reading=uuid4(), by=machinist)
    with pytest.raises(DeedRefused, match="may look"):
        photos.add_photo(tag=head.tag, upload=picture(), by=viewer)
    uuid = uuid4()
    photos.add_photo(tag=head.tag, upload=picture(), uuid=uuid, by=machinist)
    other = shop.take_in(machinist, code="F2", tag="F2-0002")
    folder = photo_file(uuid).path.parent
    before = set(folder.iterdir())
    with pytest.raises(DeedRefused, match="identity"):
        photos.add_photo(tag=other.tag, upload=picture(), uuid=uuid, by=machinist)
    assert set(folder.iterdir()) == before
