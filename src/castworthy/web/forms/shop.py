"""Forms of the first run, of the shop and of signing in."""

from django import forms

UNITS = (("thou", "inches and thou"), ("in", "inches"), ("mm", "millimetres"))


class FirstRunForm(forms.Form):
    """The shop and its owner's account."""

    shop_name = forms.CharField(label="Name of the shop", max_length=80)
    full_name = forms.CharField(label="Your name", max_length=80)
    username = forms.CharField(
        label="Sign-in name",
        max_length=30,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
        help_text="Short enough to type with oily hands, such as your first name.",
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


class ShopForm(forms.Form):
    """What pages and papers say of the shop."""

    shop_name = forms.CharField(label="Name of the shop", max_length=80)
    address = forms.CharField(
        label="Address",
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "street-address"}),
        help_text="As it stands at the foot of every paper.",
    )
    phone = forms.CharField(
        label="Telephone",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "tel"}),
    )
    currency = forms.CharField(
        label="Currency", max_length=3, help_text="The sign or its letters, as $ or EUR."
    )
    warranty = forms.CharField(
        label="Warranty",
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Your own words, for the release record; earlier records keep theirs.",
    )


class SignInForm(forms.Form):
    """Name and password."""

    name = forms.CharField(
        label="Sign-in name",
        max_length=150,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "autofocus": True}
        ),
    )
    password = forms.CharField(
        label="Password",
        max_length=128,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
