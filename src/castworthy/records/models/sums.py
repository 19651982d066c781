"""Bench sums kept with a head; they are only ever added."""

import uuid

from django.db import models

from castworthy.records.models.added_only import AddedOnly
from castworthy.records.models.head import Head
from castworthy.records.models.people import Person


class KeptSum(AddedOnly):
    """One bench sum as it stood: what was typed and what it told, in the person's units.

    ``name`` and ``title`` are the sum's own, ``place`` may be empty.  ``units`` is how its
    person reads lengths ("thou", "in", "mm"): what a bare number was counted in.  ``typed`` and
    ``answer`` are ``records.kept_sums`` as JSON.  ``operations_done_count`` is how many
    operations of the head were signed off when it was kept.
    """

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="kept_sums")
    name = models.CharField(max_length=40)
    title = models.CharField(max_length=80)
    place = models.CharField(max_length=24, blank=True)
    units = models.CharField(max_length=4)
    typed = models.JSONField()
    answer = models.JSONField()
    note = models.CharField(max_length=200, blank=True)
    software = models.CharField(max_length=20)
    operations_done_count = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.head.tag} {self.title} {self.place}".rstrip()


class SumTakenBack(AddedOnly):
    """A kept sum that no longer counts, and why: a figure mistyped, the wrong place."""

    kept = models.OneToOneField(KeptSum, on_delete=models.PROTECT, related_name="taken_back")
    why = models.CharField(max_length=200)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return self.why
