"""Cracks on the deck: places by name, by spot and by word; photos; a pressure test's warmth."""

from io import BytesIO

import pytest
from django.utils import timezone
from PIL import Image

from castworthy.actions.errors import DeedRefused
from castworthy.actions.photos import add_photo
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.proof import Proved, record_crack_check, record_pressure
from castworthy.actions.setting.claim import claim_paper
from castworthy.actions.setting.press import Press, size_for
from castworthy.actions.work import sign_operation
from castworthy.records import proving
from castworthy.records.bench_air import last_air_typed
from castworthy.records.crack_places import CrackTyped, crack_places
from castworthy.records.models import Head, Operation, Person, Plan, ProofTest, Step
from castworthy.records.proof_words import warmth_words
from castworthy.units import Show
from factories import shop

IN_MM = 25.4


@pytest.fixture
def assembled(head: Head) -> Head:
    Head.objects.filter(pk=head.pk).update(step=Step.PROVE)
    head.refresh_from_db()
    return head


def check(head: Head, by: Person, *places: CrackTyped, clear: bool = False) -> Proved:
    return record_crack_check(tag=head.tag, method="dye", clear=clear, places=places, by=by)


@pytest.mark.parametrize(
    ("typed", "words", "spot_in"),
    [
        # The spots are those of the invented sheet tests/factories/sheet_texts.py.
        ("2B", "2B exhaust seat", (9.4, 3.5)),
        ("2b Exhaust seat", "2B exhaust seat", (9.4, 3.5)),
        ("cylinder 1", "cylinder 1", (3.5, 3.5)),
        ("8.0, 3.6", "8.0, 3.6 in, near 2A intake seat", (8.0, 3.6)),
        ("203.2 91.44 mm", "203.2, 91.44 mm, near 2A intake seat", (8.0, 3.6)),
        ("under the thermostat", "under the thermostat", None),
    ],
)
def test_a_place_is_found_on_the_deck(
    assembled: Head,
    machinist: Person,
    typed: str,
    words: str,
    spot_in: tuple[float, float] | None,
) -> None:
    kept = check(assembled, machinist, CrackTyped(where=typed, found="14 mm long"))
    (place,) = crack_places(proving.tested_of(assembled)[0])

    assert not kept.passed
    assert kept.sentence == f"{words}: 14 mm long."
    assert ProofTest.objects.get().found == f"{words}: 14 mm long"
    if spot_in is None:
        assert place.spot_mm is None
    else:
        assert place.spot_mm == pytest.approx([each * IN_MM for each in spot_in])


def test_two_places_are_two(assembled: Head, machinist: Person) -> None:
    kept = check(
        assembled,
        machinist,
        CrackTyped(where="2B", found="14 mm long"),
        CrackTyped(),
        CrackTyped(where="1A", found="into the guide"),
    )
    assert kept.sentence == "2B exhaust seat: 14 mm long; 1A intake seat: into the guide."
    assert len(crack_places(proving.tested_of(assembled)[0])) == 2


@pytest.mark.parametrize(
    ("place", "clear", "field", "words"),
    [
        (CrackTyped(where="2B"), False, "found", "Say what was found at 2B."),
        (CrackTyped(), False, "found", "Say what was found and where it runs."),
        (CrackTyped(where="2B", found="x"), True, "place", "yet nothing was found"),
        (CrackTyped(where="40, 3", found="x"), False, "place", "40, 3 in lies off the deck"),
        (CrackTyped(where="2B", found="x", photo="no"), False, "photo", "no such photo"),
        (
            CrackTyped(where="2B", found="x", photo="0b7b1c5e-6a3f-4c55-9a57-0e3f1a2b3c4d"),
            False,
            "photo",
            "no such photo of this head",
        ),
    ],
)
def test_what_is_missing_is_asked(
    assembled: Head, machinist: Person, place: CrackTyped, clear: bool, field: str, words: str
) -> None:
    with pytest.raises(DeedRefused, match=r".") as refused:
        check(assembled, machinist, place, clear=clear)
    assert refused.value.field == field
    assert words in refused.value.sentence
    assert not ProofTest.objects.exists()


def test_a_photo_stays_with_its_place(
    assembled: Head, machinist: Person, owner: Person, sheet: str
) -> None:
    out = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(out, format="JPEG")
    photo = add_photo(tag=assembled.tag, upload=BytesIO(out.getvalue()), by=machinist)
    told = CrackTyped(where="2B", found="14 mm long", photo=str(photo.uuid))
    check(assembled, machinist, told)
    other = shop.take_in(owner, code=sheet, tag="F2-0099")

    assert crack_places(proving.tested_of(assembled)[0])[0].photo == str(photo.uuid)
    with pytest.raises(DeedRefused, match="no such photo"):
        check(other, machinist, told)


def air(head: Head, by: Person, **more: str) -> Proved:
    told = {"medium": "air", "start": "40 psi", "held": "36 psi", "tag": head.tag} | more
    return record_pressure(**told, by=by)


def test_what_cooling_took_is_kept_and_said(assembled: Head, machinist: Person) -> None:
    # Gay-Lussac's law, absolute, by hand: (36 + 14.696) * 299.817 / 283.150 - 14.696 = 38.98 psi.
    kept = air(assembled, machinist, start_temperature="80 °F", end_temperature="50 °F")
    told = ProofTest.objects.get().conditions

    assert told["held_kpa"] / 6.894757 == pytest.approx(36.0)
    assert told["corrected_kpa"] / 6.894757 == pytest.approx(38.98, abs=0.01)
    assert told["by_temperature_kpa"] / 6.894757 == pytest.approx(2.98, abs=0.01)
    assert "cooling accounts for 2.98 psi" in kept.sentence
    words = warmth_words(told, show=Show())
    assert words == "cooling took 3.0 psi, 39.0 psi left without it"


def test_a_shop_in_the_hills_counts_from_its_own_air(assembled: Head, machinist: Person) -> None:
    # US Standard Atmosphere 1976, 1,600 m: 83.52 kPa, 12.114 psi.  Gay-Lussac's law, absolute, by
    # hand: (36 + 12.114) * 299.817 / 283.150 - 12.114 = 38.83 psi, beside 38.98 psi at sea level.
    air(
        assembled,
        machinist,
        start_temperature="80 °F",
        end_temperature="50 °F",
        atmosphere="1600 m",
    )
    told = ProofTest.objects.get().conditions

    assert told["atmosphere_kpa"] == pytest.approx(83.52, abs=0.02)
    assert told["corrected_kpa"] / 6.894757 == pytest.approx(38.83, abs=0.01)
    assert last_air_typed() == "1600 m"


def test_without_temperatures_nothing_is_taken_out(assembled: Head, machinist: Person) -> None:
    air(assembled, machinist)
    assert "corrected_kpa" not in ProofTest.objects.get().conditions


def test_a_leak_rate_needs_the_volume(assembled: Head, machinist: Person) -> None:
    warm = {"start_temperature": "80 °F", "end_temperature": "80 °F", "hold": "600"}
    air(assembled, machinist, **warm)
    air(assembled, machinist, volume="5", **warm)
    without, given = (test.conditions for test in ProofTest.objects.order_by("id"))

    assert "leak_std_cm3_per_min" not in without
    # V dP / (P0 t): 5000 cm3 * 27.579 kPa / 101.325 kPa / 10 min, by hand.
    assert given["leak_std_cm3_per_min"] == pytest.approx(136.1, abs=0.2)


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"start_temperature": "80"}, "end_temperature", "Give both temperatures"),
        ({"end_temperature": "80"}, "start_temperature", "Give both temperatures"),
        ({"atmosphere": "yes"}, "atmosphere", "a pressure or a height"),
        ({"atmosphere": "300 kPa"}, "atmosphere", "from 11.8 inHg to 35.4 inHg"),
        (
            {"start_temperature": "120", "end_temperature": "40", "held": "40"},
            "end_temperature",
            "the pressure rose",
        ),
    ],
)
def test_temperatures_that_cannot_be_are_told(
    assembled: Head, machinist: Person, more: dict[str, str], field: str, words: str
) -> None:
    with pytest.raises(DeedRefused, match=r".") as refused:
        air(assembled, machinist, **more)
    assert refused.value.field == field
    assert words in refused.value.sentence
    assert not ProofTest.objects.exists()


def press_of(by: Person) -> Press:
    return Press(by=by, at=timezone.now(), address="", size=size_for(by, asked="a4"))


def test_a_crack_found_before_any_work_stands_in_the_claim(
    assembled: Head, machinist: Person
) -> None:
    check(assembled, machinist, CrackTyped(where="2B", found="14 mm long"))
    paper = claim_paper(assembled.tag, press=press_of(machinist))

    assert paper.statement.endswith("The crack check (dye) found: 2B exhaust seat: 14 mm long.")
    assert "1. 2B exhaust seat: 14 mm long" in paper.cracks_svg
    assert paper.answer_wanted


def test_a_crack_found_once_the_casting_was_clean_is_of_the_casting_as_it_came(
    head: Head, machinist: Person
) -> None:
    shop.measure_all(head.tag, by=machinist, other={("flatness", ""): "0.010 in"})
    made = make_plans(tag=head.tag, by=machinist)
    choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=machinist)
    planned = list(Operation.objects.filter(head=head).order_by("position"))
    assert [each.kind for each in planned[:3]] == ["clean", "crack check", "surface"]
    sign_operation(operation_id=planned[0].pk, by=machinist)
    check(head, machinist, CrackTyped(where="2B", found="14 mm long"))
    sign_operation(operation_id=planned[1].pk, by=machinist)
    before = claim_paper(head.tag, press=press_of(machinist))
    sign_operation(operation_id=planned[2].pk, by=machinist)
    check(head, machinist, CrackTyped(where="1A", found="from the cut"))
    after = claim_paper(head.tag, press=press_of(machinist))

    assert "2B exhaust seat: 14 mm long" in before.statement
    assert "2B exhaust seat: 14 mm long" in after.statement
    assert "1A" not in after.statement


def test_a_crack_that_was_looked_for_again_does_not(assembled: Head, machinist: Person) -> None:
    check(assembled, machinist, CrackTyped(where="2B", found="14 mm long"))
    check(assembled, machinist, clear=True)
    paper = claim_paper(assembled.tag, press=press_of(machinist))
    assert "crack" not in paper.statement
