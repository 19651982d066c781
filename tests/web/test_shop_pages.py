"""First run, signing in and the rack."""

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.records.models import Head, Person, Shop
from factories import shop
from factories.shop import PASSWORD

START = {
    "shop_name": "Fenside Heads",
    "full_name": "Olive Marsh",
    "username": "olive",
    "password": PASSWORD,
    "show_length": "mm",
}


@pytest.mark.django_db
def test_an_unopened_record_leads_everybody_to_the_first_page() -> None:
    for address in ("/", "/sign-in", "/heads/new"):
        assert Client().get(address)["Location"] == reverse("start")


@pytest.mark.django_db
def test_the_first_page_makes_the_shop_and_signs_its_owner_in() -> None:
    client = Client()
    assert client.get(reverse("start")).status_code == 200
    answer = client.post(reverse("start"), START, follow=True)
    assert answer.redirect_chain == [("/", 302)]
    person = Person.objects.get()
    assert (person.username, person.role, person.show_length) == ("olive", "owner", "mm")
    assert Shop.objects.get().name == "Fenside Heads"
    assert "First, write a spec sheet" in answer.content.decode()


@pytest.mark.django_db
def test_a_weak_password_marks_its_field_and_keeps_the_rest() -> None:
    answer = Client().post(reverse("start"), START | {"password": "short"})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert 'value="Olive Marsh"' in text
    assert 'aria-invalid="true"' in text.split('name="password"', 1)[1].split(">", 1)[0]
    assert not Person.objects.exists()


def test_the_first_page_is_gone_once_there_is_a_shop(owner: Person) -> None:
    assert Client().get(reverse("start"))["Location"] == reverse("rack")
    Client().post(reverse("start"), START | {"username": "eve"})
    assert list(Person.objects.values_list("username", flat=True)) == ["olive"]


def test_signing_in_leads_to_where_one_was_going(owner: Person) -> None:
    sent = {"name": "olive", "password": PASSWORD, "next": reverse("take-in-new")}
    assert Client().post(reverse("sign-in"), sent)["Location"] == reverse("take-in-new")


def test_signing_in_leads_nowhere_else(owner: Person) -> None:
    sent = {"name": "olive", "password": PASSWORD, "next": "https://elsewhere.example/"}
    assert Client().post(reverse("sign-in"), sent)["Location"] == reverse("rack")


def test_a_wrong_password_is_one_sentence_and_guessing_is_slowed(owner: Person) -> None:
    client = Client()
    sent = {"name": "olive", "password": "not it at all"}
    for _ in range(5):
        answer = client.post(reverse("sign-in"), sent)
        assert answer.status_code == 422
        assert "do not go together" in answer.content.decode()
    answer = client.post(reverse("sign-in"), sent | {"password": PASSWORD})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "wait" in text.lower()
    assert 'value="olive"' in text
    assert PASSWORD not in text


def test_signing_out(owner: Person) -> None:
    client = Client()
    client.force_login(owner)
    assert client.post(reverse("sign-out"))["Location"] == reverse("sign-in")
    assert client.get("/").status_code == 302


def test_an_empty_rack_says_what_to_do(owner: Person, sheet: str) -> None:
    client = Client()
    client.force_login(owner)
    text = client.get("/").content.decode()
    assert "Take in the first head" in text
    assert reverse("take-in-new") in text


def test_the_rack_shows_the_longest_waiting_first_with_what_is_next(
    owner: Person, head: Head
) -> None:
    younger = shop.take_in(owner, code="F2", tag="F2-0002")
    client = Client()
    client.force_login(owner)
    text = client.get("/").content.decode()
    assert "2 heads in the shop" in text
    assert text.index(head.tag) < text.index(younger.tag)
    assert "4 of 4 recession readings to take" in text


def test_one_shelf_alone_and_its_pages(owner: Person, head: Head) -> None:
    client = Client()
    client.force_login(owner)
    text = client.get("/?step=measure").content.decode()
    assert "Measure: 1 head" in text
    assert head.tag in text
    assert head.tag not in client.get("/?step=measure&page=2").content.decode()
    assert client.get("/?step=measure&page=rubbish").status_code == 200
    assert client.get("/?step=polishing").status_code == 404
