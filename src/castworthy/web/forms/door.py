"""Forms of the door: a head comes in, and what is known of it changes."""

from typing import Any

from django import forms

from castworthy.records.lookups.take_in import TakeInChoices
from castworthy.records.practices import MARK_VALVES

NEW = "new"
"""The choice that adds a supplier, a lot or a customer on the spot."""
CASTING = "new casting"
CORE = "core"

DECLARED = (
    ("Overheated.", "overheated"),
    ("Coolant lost.", "coolant lost"),
    ("Cut before.", "cut before"),
    ("Welded.", "welded"),
)
"""What an owner may say of a core: the sentence kept, the words offered."""


class OriginForm(forms.Form):
    """Where a head comes from: a supplier's lot, a customer, each of which may be new."""

    lot = forms.ChoiceField(label="Supplier's lot", required=False)
    supplier = forms.ChoiceField(label="Supplier", required=False)
    supplier_name = forms.CharField(label="Name of the new supplier", max_length=80, required=False)
    lot_code = forms.CharField(label="Code of the new lot", max_length=40, required=False)
    customer = forms.ChoiceField(label="Customer", required=False)
    customer_name = forms.CharField(label="Name of the new customer", max_length=80, required=False)
    customer_contact = forms.CharField(
        label="How to reach the new customer", max_length=200, required=False
    )

    def __init__(self, *args: Any, choices: TakeInChoices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lots = [(str(lot.id), f"{lot.supplier}, lot {lot.code}") for lot in choices.lots]
        customers = [(str(customer.id), customer.name) for customer in choices.customers]
        suppliers = [(str(supplier.id), supplier.name) for supplier in choices.suppliers]
        self.offer("lot", [("", "not known"), *lots, (NEW, "a new lot ...")])
        self.offer("supplier", [*suppliers, (NEW, "a new supplier ...")])
        self.offer("customer", [("", "nobody yet"), *customers, (NEW, "a new customer ...")])

    def offer(self, name: str, offered: list[tuple[str, str]]) -> None:
        """Give a field its choices."""
        field = self.fields[name]
        if isinstance(field, forms.ChoiceField):
            field.choices = offered

    def clean(self) -> dict[str, Any]:
        """A new name needs its name."""
        given = super().clean() or self.cleaned_data
        if given.get("lot") == NEW and not given.get("lot_code"):
            self.add_error("lot_code", "The new lot needs its code, as on the delivery note.")
        adds_supplier = given.get("lot") == NEW and given.get("supplier") in {NEW, ""}
        if adds_supplier and not given.get("supplier_name"):
            self.add_error("supplier_name", "The new supplier needs a name.")
        if given.get("customer") == NEW and not given.get("customer_name"):
            self.add_error("customer_name", "The new customer needs a name.")
        return given


class HeadFactsForm(OriginForm):
    """What may be changed of a head in the shop."""

    mark = forms.CharField(
        label="Mark on the casting",
        max_length=60,
        required=False,
        help_text="Cast or stamped: casting number, date, what the customer wrote.",
    )
    loaded = forms.BooleanField(
        label="Valves and springs are fitted", required=False, help_text=MARK_VALVES
    )
    history = forms.CharField(
        label="What is said of it",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    asked = forms.CharField(
        label="What is asked for",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )


class TakeInForm(HeadFactsForm):
    """What is known of a head at the door."""

    sheet = forms.ChoiceField(label="Spec sheet")
    kind = forms.ChoiceField(label="It is a", widget=forms.RadioSelect, initial=CASTING)
    tag = forms.CharField(label="Tag", max_length=24, required=False)
    declared = forms.MultipleChoiceField(
        label="Its owner says it was",
        choices=DECLARED,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, choices: TakeInChoices, **kwargs: Any) -> None:
        super().__init__(*args, choices=choices, **kwargs)
        self.offer("sheet", [(sheet.code, sheet.title) for sheet in choices.sheets])
        self.offer("kind", list(choices.kinds))

    def clean(self) -> dict[str, Any]:
        """A core stays somebody's property; a casting has no owner who says anything of it."""
        given = super().clean()
        if given.get("kind") == CORE and not given.get("customer"):
            self.add_error("customer", "A core stays its customer's property; choose the customer.")
        return given

    @property
    def told(self) -> str:
        """What is said of the head, the ticked sentences first."""
        given = self.cleaned_data
        declared = given["declared"] if given.get("kind") == CORE else []
        return " ".join([*declared, given["history"]]).strip()
