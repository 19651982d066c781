"""Forms of the office: gauges, suppliers with their lots, customers."""

from decimal import Decimal

from django import forms

from castworthy.actions.gauges import GAUGE_UNITS
from castworthy.units import UnitError, read_value

_MOST_MM = 5.0
"""Far above what a length gauge is out by (common practice, no source)."""


class OfficeForm(forms.Form):
    """A form whose empty fields are told by their names."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.error_messages["required"] = f"{field.label} is empty; write it in."


def day(label: str, *, help_text: str = "") -> forms.DateField:
    """A day that may be left empty."""
    return forms.DateField(
        label=label,
        required=False,
        help_text=help_text,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        error_messages={"invalid": "This is no day; write year, month and day, as 2027-03-31."},
    )


def lines(label: str, *, help_text: str = "") -> forms.CharField:
    """A text of several lines that may be left empty."""
    return forms.CharField(
        label=label,
        required=False,
        max_length=4000,
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


def figure_text(value: float) -> str:
    """A stored figure as a person types it, without an exponent."""
    return f"{Decimal(f'{value:.10g}'):f}"


class GaugeForm(OfficeForm):
    """A gauge; its figures are typed in its own unit or with a unit of their own."""

    name = forms.CharField(label="Name", max_length=40, help_text="As it is marked: DG-2.")
    reads = forms.CharField(
        label="What it reads", max_length=80, required=False, help_text="Depth, 0 to 1 in."
    )
    unit = forms.ChoiceField(label="Unit it reads in", choices=[(u, u) for u in GAUGE_UNITS])
    u = forms.CharField(
        label="Standard uncertainty",
        max_length=40,
        help_text="Of one reading, one standard deviation, from its calibration or a gauge study.",
    )
    u_bias = forms.CharField(
        label="Of that, the repeating part",
        max_length=40,
        required=False,
        help_text="The same in every reading, so it does not shrink by reading again.",
    )
    resolution = forms.CharField(
        label="Smallest step", max_length=40, required=False, help_text="What its dial shows."
    )
    calibrated_until = day("Calibrated until", help_text="Empty when it has no date.")
    note = lines("Note")

    def clean_u(self) -> str:
        """Refuse a length no gauge is out by; what cannot be read is the deed's to say."""
        typed = str(self.cleaned_data["u"])
        try:
            u_mm = read_value(typed, suffix="mm", bare_unit=self.data.get("unit", "")).value
        except UnitError:
            return typed
        if u_mm > _MOST_MM:
            raise forms.ValidationError(
                f"{typed.strip()} is more than a gauge is ever out by; check the figure and its "
                "unit."
            )
        return typed


class GaugeChangeForm(GaugeForm):
    """A gauge on record, which may be put away."""

    retired = forms.BooleanField(
        label="Put away",
        required=False,
        help_text="No longer offered at the bench; its readings stay.",
    )


class NamedForm(OfficeForm):
    """A supplier or a customer."""

    name = forms.CharField(label="Name", max_length=80)
    contact = lines("Contact", help_text="Who to ask for, address, telephone.")
    note = lines("Note")


class LotForm(OfficeForm):
    """A lot of a supplier's castings."""

    code = forms.CharField(label="Lot code", max_length=40)
    received_on = day("Received on")
    note = lines("Note")
