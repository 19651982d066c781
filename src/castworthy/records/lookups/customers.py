"""Customers and their heads."""

from dataclasses import dataclass

from django.db.models import Count, Q
from django.utils import timezone

from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.rack import RackHead, rack_head
from castworthy.records.models import Customer, Head, Outcome

_MOST_HEADS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerLine:
    """One customer of the list; counts are of heads."""

    id: int
    name: str
    heads_count: int
    in_shop_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerHead:
    """A head of a customer; ``outcome`` is empty while it is in the shop."""

    head: RackHead
    outcome: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerPage:
    """A customer with the last heads, in the shop first."""

    id: int
    name: str
    contact: str
    note: str
    heads: tuple[CustomerHead, ...]


def customers() -> tuple[CustomerLine, ...]:
    """Every customer by name."""
    rows = Customer.objects.annotate(
        heads_count=Count("heads"),
        in_shop_count=Count("heads", filter=Q(heads__outcome=Outcome.IN_SHOP)),
    )
    return tuple(
        CustomerLine(
            id=row.pk,
            name=row.name,
            heads_count=row.heads_count,
            in_shop_count=row.in_shop_count,
        )
        for row in rows.order_by("name")
    )


def customer_page(customer_id: int) -> CustomerPage:
    """One customer.

    Raises
    ------
    NotOnRecord
        If there is none of that number.

    """
    row = Customer.objects.filter(pk=customer_id).first()
    if row is None:
        raise NotOnRecord("There is no such customer on record.")
    now = timezone.now()
    heads = (
        Head.objects.filter(customer=row)
        .select_related("revision__sheet", "lot__supplier", "customer")
        .defer("revision__text")
        .order_by("outcome", "-taken_in_at", "-id")[:_MOST_HEADS]
    )
    return CustomerPage(
        id=row.pk,
        name=row.name,
        contact=row.contact,
        note=row.note,
        heads=tuple(
            CustomerHead(head=rack_head(head, now=now), outcome=head.outcome) for head in heads
        ),
    )
