"""Traces and scans of a head's deck and of the block it goes on; they are only ever added."""

import uuid

from django.db import models

from castworthy.records.models.added_only import AddedOnly
from castworthy.records.models.bench import Gauge
from castworthy.records.models.head import Head
from castworthy.records.models.people import Person


class Face(models.TextChoices):
    """Which face of the joint a trace was taken on."""

    DECK = "deck", "head deck"
    BLOCK = "block", "block face"


class Trace(AddedOnly):
    """One surface trace as its instrument wrote it, and what was found in it.

    ``file`` is kept byte for byte (``digest`` its SHA-256); ``profile_number`` counts from 1
    where one file holds several.  ``ra_um`` to ``u_ra_um`` and ``result`` are what
    ``calc.texture`` answered, by ``software``.  ``feed_set_mm``, ``nose_mm`` and
    ``turning_rpm`` are what the machine that cut the face was set to.
    """

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="traces")
    face = models.CharField(max_length=6, choices=Face.choices, default=Face.DECK)
    place = models.CharField(max_length=40, blank=True)
    x_mm = models.FloatField(null=True, blank=True)
    y_mm = models.FloatField(null=True, blank=True)
    file = models.FileField(upload_to="traces")
    file_name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64)
    profile_number = models.PositiveIntegerField(default=1)
    gauge = models.ForeignKey(Gauge, on_delete=models.PROTECT, null=True, blank=True)
    machine = models.CharField(max_length=40, blank=True)
    feed_set_mm = models.FloatField(null=True, blank=True)
    nose_mm = models.FloatField(null=True, blank=True)
    turning_rpm = models.FloatField(null=True, blank=True)
    ra_um = models.FloatField()
    rz_um = models.FloatField()
    wt_um = models.FloatField()
    u_ra_um = models.FloatField()
    u_rz_um = models.FloatField()
    result = models.JSONField()
    software = models.CharField(max_length=20)
    operations_done_count = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)
        indexes = (models.Index(fields=("machine", "id")),)

    def __str__(self) -> str:
        return f"{self.head.tag} {self.file_name}"


class TraceSetAside(AddedOnly):
    """A trace that no longer counts, and why: taken on a scratch, at the wrong place."""

    trace = models.OneToOneField(Trace, on_delete=models.PROTECT, related_name="set_aside")
    why = models.CharField(max_length=200)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return self.why


class Scan(AddedOnly):
    """Heights over a whole deck as an instrument wrote them, and the form found in them.

    ``result`` holds the figures of ``calc.deck`` by JSON key and the field to draw.
    """

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="scans")
    file = models.FileField(upload_to="scans")
    file_name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64)
    points_count = models.PositiveIntegerField()
    gauge = models.ForeignKey(Gauge, on_delete=models.PROTECT, null=True, blank=True)
    result = models.JSONField()
    software = models.CharField(max_length=20)
    operations_done_count = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.head.tag} {self.file_name}"
