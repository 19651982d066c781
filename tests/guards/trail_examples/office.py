"""Examples of the deeds of the office."""

from castworthy.actions import gauges, people, sheets, trade
from castworthy.records.models import Person, Shop, SignInAttempt
from factories import shop
from factories.sheet_texts import SMALL
from trail_examples import Deed, Stage, example, not_a_deed

not_a_deed("people.sign_in_allowed")


@example("people.create_shop")
def _(stage: Stage) -> Deed:
    Shop.objects.all().delete()
    return lambda: people.create_shop(
        shop_name="Weir Heads", username="wim", full_name="Wim Weir", password=shop.PASSWORD
    )


@example("people.change_shop")
def _(stage: Stage) -> Deed:
    return lambda: people.change_shop(name="Weir Heads", by=stage.owner)


@example("people.add_person")
def _(stage: Stage) -> Deed:
    return lambda: people.add_person(
        username="wim", full_name="Wim Weir", password=shop.PASSWORD, by=stage.owner
    )


@example("people.change_person")
def _(stage: Stage) -> Deed:
    return lambda: people.change_person(
        person_id=stage.machinist.pk, full_name="Ana Reed", role="viewer", by=stage.owner
    )


@example("people.set_password")
def _(stage: Stage) -> Deed:
    return lambda: people.set_password(
        person_id=stage.machinist.pk,
        password="another long phrase",
        old_password=shop.PASSWORD,
        by=stage.machinist,
    )


@example("people.change_units")
def _(stage: Stage) -> Deed:
    return lambda: people.change_units(show_length="mm", by=stage.machinist)


@example("people.sign_in")
def _(stage: Stage) -> Deed:
    return lambda: people.sign_in(name="ana", password=shop.PASSWORD, address="10.0.0.7")


@example("people.record_sign_in")
def _(stage: Stage) -> Deed:
    assert not SignInAttempt.objects.exists()
    person: Person | None = None
    return lambda: people.record_sign_in(name="nobody", address="10.0.0.7", person=person)


@example("trade.add_supplier")
def _(stage: Stage) -> Deed:
    return lambda: trade.add_supplier(name="Gale Foundry", by=stage.owner)


@example("trade.change_supplier")
def _(stage: Stage) -> Deed:
    supplier = trade.add_supplier(name="Gale Foundry", by=stage.owner)
    return lambda: trade.change_supplier(
        supplier_id=supplier.pk, name="Gale Castings", by=stage.owner
    )


@example("trade.add_lot")
def _(stage: Stage) -> Deed:
    supplier = trade.add_supplier(name="Gale Foundry", by=stage.owner)
    return lambda: trade.add_lot(supplier_id=supplier.pk, code="8A", by=stage.owner)


@example("trade.add_customer")
def _(stage: Stage) -> Deed:
    return lambda: trade.add_customer(name="Ridge Farms", by=stage.owner)


@example("trade.change_customer")
def _(stage: Stage) -> Deed:
    customer = trade.add_customer(name="Ridge Farms", by=stage.owner)
    return lambda: trade.change_customer(customer_id=customer.pk, name="Ridge Farm", by=stage.owner)


@example("gauges.add_gauge")
def _(stage: Stage) -> Deed:
    return lambda: gauges.add_gauge(name="DG-1", unit="in", u="0.0002", by=stage.owner)


@example("gauges.change_gauge")
def _(stage: Stage) -> Deed:
    gauge = gauges.add_gauge(name="DG-1", unit="in", u="0.0002", by=stage.owner)
    return lambda: gauges.change_gauge(
        gauge_id=gauge.pk, name="DG-1", unit="in", u="0.0003", by=stage.owner
    )


@example("sheets.write_sheet")
def _(stage: Stage) -> Deed:
    text = SMALL.replace("high = 0.003", "high = 0.002")
    return lambda: sheets.write_sheet(text=text, note="tighter", by=stage.owner)


@example("sheets.retire_sheet")
def _(stage: Stage) -> Deed:
    return lambda: sheets.retire_sheet(code=stage.sheet, by=stage.owner)
