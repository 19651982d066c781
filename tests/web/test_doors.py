"""Who may open what: owner, machinist, viewer, stranger; and what every answer carries."""

from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.records.models import Head, Person


def signed_in(person: Person, *, csrf: bool = False) -> Client:
    client = Client(enforce_csrf_checks=csrf)
    client.force_login(person)
    return client


def addresses(tag: str) -> dict[str, str]:
    return {
        "rack": reverse("rack"),
        "take-in": reverse("take-in", args=[tag]),
        "measure": reverse("measure", args=[tag]),
    }


@pytest.mark.parametrize("name", ["rack", "take-in", "measure"])
def test_a_stranger_is_led_to_sign_in_and_back(head: Head, name: str) -> None:
    address = addresses(head.tag)[name]
    answer = Client().get(address)
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("sign-in"))
    assert answer["Location"].endswith(f"?next={address.replace('/', '%2F')}")


@pytest.mark.parametrize("name", ["rack", "take-in", "measure"])
def test_everybody_in_the_shop_may_look(
    head: Head, owner: Person, machinist: Person, viewer: Person, name: str
) -> None:
    for person in (owner, machinist, viewer):
        answer = signed_in(person).get(addresses(head.tag)[name])
        assert answer.status_code == 200
        forms = answer.content.decode().split("<main", 1)[1].count('method="post"')
        assert (forms > 0) is (person is not viewer and name != "rack")


def test_taking_in_is_for_the_bench(owner: Person, machinist: Person, viewer: Person) -> None:
    address = reverse("take-in-new")
    assert signed_in(owner).get(address).status_code == 200
    assert signed_in(machinist).get(address).status_code == 200
    refused = signed_in(viewer).get(address)
    assert refused.status_code == 403
    assert "You may look but not change anything." in refused.content.decode()


def test_a_part_asked_for_by_a_stranger_says_where_to_sign_in(head: Head) -> None:
    answer = Client().post(reverse("record", args=[head.tag]), headers={"HX-Request": "true"})
    assert answer.status_code == 401
    assert answer["HX-Redirect"].startswith(reverse("sign-in"))


@pytest.mark.parametrize("part", [True, False], ids=["part", "whole"])
def test_who_was_signed_out_while_typing_comes_back_to_the_page(head: Head, part: bool) -> None:
    typed = f"{reverse('sum', args=['seat'])}?head={head.tag}&place=1A&cut=0.004"
    seen = {"Referer": f"http://testserver{typed}"}
    if part:
        seen = {"HX-Request": "true", "HX-Current-URL": f"http://testserver{typed}"}
    answer = Client().post(reverse("keep-sum", args=["seat"]), headers=seen)
    door = answer["HX-Redirect"] if part else answer["Location"]
    assert parse_qs(urlsplit(door).query)["next"] == [typed]


def test_the_figure_that_was_being_typed_comes_back_too(head: Head) -> None:
    page = f"{reverse('sum', args=['seat'])}?head={head.tag}"
    seen = {"HX-Request": "true", "HX-Current-URL": f"http://testserver{page}&cut=0.004"}
    answer = Client().get(f"{page}&cut=0.005", headers=seen)
    back = parse_qs(urlsplit(answer["HX-Redirect"]).query)["next"]
    assert back == [f"{page}&cut=0.005"]


def test_nobody_is_led_away_from_the_shop_by_signing_in(head: Head) -> None:
    address = reverse("record", args=[head.tag])
    answer = Client().post(address, headers={"Referer": "https://elsewhere.example/heads"})
    assert parse_qs(urlsplit(answer["Location"]).query)["next"] == [address]


def test_a_part_refused_to_a_viewer_carries_the_sentence(head: Head, viewer: Person) -> None:
    answer = signed_in(viewer).post(
        reverse("record", args=[head.tag]), headers={"HX-Request": "true"}
    )
    assert answer.status_code == 403
    assert "You%20may%20look" in answer["X-Sentence"]


@pytest.mark.parametrize("name", ["take-in", "record", "take-in-new", "sign-in", "sign-out"])
def test_nothing_is_taken_without_the_forms_own_token(
    head: Head, machinist: Person, name: str
) -> None:
    args = [head.tag] if name in {"take-in", "record"} else []
    answer = signed_in(machinist, csrf=True).post(reverse(name, args=args), {"mark": "x"})
    assert answer.status_code == 403
    assert "Send it once more" in answer.content.decode()


def test_every_answer_carries_the_content_policy(owner: Person) -> None:
    answer = signed_in(owner).get(reverse("rack"))
    policy = answer["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"
    assert "no-cache" in answer["Cache-Control"]


def test_an_unknown_head_is_one_sentence(owner: Person) -> None:
    answer = signed_in(owner).get(reverse("measure", args=["NO-1"]))
    assert answer.status_code == 404
    assert "There is no head &#x27;NO-1&#x27; on record" in answer.content.decode()


def test_an_unknown_address_is_one_sentence(owner: Person) -> None:
    answer = signed_in(owner).get("/no/such/page")
    assert answer.status_code == 404
    assert "There is nothing under this address." in answer.content.decode()


def test_a_heads_own_address_leads_to_its_step(head: Head, owner: Person) -> None:
    answer = signed_in(owner).get(reverse("head", args=[head.tag]))
    assert answer["Location"] == reverse("measure", args=[head.tag])


def test_a_fault_shows_no_traceback(
    head: Head, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_args: object, **_more: object) -> None:
        raise RuntimeError("secret inside")

    monkeypatch.setattr("castworthy.web.views.measure.measure_page", broken)
    client = signed_in(owner)
    client.raise_request_exception = False
    answer = client.get(reverse("measure", args=[head.tag]))
    assert answer.status_code == 500
    text = answer.content.decode()
    assert "Something broke on our side" in text
    assert "secret inside" not in text
    assert "Traceback" not in text
