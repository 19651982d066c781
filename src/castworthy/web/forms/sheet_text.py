"""The form of a sheet written as text."""

from django import forms

from castworthy.web.forms.office import OfficeForm


class SheetTextForm(OfficeForm):
    """A sheet's whole text, kept to the last blank so that its lines keep their numbers."""

    text = forms.CharField(
        label="The sheet",
        strip=False,
        help_text="TOML, format 1. The code in the text names the sheet.",
        widget=forms.Textarea(
            attrs={
                "rows": 30,
                "class": "mono",
                "spellcheck": "false",
                "autocapitalize": "off",
                "autocomplete": "off",
            }
        ),
    )
    note = forms.CharField(
        label="What is new",
        required=False,
        max_length=200,
        help_text="Why this revision, for whoever looks it up later.",
    )
    base_number = forms.IntegerField(
        required=False, min_value=1, max_value=1_000_000_000, widget=forms.HiddenInput()
    )
