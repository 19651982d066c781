"""Deeds about suppliers, their lots, and customers."""

from datetime import date

from castworthy.actions.deed import deed
from castworthy.actions.errors import DeedRefused
from castworthy.actions.texts import named, note_of
from castworthy.records.models import Customer, Lot, Person, Supplier

_LONGEST_NAME = 80
_LONGEST_CODE = 40


def add_supplier(*, name: str, contact: str = "", note: str = "", by: Person) -> Supplier:
    """Put a supplier on record.

    Raises
    ------
    DeedRefused
        If the name is empty or on record already.

    """
    with deed("supplier added", by=by) as told:
        supplier = Supplier()
        _fill(supplier, name=name, contact=contact, note=note)
        supplier.save()
        told.about(subject=supplier.name)
    return supplier


def change_supplier(
    *, supplier_id: int, name: str, contact: str = "", note: str = "", by: Person
) -> Supplier:
    """Change a supplier.

    Raises
    ------
    DeedRefused
        If there is none, or the new name is empty or another's.

    """
    with deed("supplier changed", by=by) as told:
        supplier = Supplier.objects.select_for_update().filter(pk=supplier_id).first()
        if supplier is None:
            raise DeedRefused("There is no such supplier on record.", code="unknown")
        before = supplier.name
        _fill(supplier, name=name, contact=contact, note=note)
        supplier.save()
        told.about(subject=supplier.name, before=before)
    return supplier


def add_lot(
    *, supplier_id: int, code: str, received_on: date | None = None, note: str = "", by: Person
) -> Lot:
    """Put a lot of a supplier's castings on record.

    Raises
    ------
    DeedRefused
        If there is no such supplier, or its lot code is empty or on record already.

    """
    with deed("lot added", by=by) as told:
        supplier = Supplier.objects.select_for_update().filter(pk=supplier_id).first()
        if supplier is None:
            raise DeedRefused("There is no such supplier on record.", field="supplier")
        kept = named(code, field="code", what="The lot code", longest=_LONGEST_CODE)
        if supplier.lots.filter(code__iexact=kept).exists():
            raise DeedRefused(
                f"Lot {kept} of {supplier} is on record already; choose it from the list.",
                field="code",
            )
        lot = Lot.objects.create(
            supplier=supplier, code=kept, received_on=received_on, note=note_of(note)
        )
        told.about(subject=str(lot))
    return lot


def add_customer(*, name: str, contact: str = "", note: str = "", by: Person) -> Customer:
    """Put a customer on record.

    Raises
    ------
    DeedRefused
        If the name is empty or on record already.

    """
    with deed("customer added", by=by) as told:
        customer = Customer()
        _fill(customer, name=name, contact=contact, note=note)
        customer.save()
        told.about(subject=customer.name)
    return customer


def change_customer(
    *, customer_id: int, name: str, contact: str = "", note: str = "", by: Person
) -> Customer:
    """Change a customer.

    Raises
    ------
    DeedRefused
        If there is none, or the new name is empty or another's.

    """
    with deed("customer changed", by=by) as told:
        customer = Customer.objects.select_for_update().filter(pk=customer_id).first()
        if customer is None:
            raise DeedRefused("There is no such customer on record.", code="unknown")
        before = customer.name
        _fill(customer, name=name, contact=contact, note=note)
        customer.save()
        told.about(subject=customer.name, before=before)
    return customer


def _fill(row: Supplier | Customer, *, name: str, contact: str, note: str) -> None:
    row.name = named(name, field="name", what="The name", longest=_LONGEST_NAME)
    if type(row).objects.filter(name__iexact=row.name).exclude(pk=row.pk).exists():
        raise DeedRefused(
            f"{row.name} is on record already; choose it from the list.", field="name"
        )
    row.contact = note_of(contact, field="contact", what="The contact")
    row.note = note_of(note)
