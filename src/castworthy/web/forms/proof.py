"""Forms of the proof.  Figures stay text: the deed reads them with their unit."""

from django import forms

from castworthy.records.lookups.gauges import GaugeFacts
from castworthy.records.proof_words import (
    MOST_KPA,
    pressure_unit,
    temperature_unit,
    vacuum_unit,
)
from castworthy.units import Show, UnitError, read_value
from castworthy.web.forms.gauge import gauge_choices

METHODS = ("magnetic particle", "dye penetrant", "eye and glass, cleaned bare")
_FIGURE = {"inputmode": "decimal", "autocomplete": "off"}
_GAIN_RATIO = 1.02
"""What a gauge may read more at the end than at the start (common practice, no source)."""


def hold_fault(typed: str) -> str:
    """What is wrong with a time to hold; empty when nothing is, or it cannot be read at all."""
    hold_s = _read(typed, suffix="s", unit="s")
    if hold_s is None or hold_s > 0.0:
        return ""
    return f"{typed.strip()} is no time; write how long it was held, in seconds."


def _read(typed: str, *, suffix: str, unit: str) -> float | None:
    """The value of a figure; ``None`` where the deed will say that it cannot be read."""
    try:
        return read_value(typed, suffix=suffix, bare_unit=unit).value
    except UnitError:
        return None


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
    """How it was looked for and whether anything was found; the places are rows of their own."""

    method = forms.ChoiceField(label="How", choices=[(m, m) for m in METHODS])
    result = forms.ChoiceField(
        label="Found",
        choices=(("clear", "nothing"), ("crack", "a crack or porosity")),
        widget=forms.RadioSelect,
        initial="clear",
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
    volume = _figure("Volume filled, litres", required=False)
    held = _figure("At the end")
    hold = _figure("Held for, seconds", required=False)
    start_temperature = _figure("Temperature at the start", required=False)
    end_temperature = _figure("Temperature at the end", required=False)
    atmosphere = _figure(
        "Air at the bench",
        required=False,
        help_text="Its pressure, or the height of the shop; else sea level.",
    )
    gauge = forms.ChoiceField(label="Gauge", required=False)
    found = forms.CharField(
        label="Leaks seen",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Any leak seen fails the test.",
    )

    def __init__(
        self, *args: object, show: Show, gauges: tuple[GaugeFacts, ...], **kwargs: object
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["gauge"].choices = gauge_choices(gauges)
        pressure, degrees = pressure_unit(show), temperature_unit(show)
        self._unit = pressure
        for name in ("start", "held"):
            self.fields[name].label = f"{self.fields[name].label}, {pressure}"
        for name in ("start_temperature", "end_temperature"):
            self.fields[name].label = f"{self.fields[name].label}, {degrees}"
        self.fields["atmosphere"].widget.attrs["inputmode"] = "text"
        for name in ("start", "volume"):
            self.fields[name].widget.attrs["data-energy"] = ""

    def clean(self) -> dict[str, str]:
        """Refuse figures that no test can give; what cannot be read at all is the deed's."""
        given = super().clean() or self.cleaned_data
        start, held = (
            _read(given.get(name, ""), suffix="kpa", unit=self._unit) for name in ("start", "held")
        )
        if start is not None and not 0.0 < start <= MOST_KPA:
            self.add_error(
                "start",
                f"{given['start'].strip()} is no pressure a head is tested with; check the figure "
                "and its unit.",
            )
        elif start is not None and held is not None and held > _GAIN_RATIO * start:
            self._refuse_gain(given)
        if fault := hold_fault(given.get("hold", "")):
            self.add_error("hold", fault)
        return given

    def _refuse_gain(self, given: dict[str, str]) -> None:
        if given.get("start_temperature") and given.get("end_temperature"):
            return
        self.add_error(
            "held",
            "More is left than at the start: check both figures; if it warmed up, let it settle "
            "and test again.",
        )


class VacuumForm(forms.Form):
    """What holds for every port of the day."""

    dead_head = _figure(
        "The pump's own reading today", help_text="Line shut, read before the first port."
    )
    hold = _figure("Held for, seconds", required=False)
    gauge = forms.ChoiceField(label="Gauge", required=False)

    def __init__(
        self, *args: object, show: Show, gauges: tuple[GaugeFacts, ...], **kwargs: object
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["gauge"].choices = gauge_choices(gauges)
        field = self.fields["dead_head"]
        field.label = f"{field.label}, {vacuum_unit(show)}"
