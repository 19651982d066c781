"""Spec sheets and their revisions; a head keeps the revision it is judged by."""

from django.conf import settings
from django.db import models

from castworthy.records.models.added_only import AddedOnly


class SpecSheet(models.Model):
    """A kind of head the shop knows."""

    code = models.CharField(max_length=12, unique=True)
    title = models.CharField(max_length=120)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ("code",)

    def __str__(self) -> str:
        return self.code


class SheetRevision(AddedOnly):
    """One wording of a sheet, never edited: ``text`` is the TOML as written."""

    sheet = models.ForeignKey(SpecSheet, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    text = models.TextField()
    digest = models.CharField(max_length=64)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    at = models.DateTimeField()

    class Meta:
        ordering = ("sheet__code", "-number")
        constraints = (
            models.UniqueConstraint(fields=("sheet", "number"), name="one_number_a_revision"),
        )

    def __str__(self) -> str:
        return f"{self.sheet.code} revision {self.number}"
