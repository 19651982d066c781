"""Forms of the finish page."""

from typing import Any

from django import forms

from castworthy.records.lookups.finish import FinishPage


class TraceForm(forms.Form):
    """Traces to take in: where, with what, and what the machine was set to.

    The files themselves come beside it, since each is read on its own.
    """

    face = forms.ChoiceField(
        label="Face", choices=(("deck", "head deck"), ("block", "block face")), initial="deck"
    )
    place = forms.ChoiceField(label="Traced at", required=False)
    gauge = forms.ChoiceField(label="Instrument", required=False)
    machine = forms.CharField(label="Machine that cut it", max_length=40, required=False)
    feed = forms.CharField(label="Feed a turn", max_length=30, required=False)
    nose = forms.CharField(label="Insert radius", max_length=30, required=False)
    turning = forms.CharField(label="Turns a minute", max_length=30, required=False)

    def __init__(self, *args: Any, page: FinishPage, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = [(each.name, each.name) for each in page.places]
        gauges = [(each.name, each.name) for each in page.gauges]
        self._offer("place", [*places, ("", "somewhere else")])
        self._offer("gauge", [("", "not named"), *gauges])
        for name in ("feed", "nose", "turning", "machine"):
            self.fields[name].widget.attrs["autocomplete"] = "off"
        self.fields["machine"].widget.attrs["list"] = "known-machines"

    def _offer(self, name: str, offered: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        if isinstance(field, forms.ChoiceField):
            field.choices = offered
