"""The first run, accounts, and slowing down guesses."""

from datetime import timedelta

import pytest
from django.utils import timezone

from castworthy.actions import people
from castworthy.actions.deed import deeds_at
from castworthy.actions.errors import DeedRefused
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups import people as lookups
from castworthy.records.models import Person, Role, Shop, SignInAttempt, Trail
from factories import shop
from factories.shop import PASSWORD

HERE, THERE = "10.0.0.7", "10.0.0.8"


def fail(count: int, *, name: str = "ana", address: str = HERE) -> None:
    for _ in range(count):
        with pytest.raises(DeedRefused):
            people.sign_in(name=name, password="a wrong pass phrase", address=address)


@pytest.mark.django_db
def test_the_first_run_makes_the_shop_and_its_owner_once() -> None:
    assert not lookups.shop_exists()
    owner = shop.open_shop()
    assert lookups.shop_exists()
    assert lookups.shop().name == "Fenside Heads"
    assert (owner.role, owner.check_password(PASSWORD)) == (Role.OWNER, True)
    assert str(Trail.objects.get().by) == "Olive Marsh"
    with pytest.raises(DeedRefused, match="has an owner already"):
        shop.open_shop()
    assert (Shop.objects.count(), Person.objects.count()) == (1, 1)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"shop_name": " "}, "shop_name"),
        ({"shop_name": "x" * 81}, "shop_name"),
        ({"shop_name": "a\nb"}, "shop_name"),
        ({"username": ""}, "username"),
        ({"username": "olive marsh"}, "username"),
        ({"full_name": ""}, "full_name"),
        ({"password": "short"}, "password"),
        ({"password": "olive-marsh"}, "password"),
        ({"password": "123456789012"}, "password"),
        ({"currency": "euros"}, "currency"),
        ({"show_length": "cubit"}, "show_length"),
    ],
)
def test_a_bad_first_run_stores_nothing(change: dict[str, str], field: str) -> None:
    sent = {
        "shop_name": "Fenside Heads",
        "username": "olive",
        "full_name": "Olive Marsh",
        "password": PASSWORD,
    }
    with pytest.raises(DeedRefused) as refusal:
        people.create_shop(**{**sent, **change})
    assert refusal.value.field == field
    assert not Shop.objects.exists()
    assert not Trail.objects.exists()


def test_only_an_owner_adds_people_and_names_are_one_whatever_the_case(
    owner: Person, machinist: Person
) -> None:
    with pytest.raises(DeedRefused, match="Only an owner"):
        shop.hire(machinist, name="Wim Weir", role=Role.VIEWER)
    with pytest.raises(DeedRefused, match="ana is taken"):
        people.add_person(username="ANA", full_name="Ana Two", password=PASSWORD, by=owner)
    with pytest.raises(DeedRefused, match="no role"):
        shop.hire(owner, name="Wim Weir", role="king")


def test_the_last_owner_stays_and_a_closed_account_does_nothing(
    owner: Person, machinist: Person
) -> None:
    def change(person: Person, role: str, *, active: bool = True) -> None:
        people.change_person(
            person_id=person.pk, full_name=str(person), role=role, active=active, by=owner
        )

    for role, active in (("machinist", True), ("owner", False)):
        with pytest.raises(DeedRefused, match="is the only owner"):
            change(owner, role, active=active)
    assert not lookups.person(owner.pk).may_be_closed
    change(machinist, "owner")
    assert lookups.person(owner.pk).may_be_closed
    change(machinist, "machinist", active=False)
    machinist.refresh_from_db()
    with pytest.raises(DeedRefused, match="account is closed"):
        people.change_units(show_length="mm", by=machinist)
    with pytest.raises(DeedRefused):
        people.sign_in(name="ana", password=PASSWORD, address=HERE)


def test_an_account_is_found_by_number_or_name(owner: Person) -> None:
    facts = lookups.person_named("olive")
    assert facts == lookups.person(owner.pk) == lookups.people()[0]
    assert (facts.full_name, facts.role_title) == ("Olive Marsh", "Owner")
    for ask in (lambda: lookups.person(0), lambda: lookups.person_named("nobody\x00")):
        with pytest.raises(NotOnRecord):
            ask()


def test_passwords_are_set_by_the_person_or_an_owner(
    owner: Person, machinist: Person, viewer: Person
) -> None:
    with pytest.raises(DeedRefused, match="old password is wrong") as refusal:
        people.set_password(
            person_id=viewer.pk, password="another phrase", old_password="x", by=viewer
        )
    assert refusal.value.field == "old_password"
    with pytest.raises(DeedRefused, match="Only an owner"):
        people.set_password(person_id=owner.pk, password="another phrase", by=machinist)
    with pytest.raises(DeedRefused, match="too short"):
        people.set_password(person_id=viewer.pk, password="x", old_password=PASSWORD, by=viewer)
    people.set_password(
        person_id=viewer.pk, password="another phrase", old_password=PASSWORD, by=viewer
    )
    people.set_password(person_id=machinist.pk, password="a third phrase", by=owner)
    assert people.sign_in(name="vera", password="another phrase", address=HERE) == viewer
    assert people.sign_in(name=" Ana ", password="a third phrase", address=HERE) == machinist


def test_a_viewer_may_choose_units(viewer: Person) -> None:
    people.change_units(show_length="mm", by=viewer)
    assert Person.objects.get(pk=viewer.pk).show_length == "mm"


def test_five_wrong_tries_for_a_name_make_it_wait(machinist: Person) -> None:
    fail(people.FAILED_A_NAME_COUNT - 1)
    assert not people.sign_in_allowed(name="Ana", address=HERE)
    fail(1)
    with pytest.raises(DeedRefused, match="wait 15 minutes") as refusal:
        people.sign_in(name="ana", password=PASSWORD, address=THERE)
    assert refusal.value.code == "wait"
    assert SignInAttempt.objects.count() == people.FAILED_A_NAME_COUNT
    with deeds_at(timezone.now() + timedelta(minutes=10)):
        assert "wait 5 minutes" in people.sign_in_allowed(name="ana", address=THERE)
    with deeds_at(timezone.now() + people.WINDOW):
        assert people.sign_in(name="ana", password=PASSWORD, address=HERE) == machinist


def test_a_good_try_forgets_the_wrong_ones_of_that_name(machinist: Person) -> None:
    for _ in range(3):
        fail(people.FAILED_A_NAME_COUNT - 1)
        assert people.sign_in(name="ana", password=PASSWORD, address=HERE) == machinist


def test_twenty_wrong_tries_from_an_address_make_it_wait(machinist: Person) -> None:
    for number in range(people.FAILED_AN_ADDRESS_COUNT):
        fail(1, name=f"guess{number}")
    with pytest.raises(DeedRefused, match="Too many tries"):
        people.sign_in(name="ana", password=PASSWORD, address=HERE)
    assert people.sign_in(name="ana", password=PASSWORD, address=THERE) == machinist


def test_unknown_names_are_answered_like_wrong_passwords(machinist: Person) -> None:
    def sentences(name: str) -> list[str]:
        said = []
        for _ in range(people.FAILED_A_NAME_COUNT + 1):
            with pytest.raises(DeedRefused) as refusal:
                people.sign_in(name=name, password="a wrong pass phrase", address=HERE)
            said.append(refusal.value.sentence)
        return said

    assert sentences("ana") == sentences("nobody")


def test_old_tries_are_forgotten(machinist: Person) -> None:
    with deeds_at(timezone.now() - timedelta(days=31)):
        fail(1)
    fail(1)
    assert SignInAttempt.objects.count() == 1
