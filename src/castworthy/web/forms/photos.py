"""The form of a photo: from the camera, or from a file."""

from django import forms

KINDS = "image/jpeg,image/png,image/webp"


class PhotoForm(forms.Form):
    """A photo with its caption; ``uuid`` makes a second sending of the same harmless."""

    upload = forms.FileField(
        label="A file",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": KINDS}),
    )
    camera = forms.FileField(
        label="The camera",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": KINDS, "capture": "environment"}),
    )
    caption = forms.CharField(
        label="Caption",
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "Crack at 3C"}),
    )
    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput())
    reading = forms.UUIDField(required=False, widget=forms.HiddenInput())

    def clean(self) -> dict[str, object]:
        """One of the two inputs holds the photo."""
        given = super().clean() or {}
        given["photo"] = given.get("camera") or given.get("upload")
        if given["photo"] is None:
            self.add_error("upload", "Take a photo or choose a file first.")
        return given
