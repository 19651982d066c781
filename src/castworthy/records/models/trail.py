"""Who did what, when: one row a deed, only ever added."""

from django.db import models

from castworthy.records.models.added_only import AddedOnly
from castworthy.records.models.head import Head
from castworthy.records.models.people import Person


class Trail(AddedOnly):
    """One deed.  ``by`` is empty where the tool itself acted (a refused sign-in)."""

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    deed = models.CharField(max_length=40)
    head = models.ForeignKey(
        Head, on_delete=models.PROTECT, null=True, blank=True, related_name="trail"
    )
    subject = models.CharField(max_length=120, blank=True)
    detail = models.JSONField(default=dict)

    class Meta:
        ordering = ("-id",)

    def __str__(self) -> str:
        return f"{self.deed} {self.subject}".strip()
