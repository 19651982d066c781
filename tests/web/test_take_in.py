"""The door: a head comes in, its facts change, it goes no further."""

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions import sheets, trade
from castworthy.records.models import Customer, Head, Lot, Person, Supplier
from factories.sheet_texts import SMALL

NEW = "/heads/new"


@pytest.fixture
def client(machinist: Person, sheet: str) -> Client:
    client = Client()
    client.force_login(machinist)
    return client


def sent(**more: object) -> dict[str, object]:
    return {"sheet": "F2", "kind": "new casting"} | more


def wrong(answer, name: str) -> bool:
    """The control of that name says it is wrong."""
    text = answer.content.decode()
    tags = [part.split(">", 1)[0] for part in text.split("<") if f'name="{name}"' in part]
    return any('aria-invalid="true"' in tag for tag in tags)


def test_the_next_free_tag_is_proposed_and_taken(client: Client) -> None:
    text = client.get(NEW).content.decode()
    assert "Left empty, it gets F2-0001." in text
    answer = client.post(NEW, sent(mark="77 104"))
    assert answer["Location"] == reverse("take-in", args=["F2-0001"])
    head = Head.objects.get()
    assert (head.tag, head.mark, head.kind) == ("F2-0001", "77 104", "new casting")
    assert "Left empty, it gets F2-0002." in client.get(NEW).content.decode()


def test_the_tag_follows_the_sheet(client: Client, owner: Person) -> None:
    sheets.write_sheet(text=SMALL.replace('"F2"', '"G9"'), by=owner)
    part = client.get("/heads/new/tag?sheet=G9&tag=MINE").content.decode()
    assert "Left empty, it gets G9-0001." in part
    assert 'value="MINE"' in part


def test_a_new_supplier_lot_and_customer_are_added_on_the_spot(client: Client) -> None:
    answer = client.post(
        NEW,
        sent(
            lot="new",
            supplier="new",
            supplier_name="Lode Foundry",
            lot_code="7F",
            customer="new",
            customer_name="Ridge Farms",
            customer_contact="555 0100",
        ),
    )
    assert answer.status_code == 302
    head = Head.objects.get()
    assert str(head.lot) == "lot 7F from Lode Foundry"
    assert str(head.customer) == "Ridge Farms"


def test_what_is_new_but_not_named_marks_its_field(client: Client) -> None:
    answer = client.post(NEW, sent(lot="new", supplier="new", customer="new", mark="77 104"))
    assert answer.status_code == 422
    for name in ("lot_code", "supplier_name", "customer_name"):
        assert wrong(answer, name)
    assert 'value="77 104"' in answer.content.decode()
    assert not Head.objects.exists()
    assert not Supplier.objects.exists()


def test_what_was_added_is_chosen_when_the_head_is_refused(client: Client, head: Head) -> None:
    lots = Lot.objects.count()
    form = sent(tag=head.tag, customer="new", customer_name="Ridge Farms")
    form |= {"lot": "new", "supplier": "new", "supplier_name": "Gale", "lot_code": "9"}
    answer = client.post(NEW, form)
    assert answer.status_code == 422
    assert wrong(answer, "tag")
    assert f"{head.tag} is on record already" in answer.content.decode()
    lot, customer = Lot.objects.get(code="9"), Customer.objects.get()
    text = answer.content.decode()
    assert f'<option value="{lot.pk}" selected>' in text
    assert f'<option value="{customer.pk}" selected>' in text
    again = client.post(NEW, sent(lot=str(lot.pk), customer=str(customer.pk)))
    assert again.status_code == 302
    assert Lot.objects.count() == lots + 1


def test_a_core_has_a_customer_and_no_lot(client: Client, owner: Person) -> None:
    answer = client.post(NEW, sent(kind="core"))
    assert answer.status_code == 422
    assert wrong(answer, "customer")
    customer = trade.add_customer(name="Ridge Farms", by=owner)
    supplier = trade.add_supplier(name="Gale", by=owner)
    lot = trade.add_lot(supplier_id=supplier.pk, code="9", by=owner)
    answer = client.post(
        NEW,
        sent(
            kind="core",
            customer=str(customer.pk),
            lot=str(lot.pk),
            declared=["Overheated.", "Cut before."],
            history="Twice, they think.",
        ),
    )
    assert answer.status_code == 302
    head = Head.objects.get()
    assert head.lot is None
    assert head.history == "Overheated. Cut before. Twice, they think."


def test_the_lifting_caution_is_said(client: Client) -> None:
    assert "use a hoist" in client.get(NEW).content.decode()


def test_facts_change_and_the_lot_stays(client: Client, head: Head) -> None:
    address = reverse("take-in", args=[head.tag])
    lot = head.lot_id
    text = client.get(address).content.decode()
    assert f'<option value="{lot}" selected>' in text
    answer = client.post(address, {"deed": "keep", "mark": "77", "lot": str(lot), "note": "dented"})
    assert answer.status_code == 302
    head.refresh_from_db()
    assert (head.mark, head.note, head.lot_id) == ("77", "dented", lot)


def test_a_head_that_went_back_is_read_only_until_it_returns(client: Client, head: Head) -> None:
    address = reverse("take-in", args=[head.tag])
    answer = client.post(address, {"deed": "send-back", "why": ""})
    assert answer.status_code == 422
    assert "Say why" in answer.content.decode()
    assert client.post(address, {"deed": "send-back", "why": "porous"}).status_code == 302
    text = client.get(address).content.decode()
    assert "This head was sent back" in text
    assert "porous" in text
    assert 'value="keep"' not in text
    assert client.post(address, {"deed": "return", "why": "wrong head"}).status_code == 302
    head.refresh_from_db()
    assert head.outcome == ""


def test_a_head_stays_with_its_revision_until_told_otherwise(
    client: Client, head: Head, owner: Person
) -> None:
    sheets.write_sheet(text=SMALL.replace("high = 60", "high = 55"), by=owner)
    address = reverse("take-in", args=[head.tag])
    assert "Judge it by revision 2" in client.get(address).content.decode()
    client.post(address, {"deed": "adopt"})
    head.refresh_from_db()
    assert head.revision.number == 2
    assert "Judge it by revision" not in client.get(address).content.decode()


def test_without_a_sheet_the_door_says_what_comes_first(owner: Person) -> None:
    client = Client()
    client.force_login(owner)
    assert "First, write its spec sheet" in client.get(NEW).content.decode()
