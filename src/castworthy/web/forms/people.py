"""Forms of accounts."""

from django import forms

from castworthy.records.lookups.people import ROLES, SHOW_LENGTHS
from castworthy.web.forms.office import OfficeForm


def _password(label: str, *, autocomplete: str = "new-password", hint: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=128,
        strip=False,
        help_text=hint,
        widget=forms.PasswordInput(attrs={"autocomplete": autocomplete}),
    )


_RULE = "Ten characters or more, nothing common."


class PersonForm(OfficeForm):
    """A new account."""

    full_name = forms.CharField(label="Name", max_length=80)
    username = forms.CharField(
        label="Sign-in name",
        max_length=30,
        help_text="Short, typed with gloves on: ana, jon.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    password = _password("Password", hint=_RULE)
    role = forms.ChoiceField(label="Role", choices=ROLES, initial="machinist")
    show_length = forms.ChoiceField(label="Reads lengths in", choices=SHOW_LENGTHS, initial="thou")


class AccountForm(OfficeForm):
    """What an owner may change of an account."""

    full_name = forms.CharField(label="Name", max_length=80)
    role = forms.ChoiceField(label="Role", choices=ROLES)
    active = forms.BooleanField(
        label="May sign in", required=False, help_text="Their readings and work stay either way."
    )


class UnitsForm(OfficeForm):
    """The units one reads lengths in."""

    show_length = forms.ChoiceField(
        label="You read lengths in", choices=SHOW_LENGTHS, widget=forms.RadioSelect
    )


class NewPasswordForm(OfficeForm):
    """A password an owner sets for somebody else."""

    password = _password("New password", hint=_RULE)


class OwnPasswordForm(OfficeForm):
    """One's own password, with the old one."""

    old_password = _password("Old password", autocomplete="current-password")
    password = _password("New password", hint=_RULE)
