"""Letting a head go unready, and taking it back."""

from django import forms


class ReasonForm(forms.Form):
    """Why; it stays on record."""

    reason = forms.CharField(
        label="Reason",
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say why in a few words; it goes on the record."},
    )
