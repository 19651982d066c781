"""The office pages: who may open them, what they show, and how they refuse."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from castworthy.actions import gauges, trade
from castworthy.actions.heads import take_in_head
from castworthy.actions.readings import Recorded, record_reading
from castworthy.records.lookups.as_received import AsReceived, received_by_supplier
from castworthy.records.lookups.judged import heads_since_check
from castworthy.records.models import (
    Customer,
    Gauge,
    Head,
    Lot,
    Operation,
    Person,
    Shop,
    Supplier,
)
from factories.shop import PASSWORD, measure_all

GAUGE = {"name": "DI-7", "reads": "bores", "unit": "mm", "u": "0.002", "resolution": "0.001"}
PAGES = ["gauges", "sheets", "suppliers", "customers", "search"]


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


@pytest.mark.parametrize("name", PAGES)
def test_stranger_is_led_to_the_door_and_back(owner: Person, name: str) -> None:
    answer = Client().get(reverse(name))
    assert answer.status_code == 302
    assert answer["Location"] == f"{reverse('sign-in')}?next={reverse(name).replace('/', '%2F')}"


@pytest.mark.parametrize("name", PAGES)
def test_viewer_reads_without_a_form(viewer: Person, name: str) -> None:
    answer = signed_in(viewer).get(reverse(name))
    assert answer.status_code == 200
    main = text_of(answer).split("<main", 1)[1]
    assert 'method="post"' not in main


@pytest.mark.parametrize("name", ["gauges", "suppliers", "customers"])
def test_viewer_sends_nothing(viewer: Person, name: str) -> None:
    answer = signed_in(viewer).post(reverse(name), GAUGE)
    assert answer.status_code == 403
    assert "You may look but not change anything." in text_of(answer)
    assert not Gauge.objects.exists()
    assert not Supplier.objects.exists()
    assert not Customer.objects.exists()


@pytest.mark.parametrize("name", [*PAGES, "people", "sheet-new"])
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

    @pytest.mark.parametrize(
        ("unit", "u", "status"), [("in", "1e9", 422), ("in", "0.0001", 302), ("kPa", "10", 302)]
    )
    def test_more_than_a_gauge_is_out_by(
        self, machinist: Person, unit: str, u: str, status: int
    ) -> None:
        answer = signed_in(machinist).post(reverse("gauges"), GAUGE | {"unit": unit, "u": u})
        assert answer.status_code == status
        assert Gauge.objects.exists() is (status == 302)

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


class TestSuppliers:
    def test_machinist_adds_one(self, machinist: Person) -> None:
        client = signed_in(machinist)
        sent = {"name": "Lode Foundry", "contact": "Ask for Mo", "note": ""}
        page = text_of(client.post(reverse("suppliers"), sent, follow=True))
        assert "The supplier is on record." in page
        assert Supplier.objects.get().contact == "Ask for Mo"

    def test_same_name_is_marked(self, machinist: Person) -> None:
        trade.add_supplier(name="Lode Foundry", by=machinist)
        sent = {"name": "lode foundry", "contact": "typed with care"}
        answer = signed_in(machinist).post(reverse("suppliers"), sent)
        assert answer.status_code == 422
        assert marked(answer, "name")
        assert "typed with care" in text_of(answer)
        assert Supplier.objects.count() == 1

    def test_lot_is_added_and_refused_twice(self, machinist: Person) -> None:
        row = trade.add_supplier(name="Lode Foundry", by=machinist)
        client = signed_in(machinist)
        address = reverse("supplier-lots", args=[row.pk])
        sent = {"lot-code": "7F", "lot-received_on": "2026-03-02", "lot-note": "on two pallets"}
        page = text_of(client.post(address, sent, follow=True))
        assert "Lot 7F" in page
        assert "on two pallets" in page
        again = client.post(address, sent)
        assert again.status_code == 422
        assert marked(again, "lot-code")
        assert not marked(again, "name")
        assert Lot.objects.count() == 1

    def test_change_and_its_refusal(self, machinist: Person) -> None:
        row = trade.add_supplier(name="Lode Foundry", by=machinist)
        client = signed_in(machinist)
        address = reverse("supplier", args=[row.pk])
        assert client.post(address, {"name": "Lode Castings"}).status_code == 302
        row.refresh_from_db()
        assert row.name == "Lode Castings"
        refused = client.post(address, {"name": ""})
        assert refused.status_code == 422
        assert marked(refused, "name")

    def test_heads_of_a_lot_lead_to_themselves(self, viewer: Person, head: Head) -> None:
        supplier = head.lot.supplier
        address = reverse("supplier", args=[supplier.pk])
        page = text_of(signed_in(viewer).get(address))
        assert f'href="{reverse("head", args=[head.tag])}"' in page
        assert "1 head<" in page
        lots = reverse("supplier-lots", args=[supplier.pk])
        assert signed_in(viewer).post(lots, {"lot-code": "8"}).status_code == 403
        assert Lot.objects.count() == 1

    def test_unknown_one_is_not_found(self, owner: Person) -> None:
        assert signed_in(owner).get(reverse("supplier", args=[999])).status_code == 404


class TestShop:
    NEW = {
        "shop_name": "Weir Heads",
        "address": "3 Weir Lane\nOld Harbour",
        "phone": "555 0142",
        "currency": "EUR",
        "warranty": "Twelve months on our own work.",
    }

    def test_owner_changes_what_papers_say(self, owner: Person) -> None:
        client = signed_in(owner)
        assert client.post(reverse("shop"), self.NEW).status_code == 302
        kept = Shop.objects.get()
        assert (kept.name, kept.phone, kept.currency) == ("Weir Heads", "555 0142", "EUR")
        page = text_of(client.get(reverse("shop")))
        assert "Weir Heads</title>" in page
        assert "Twelve months on our own work." in page
        assert "3 Weir Lane\nOld Harbour" in page

    @pytest.mark.parametrize(
        ("field", "typed"), [("shop_name", " "), ("currency", "pounds"), ("phone", "5" * 41)]
    )
    def test_wrong_field_is_marked(self, owner: Person, field: str, typed: str) -> None:
        before = Shop.objects.get().name
        answer = signed_in(owner).post(reverse("shop"), self.NEW | {field: typed})
        assert answer.status_code == 422
        assert marked(answer, field)
        assert "Twelve months" in text_of(answer)
        assert Shop.objects.get().name == before

    @pytest.mark.parametrize("who", ["machinist", "viewer"])
    def test_only_an_owner_opens_it(self, request, who: str) -> None:
        client = signed_in(request.getfixturevalue(who))
        for answer in (client.get(reverse("shop")), client.post(reverse("shop"), self.NEW)):
            assert answer.status_code == 403
        assert 'href="/shop"' not in text_of(client.get(reverse("rack")))


class TestCustomers:
    def test_machinist_adds_and_changes_one(self, machinist: Person) -> None:
        client = signed_in(machinist)
        page = text_of(client.post(reverse("customers"), {"name": "Hale Farm"}, follow=True))
        assert "The customer is on record." in page
        row = Customer.objects.get()
        address = reverse("customer", args=[row.pk])
        assert client.post(address, {"name": "Hale Farm", "note": "pays late"}).status_code == 302
        assert "pays late" in text_of(client.get(address))

    def test_empty_name_is_marked(self, machinist: Person) -> None:
        sent = {"name": "", "note": "typed with care"}
        answer = signed_in(machinist).post(reverse("customers"), sent)
        assert answer.status_code == 422
        assert marked(answer, "name")
        assert "typed with care" in text_of(answer)
        assert not Customer.objects.exists()

    def test_viewer_reads_one_and_changes_nothing(self, viewer: Person, owner: Person) -> None:
        row = trade.add_customer(name="Hale Farm", contact="Gate 3 <left>", by=owner)
        address = reverse("customer", args=[row.pk])
        page = text_of(signed_in(viewer).get(address))
        assert "Gate 3 &lt;left&gt;" in page
        assert 'name="name"' not in page
        assert signed_in(viewer).post(address, {"name": "Mine"}).status_code == 403
        row.refresh_from_db()
        assert row.name == "Hale Farm"

    def test_unknown_one_is_not_found(self, owner: Person) -> None:
        assert signed_in(owner).get(reverse("customer", args=[999])).status_code == 404


class TestPeople:
    NEW = {
        "full_name": "Jon Pike",
        "username": "jon",
        "password": PASSWORD,
        "role": "viewer",
        "show_length": "mm",
    }

    @pytest.mark.parametrize("who", ["machinist", "viewer"])
    def test_only_an_owner_opens_the_list(self, request, who: str) -> None:
        client = signed_in(request.getfixturevalue(who))
        for answer in (client.get(reverse("people")), client.post(reverse("people"), self.NEW)):
            assert answer.status_code == 403
            assert "Only an owner of the shop may do this." in text_of(answer)
        assert not Person.objects.filter(username="jon").exists()

    def test_stranger_is_led_to_the_door(self, owner: Person) -> None:
        for address in (reverse("people"), reverse("person", args=["olive"])):
            answer = Client().get(address)
            assert answer.status_code == 302
            assert answer["Location"].startswith(reverse("sign-in"))

    def test_owner_opens_an_account_that_signs_in(self, owner: Person) -> None:
        assert signed_in(owner).post(reverse("people"), self.NEW).status_code == 302
        jon = Person.objects.get(username="jon")
        assert (jon.role, jon.show_length) == ("viewer", "mm")
        assert Client().login(username="jon", password=PASSWORD)

    @pytest.mark.parametrize(
        ("field", "typed"), [("username", "olive"), ("password", "short"), ("role", "king")]
    )
    def test_wrong_field_is_marked(self, owner: Person, field: str, typed: str) -> None:
        answer = signed_in(owner).post(reverse("people"), self.NEW | {field: typed})
        assert answer.status_code == 422
        assert marked(answer, field)
        assert 'value="Jon Pike"' in text_of(answer)
        assert PASSWORD not in text_of(answer)
        assert not Person.objects.filter(username="jon").exists()

    def test_owner_changes_role_and_closes_the_account(
        self, owner: Person, machinist: Person
    ) -> None:
        address = reverse("person-account", args=[machinist.username])
        sent = {"account-full_name": "Ana Reed", "account-role": "viewer"}
        theirs = signed_in(machinist)
        assert signed_in(owner).post(address, sent).status_code == 302
        machinist.refresh_from_db()
        assert (machinist.role, machinist.is_active) == ("viewer", False)
        assert theirs.get(reverse("gauges")).status_code == 302

    def test_last_owner_stays(self, owner: Person) -> None:
        address = reverse("person-account", args=[owner.username])
        sent = {
            "account-full_name": "Olive Marsh",
            "account-role": "viewer",
            "account-active": "on",
        }
        answer = signed_in(owner).post(address, sent)
        assert answer.status_code == 422
        assert marked(answer, "account-role")
        owner.refresh_from_db()
        assert owner.role == "owner"

    def test_owner_sets_a_password_for_another(self, owner: Person, viewer: Person) -> None:
        address = reverse("person-password", args=[viewer.username])
        answer = signed_in(owner).post(address, {"password-password": "quite another phrase"})
        assert answer.status_code == 302
        viewer.refresh_from_db()
        assert viewer.check_password("quite another phrase")

    def test_own_password_wants_the_old_one_and_stays_signed_in(self, viewer: Person) -> None:
        client = signed_in(viewer)
        address = reverse("person-password", args=[viewer.username])
        sent = {"password-old_password": "wrong", "password-password": "quite another phrase"}
        refused = client.post(address, sent)
        assert refused.status_code == 422
        assert marked(refused, "password-old_password")
        sent["password-old_password"] = PASSWORD
        assert client.post(address, sent).status_code == 302
        assert client.get(reverse("gauges")).status_code == 200
        viewer.refresh_from_db()
        assert viewer.check_password("quite another phrase")

    def test_viewer_chooses_own_units(self, viewer: Person) -> None:
        client = signed_in(viewer)
        page = text_of(client.post(reverse("own-units"), {"units-show_length": "mm"}, follow=True))
        assert "Lengths are shown in these units from now on." in page
        viewer.refresh_from_db()
        assert viewer.show_length == "mm"
        assert client.post(reverse("own-units"), {"units-show_length": "ell"}).status_code == 422

    def test_another_account_is_closed_to_all_but_owners(
        self, machinist: Person, viewer: Person
    ) -> None:
        client = signed_in(machinist)
        sent = {"password-password": "quite another phrase"}
        for name in (viewer.username, "nobody"):
            assert client.get(reverse("person", args=[name])).status_code == 403
            assert client.post(reverse("person-password", args=[name]), sent).status_code == 403
            assert client.post(reverse("person-account", args=[name]), {}).status_code == 403
        viewer.refresh_from_db()
        assert viewer.check_password(PASSWORD)

    def test_own_page_of_a_machinist_has_no_role_to_choose(self, machinist: Person) -> None:
        page = text_of(signed_in(machinist).get(reverse("person", args=[machinist.username])))
        assert 'name="account-role"' not in page
        assert 'name="units-show_length"' in page

    def test_unknown_one_is_not_found(self, owner: Person) -> None:
        assert signed_in(owner).get(reverse("person", args=["nobody"])).status_code == 404


class TestSearch:
    def test_exact_tag_goes_to_the_head(self, viewer: Person, head: Head) -> None:
        answer = signed_in(viewer).get(reverse("search"), {"q": f" {head.tag.lower()} "})
        assert answer.status_code == 302
        assert answer["Location"] == reverse("head", args=[head.tag])

    def test_part_of_a_tag_lists_it(self, viewer: Person, head: Head) -> None:
        page = text_of(signed_in(viewer).get(reverse("search"), {"q": head.tag[:4]}))
        assert f'href="{reverse("head", args=[head.tag])}"' in page
        assert "1 head for" in page

    def test_nothing_found_is_said(self, viewer: Person, head: Head) -> None:
        page = text_of(signed_in(viewer).get(reverse("search"), {"q": "<nowhere>"}))
        assert "No head for “&lt;nowhere&gt;”" in page
        assert reverse("head", args=[head.tag]) not in page


class TestReadyAsReceived:
    def test_counts_are_told_and_a_share_is_not_made_of_few(
        self, owner: Person, viewer: Person, sheet: str
    ) -> None:
        supplier = trade.add_supplier(name="Lode Foundry", by=owner)
        lot = trade.add_lot(supplier_id=supplier.pk, code="7F", by=owner)
        for number, other in enumerate(({}, {("recession", "2B"): "0.0493 in"}, None)):
            tag = f"F2-010{number}"
            take_in_head(tag=tag, sheet=sheet, kind="new casting", lot_id=lot.pk, by=owner)
            if other is not None:
                measure_all(tag, by=owner, other=other)
        client = signed_in(viewer)
        row = text_of(client.get(reverse("suppliers"))).split("Lode Foundry", 1)[1]
        assert "<strong>1 of 2</strong>" in row
        assert "too few for a share" in row
        page = text_of(client.get(reverse("supplier", args=[supplier.pk])))
        assert "Of 3 heads 2 are measured through" in page
        assert "That is too few to put a share on." in page
        assert "3 heads, 1 of 2 ready as received" in page

    def test_a_head_that_was_worked_on_was_not_ready(self, owner: Person, sheet: str) -> None:
        supplier = trade.add_supplier(name="Lode Foundry", by=owner)
        lot = trade.add_lot(supplier_id=supplier.pk, code="7F", by=owner)
        head = take_in_head(tag="F2-0100", sheet=sheet, kind="new casting", lot_id=lot.pk, by=owner)
        measure_all(head.tag, by=owner)
        assert received_by_supplier()[supplier.pk].ready_count == 1
        Operation.objects.create(
            head=head, position=1, kind="deck", state="done", done_number=1, taken_mm=0.1
        )
        counts = received_by_supplier()[supplier.pk]
        assert (counts.measured_count, counts.ready_count) == (1, 0)

    def test_twenty_measured_get_a_share(self) -> None:
        assert AsReceived(heads_count=19, measured_count=19, ready_count=7).few
        enough = AsReceived(heads_count=21, measured_count=20, ready_count=7)
        assert not enough.few
        assert enough.percent == 35


class TestSinceCheck:
    def read_with(self, gauge: str, tag: str, by: Person, *, place: str) -> None:
        answer = record_reading(
            tag=tag,
            uuid=uuid4(),
            quantity="recession",
            place=place,
            typed="0.0390 in",
            side="below",
            gauge=gauge,
            by=by,
        )
        assert isinstance(answer, Recorded)

    def test_heads_read_before_the_check_are_left_out(
        self, owner: Person, viewer: Person, sheet: str
    ) -> None:
        row = gauges.add_gauge(**GAUGE, by=owner)
        for tag in ("F2-0101", "F2-0102"):
            take_in_head(tag=tag, sheet=sheet, kind="new casting", by=owner)
        address = reverse("gauge", args=[row.pk])
        client = signed_in(viewer)
        assert "Nothing was read with it yet." in text_of(client.get(address))
        self.read_with("DI-7", "F2-0101", owner, place="1A")
        page = text_of(client.get(address))
        assert "No check of it is on record" in page
        assert "F2-0101" in page
        later = timezone.localdate() + timedelta(days=300)
        gauges.change_gauge(gauge_id=row.pk, **GAUGE, calibrated_until=later, by=owner)
        self.read_with("DI-7", "F2-0102", owner, place="1A")
        page = text_of(client.get(address))
        assert "by Olive Marsh" in page
        assert "F2-0102" in page
        assert "F2-0101" not in page

    def test_a_change_of_other_figures_is_no_check(self, owner: Person, sheet: str) -> None:
        later = timezone.localdate() + timedelta(days=300)
        row = gauges.add_gauge(**GAUGE, calibrated_until=later, by=owner)
        take_in_head(tag="F2-0101", sheet=sheet, kind="new casting", by=owner)
        self.read_with("DI-7", "F2-0101", owner, place="1A")
        changed = GAUGE | {"note": "new battery"}
        gauges.change_gauge(gauge_id=row.pk, **changed, calibrated_until=later, by=owner)
        since = heads_since_check(row.pk)
        assert [each.head.tag for each in since.heads] == ["F2-0101"]
        assert since.heads[0].readings_count == 1


class TestSearchAsTyped:
    def test_a_part_is_answered_with_the_rows_alone(self, viewer: Person, head: Head) -> None:
        client = signed_in(viewer)
        answer = client.get(reverse("search"), {"q": head.tag}, headers={"HX-Request": "true"})
        assert answer.status_code == 200
        assert head.tag in text_of(answer)
        assert "<html" not in text_of(answer)

    def test_enter_on_a_whole_tag_leads_to_its_head(self, viewer: Person, head: Head) -> None:
        answer = signed_in(viewer).get(reverse("search"), {"q": head.tag.lower()})
        assert answer.status_code == 302
        assert answer["Location"] == reverse("head", args=[head.tag])
