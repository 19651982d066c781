"""What is read at the bench, with what; readings are only ever added."""

import uuid

from django.db import models

from castworthy.records.models.added_only import AddedOnly
from castworthy.records.models.head import Head
from castworthy.records.models.people import Person


class Gauge(models.Model):
    """A gauge.  ``u``, ``u_bias`` and ``resolution`` are in ``unit`` as typed on its page."""

    name = models.CharField(max_length=40, unique=True)
    reads = models.CharField(max_length=80, blank=True)
    unit = models.CharField(max_length=8)
    u = models.FloatField()
    u_bias = models.FloatField(default=0.0)
    resolution = models.FloatField(default=0.0)
    calibrated_until = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Reading(AddedOnly):
    """One reading, never edited or deleted.

    ``uuid`` is made where it was typed, so a resend is harmless.  ``typed`` keeps the text;
    ``value``, ``u``, ``u_bias`` and ``resolution`` are in the quantity's own unit; the last three
    are the gauge's as they were that day.  ``operations_done_count`` is how many operations
    of the head were signed off when it was taken; a later operation that moves the quantity
    makes it a reading of the past.  ``replaces`` names the reading a correction takes the
    place of.  ``alone``: worked out from traces or heights, it stands in place of what was read
    before it instead of being averaged with it.
    """

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="readings")
    quantity = models.CharField(max_length=24)
    place = models.CharField(max_length=24, blank=True)
    typed = models.CharField(max_length=40)
    unit = models.CharField(max_length=8)
    side = models.CharField(max_length=6, blank=True)
    value = models.FloatField()
    u = models.FloatField(null=True, blank=True)
    u_bias = models.FloatField(default=0.0)
    resolution = models.FloatField(null=True, blank=True)
    gauge = models.ForeignKey(Gauge, on_delete=models.PROTECT, null=True, blank=True)
    gauge_overdue = models.BooleanField(default=False)
    operations_done_count = models.PositiveIntegerField(default=0)
    replaces = models.OneToOneField(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="replaced_by",
    )
    why = models.CharField(max_length=200, blank=True)
    slip_kept = models.CharField(max_length=200, blank=True)
    alone = models.BooleanField(default=False)
    judged = models.JSONField(default=dict)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)
        indexes = (models.Index(fields=("head", "quantity", "place")),)

    def __str__(self) -> str:
        return f"{self.head.tag} {self.quantity} {self.place} {self.typed}"


class Photo(models.Model):
    """A photo of a head or a reading: re-encoded, without the camera's notes."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="photos")
    reading = models.ForeignKey(
        Reading, on_delete=models.PROTECT, null=True, blank=True, related_name="photos"
    )
    file = models.FileField(upload_to="photos")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    caption = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return self.caption or f"photo of {self.head.tag}"
