"""The office pages: who may open them, what they show, and how they refuse."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from castworthy.actions import gauges
from castworthy.records.models import Gauge, Person

GAUGE = {"name": "DI-7", "reads": "bores", "unit": "mm", "u": "0.002", "resolution": "0.001"}


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def text_of(response) -> str:
    return response.content.decode()


def marked(response, field: str) -> bool:
    """The control of that name says that it is wrong."""
    tag = next(
        part.split(">", 1)[0]
        for part in text_of(response).split("<")
        if part.startswith(("input", "select", "textarea")) and f'name="{field}"' in part
    )
    return 'aria-invalid="true"' in tag


@pytest.mark.parametrize("name", ["gauges"])
def test_stranger_is_led_to_the_door_and_back(owner: Person, name: str) -> None:
    answer = Client().get(reverse(name))
    assert answer.status_code == 302
    assert answer["Location"] == f"{reverse('sign-in')}?next={reverse(name).replace('/', '%2F')}"


@pytest.mark.parametrize("name", ["gauges"])
def test_viewer_reads_without_a_form(viewer: Person, name: str) -> None:
    answer = signed_in(viewer).get(reverse(name))
    assert answer.status_code == 200
    main = text_of(answer).split("<main", 1)[1]
    assert 'method="post"' not in main


@pytest.mark.parametrize("name", ["gauges"])
def test_viewer_sends_nothing(viewer: Person, name: str) -> None:
    answer = signed_in(viewer).post(reverse(name), GAUGE)
    assert answer.status_code == 403
    assert "You may look but not change anything." in text_of(answer)
    assert not Gauge.objects.exists()


@pytest.mark.parametrize("name", ["gauges"])
def test_pages_carry_no_script_or_style_of_their_own(owner: Person, name: str) -> None:
    page = text_of(signed_in(owner).get(reverse(name)))
    assert " style=" not in page
    assert "<style" not in page
    assert "<script>" not in page
    assert " onclick=" not in page


class TestGauges:
    def test_machinist_adds_one(self, machinist: Person) -> None:
        client = signed_in(machinist)
        answer = client.post(reverse("gauges"), GAUGE, follow=True)
        assert answer.redirect_chain == [(reverse("gauges"), 302)]
        assert "The gauge is on record." in text_of(answer)
        assert "DI-7" in text_of(answer)
        assert Gauge.objects.get().u == pytest.approx(0.002, rel=1e-12)

    def test_no_uncertainty_is_marked_and_nothing_typed_is_lost(self, machinist: Person) -> None:
        answer = signed_in(machinist).post(reverse("gauges"), GAUGE | {"u": "0"})
        assert answer.status_code == 422
        assert marked(answer, "u")
        assert not marked(answer, "name")
        assert 'value="DI-7"' in text_of(answer)
        assert not Gauge.objects.exists()

    @pytest.mark.parametrize(
        ("field", "typed"), [("name", ""), ("calibrated_until", "soon"), ("unit", "furlong")]
    )
    def test_wrong_field_is_marked(self, machinist: Person, field: str, typed: str) -> None:
        answer = signed_in(machinist).post(reverse("gauges"), GAUGE | {field: typed})
        assert answer.status_code == 422
        assert marked(answer, field)
        assert not Gauge.objects.exists()

    def test_overdue_one_is_told(self, owner: Person) -> None:
        yesterday = timezone.localdate() - timedelta(days=1)
        gauges.add_gauge(**GAUGE, calibrated_until=yesterday, by=owner)
        page = text_of(signed_in(owner).get(reverse("gauges")))
        assert "1 gauge is past the calibration date" in page
        assert "overdue since" in page

    def test_one_in_date_is_not_told(self, owner: Person) -> None:
        later = timezone.localdate() + timedelta(days=300)
        gauges.add_gauge(**GAUGE, calibrated_until=later, by=owner)
        assert "overdue" not in text_of(signed_in(owner).get(reverse("gauges")))

    def test_calibration_is_entered(self, machinist: Person) -> None:
        row = gauges.add_gauge(**GAUGE, by=machinist)
        address = reverse("gauge", args=[row.pk])
        client = signed_in(machinist)
        assert 'value="0.002"' in text_of(client.get(address))
        sent = GAUGE | {"u": "0.00003", "calibrated_until": "2031-05-04", "retired": "on"}
        assert client.post(address, sent).status_code == 302
        row.refresh_from_db()
        assert row.calibrated_until.isoformat() == "2031-05-04"
        assert row.u == pytest.approx(0.00003, rel=1e-12)
        assert row.retired
        assert "0.00003 mm" in text_of(client.get(reverse("gauges")))

    def test_refused_change_leaves_it(self, machinist: Person) -> None:
        row = gauges.add_gauge(**GAUGE, by=machinist)
        address = reverse("gauge", args=[row.pk])
        answer = signed_in(machinist).post(address, GAUGE | {"u_bias": "0.5"})
        assert answer.status_code == 422
        assert marked(answer, "u_bias")
        row.refresh_from_db()
        assert row.u_bias == 0

    def test_viewer_reads_its_figures(self, viewer: Person, owner: Person) -> None:
        row = gauges.add_gauge(**GAUGE, by=owner)
        address = reverse("gauge", args=[row.pk])
        page = text_of(signed_in(viewer).get(address))
        assert "0.002 mm" in page
        assert 'name="u"' not in page
        assert signed_in(viewer).post(address, GAUGE | {"u": "1"}).status_code == 403

    def test_unknown_one_is_not_found(self, owner: Person) -> None:
        answer = signed_in(owner).get(reverse("gauge", args=[999]))
        assert answer.status_code == 404
        assert "There is no such gauge on record." in text_of(answer)
