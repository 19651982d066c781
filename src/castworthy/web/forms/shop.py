"""Forms of the first run, signing in and taking a head in."""

from django import forms

from castworthy.records.lookups.take_in import TakeInChoices

UNITS = (("thou", "inches and thou"), ("in", "inches"), ("mm", "millimetres"))


class FirstRunForm(forms.Form):
    """The shop and its owner's account."""

    shop_name = forms.CharField(label="Name of the shop", max_length=80)
    full_name = forms.CharField(label="Your name", max_length=80)
    username = forms.CharField(
        label="Sign-in name", max_length=30, help_text="Short, typed with gloves on: ana, jon."
    )
    password = forms.CharField(
        label="Password",
        max_length=128,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="Ten characters or more, nothing common.",
    )
    show_length = forms.ChoiceField(
        label="You read lengths in", choices=UNITS, widget=forms.RadioSelect, initial="thou"
    )


class SignInForm(forms.Form):
    """Name and password."""

    name = forms.CharField(
        label="Sign-in name",
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autofocus": True}),
    )
    password = forms.CharField(
        label="Password",
        max_length=128,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class TakeInForm(forms.Form):
    """What is known of a head at the door."""

    sheet = forms.ChoiceField(label="Spec sheet")
    kind = forms.ChoiceField(label="It is a", widget=forms.RadioSelect)
    loaded = forms.BooleanField(label="Valves and springs are fitted", required=False)
    tag = forms.CharField(
        label="Tag", max_length=24, required=False, help_text="Empty takes the next free one."
    )
    mark = forms.CharField(label="Casting mark", max_length=60, required=False)
    lot = forms.ChoiceField(label="Supplier's lot", required=False)
    customer = forms.ChoiceField(
        label="Customer", required=False, help_text="A core stays this customer's property."
    )
    history = forms.CharField(
        label="What its owner says",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Overheated, coolant lost, cut before, welded.",
    )
    asked = forms.CharField(
        label="What is asked for",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: object, choices: TakeInChoices, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self._offer("sheet", [(s.code, f"{s.code} · {s.title}") for s in choices.sheets])
        self._offer("kind", list(choices.kinds))
        lots = [(str(lot.id), f"{lot.supplier}, lot {lot.code}") for lot in choices.lots]
        self._offer("lot", [("", "none"), *lots])
        customers = [(str(customer.id), customer.name) for customer in choices.customers]
        self._offer("customer", [("", "none"), *customers])

    def _offer(self, name: str, offered: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        if isinstance(field, forms.ChoiceField):
            field.choices = offered


class HeadFactsForm(forms.Form):
    """What may be changed of a head in the shop."""

    mark = forms.CharField(label="Casting mark", max_length=60, required=False)
    loaded = forms.BooleanField(label="Valves and springs are fitted", required=False)
    history = forms.CharField(
        label="What its owner says",
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
