"""The form of a vacuum log.  Figures stay text: the log's trial reads them with their unit."""

from django import forms

from castworthy.records.lookups.gauges import GaugeFacts
from castworthy.records.proof_words import temperature_unit, vacuum_unit
from castworthy.units import Show
from castworthy.web.forms.gauge import gauge_choices

_FIGURE = {"inputmode": "decimal", "autocomplete": "off"}


def _figure(label: str, *, help_text: str = "", typed: str = "decimal") -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=40,
        required=False,
        help_text=help_text,
        widget=forms.TextInput(attrs={**_FIGURE, "inputmode": typed}),
    )


class LogForm(forms.Form):
    """What a port was logged with, and the readings, one line each."""

    volume = _figure(
        "Port and line, cm³",
        help_text="Fill both with water once; it stays with the head.",
    )
    u_volume = _figure(
        "Its uncertainty",
        help_text="Standard, in cm³ or %.",
        typed="text",
    )
    gauge = forms.ChoiceField(
        label="Gauge",
        required=False,
        help_text="What it is out by shifts every reading alike.",
    )
    dead_head = _figure("The pump's own reading today", help_text="Line shut.")
    hold = _figure("Judged after, seconds")
    atmosphere = _figure(
        "Air at the bench", help_text="Its pressure, or the height of the shop.", typed="text"
    )
    temperature = _figure("Air in the port")
    readings = forms.CharField(
        label="Every reading",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 7, "spellcheck": "false", "autocomplete": "off"}),
    )
    file = forms.FileField(
        label="Or the file of a logger",
        required=False,
        help_text="CSV with a first line such as t_s,p_kpa (absolute) or t_s,vacuum_inHg.",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt"}),
    )
    uuid = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: object, show: Show, gauges: tuple[GaugeFacts, ...] = (), **kwargs: object
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["gauge"].choices = gauge_choices(gauges)
        unit = vacuum_unit(show)
        for name, its in (
            ("dead_head", unit),
            ("atmosphere", unit),
            ("temperature", temperature_unit(show)),
        ):
            self.fields[name].label = f"{self.fields[name].label}, {its}"
        self.fields["readings"].help_text = f"Seconds and {unit}, a line for each."

    def tie(self, name: str, *, to: str) -> None:
        """Mark a field as wrong, told in the sentence with that id."""
        if name in self.fields:
            hint = f"id_{name}_helptext " if self.fields[name].help_text else ""
            wrong = {"aria-invalid": "true", "aria-describedby": f"{hint}{to}"}
            self.fields[name].widget.attrs.update(wrong)
