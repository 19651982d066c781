"""What one chooses from when a head comes in."""

from dataclasses import dataclass

from castworthy.records.models import Customer, Kind, Lot, SpecSheet, Supplier
from castworthy.records.tags import next_tag


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetChoice:
    """A sheet a head may be judged by, with the next free tag of its heads."""

    code: str
    title: str
    next_tag: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LotChoice:
    """A lot a casting may come from."""

    id: int
    code: str
    supplier_id: int
    supplier: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierChoice:
    """A supplier a new lot may be from."""

    id: int
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerChoice:
    """A customer a head may be for."""

    id: int
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeInChoices:
    """Everything the take-in form offers; ``kinds`` are value and title."""

    sheets: tuple[SheetChoice, ...]
    lots: tuple[LotChoice, ...]
    suppliers: tuple[SupplierChoice, ...]
    customers: tuple[CustomerChoice, ...]
    kinds: tuple[tuple[str, str], ...]


def take_in_choices() -> TakeInChoices:
    """Sheets that are not retired, lots newest first, suppliers and customers by name."""
    return TakeInChoices(
        sheets=tuple(
            SheetChoice(code=code, title=title, next_tag=next_tag(code))
            for code, title in SpecSheet.objects.filter(retired=False).values_list("code", "title")
        ),
        lots=tuple(
            LotChoice(id=pk, code=code, supplier_id=supplier_id, supplier=supplier)
            for pk, code, supplier_id, supplier in Lot.objects.order_by("-id").values_list(
                "id", "code", "supplier_id", "supplier__name"
            )
        ),
        suppliers=tuple(
            SupplierChoice(id=pk, name=name)
            for pk, name in Supplier.objects.values_list("id", "name")
        ),
        customers=tuple(
            CustomerChoice(id=pk, name=name)
            for pk, name in Customer.objects.values_list("id", "name")
        ),
        kinds=tuple((kind.value, str(kind.label)) for kind in Kind),
    )
