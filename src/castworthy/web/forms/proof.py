"""Forms of the proof.  Figures stay text: the deed reads them with their unit."""

from django import forms

from castworthy.records.proof_words import pressure_unit, temperature_unit, vacuum_unit
from castworthy.units import Show

METHODS = ("magnetic particle", "dye penetrant", "eye and glass, cleaned bare")
_FIGURE = {"inputmode": "decimal", "autocomplete": "off"}


def _figure(label: str, *, required: bool = True, help_text: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=40,
        required=required,
        help_text=help_text,
        widget=forms.TextInput(attrs=dict(_FIGURE)),
        error_messages={"required": "It is still empty; enter what the gauge shows."},
    )


class CrackForm(forms.Form):
    """How it was looked for, what was found."""

    method = forms.ChoiceField(label="How", choices=[(m, m) for m in METHODS])
    result = forms.ChoiceField(
        label="Found",
        choices=(("clear", "nothing"), ("crack", "a crack or porosity")),
        widget=forms.RadioSelect,
        initial="clear",
    )
    place = forms.CharField(
        label="Where", max_length=80, required=False, help_text="Tap the deck, or write it."
    )
    found = forms.CharField(
        label="What", max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


class PressureForm(forms.Form):
    """The pressure test; bare figures are in the person's units."""

    medium = forms.ChoiceField(
        label="Filled with",
        choices=(("water", "water"), ("air", "air")),
        widget=forms.RadioSelect,
        initial="water",
    )
    start = _figure("At the start")
    volume = _figure("Volume filled, l", required=False)
    held = _figure("At the end")
    hold = _figure("Held for, s", required=False)
    start_temperature = _figure("Temperature at the start", required=False)
    end_temperature = _figure("Temperature at the end", required=False)
    found = forms.CharField(
        label="Leaks seen",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Any leak seen fails the test.",
    )

    def __init__(self, *args: object, show: Show, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        pressure, degrees = pressure_unit(show), temperature_unit(show)
        for name in ("start", "held"):
            self.fields[name].label = f"{self.fields[name].label}, {pressure}"
        for name in ("start_temperature", "end_temperature"):
            self.fields[name].label = f"{self.fields[name].label}, {degrees}"
        for name in ("start", "volume"):
            self.fields[name].widget.attrs["data-energy"] = ""


class VacuumForm(forms.Form):
    """What holds for every port of the day."""

    dead_head = _figure(
        "The pump's own reading today", help_text="Line shut, read before the first port."
    )
    hold = _figure("Held for, s", required=False)

    def __init__(self, *args: object, show: Show, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["dead_head"]
        field.label = f"{field.label}, {vacuum_unit(show)}"
