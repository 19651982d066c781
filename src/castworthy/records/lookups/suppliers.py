"""Suppliers, their lots and the heads that came in them."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q
from django.utils import timezone

from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.rack import RackHead, rack_head
from castworthy.records.models import Head, Lot, Outcome, Supplier

_MOST_HEADS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierLine:
    """One supplier of the list; counts are of heads."""

    id: int
    name: str
    lots_count: int
    heads_count: int
    in_shop_count: int
    sent_back_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LotHead:
    """A head of a lot; ``outcome`` is empty while it is in the shop."""

    head: RackHead
    outcome: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LotFacts:
    """A lot with its heads."""

    id: int
    code: str
    received_on: date | None
    note: str
    heads: tuple[LotHead, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierPage:
    """A supplier with its lots, newest first."""

    id: int
    name: str
    contact: str
    note: str
    lots: tuple[LotFacts, ...]


def suppliers() -> tuple[SupplierLine, ...]:
    """Every supplier by name."""
    rows = Supplier.objects.annotate(
        lots_count=Count("lots", distinct=True),
        heads_count=Count("lots__heads", distinct=True),
        in_shop_count=Count(
            "lots__heads", distinct=True, filter=Q(lots__heads__outcome=Outcome.IN_SHOP)
        ),
        sent_back_count=Count(
            "lots__heads", distinct=True, filter=Q(lots__heads__outcome=Outcome.SENT_BACK)
        ),
    )
    return tuple(
        SupplierLine(
            id=row.pk,
            name=row.name,
            lots_count=row.lots_count,
            heads_count=row.heads_count,
            in_shop_count=row.in_shop_count,
            sent_back_count=row.sent_back_count,
        )
        for row in rows.order_by("name")
    )


def supplier_page(supplier_id: int) -> SupplierPage:
    """One supplier, its lots and their last heads.

    Raises
    ------
    NotOnRecord
        If there is none of that number.

    """
    row = Supplier.objects.filter(pk=supplier_id).first()
    if row is None:
        raise NotOnRecord("There is no such supplier on record.")
    now = timezone.now()
    by_lot: dict[int | None, list[LotHead]] = defaultdict(list)
    heads = (
        Head.objects.filter(lot__supplier=row)
        .select_related("revision__sheet", "lot__supplier", "customer")
        .defer("revision__text")
        .order_by("-taken_in_at", "-id")[:_MOST_HEADS]
    )
    for head in heads:
        by_lot[head.lot_id].append(LotHead(head=rack_head(head, now=now), outcome=head.outcome))
    return SupplierPage(
        id=row.pk,
        name=row.name,
        contact=row.contact,
        note=row.note,
        lots=tuple(_lot(lot, heads=by_lot[lot.pk]) for lot in row.lots.order_by("-id")),
    )


def _lot(lot: Lot, *, heads: list[LotHead]) -> LotFacts:
    return LotFacts(
        id=lot.pk,
        code=lot.code,
        received_on=lot.received_on,
        note=lot.note,
        heads=tuple(heads),
    )
