"""Assembly, proof and release."""

from django.db import models

from castworthy.records.models.bench import Reading
from castworthy.records.models.head import Head
from castworthy.records.models.people import Person


class AssemblyTick(models.Model):
    """One tick (or untick) of the assembly list; the latest of an item counts."""

    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="ticks")
    item = models.CharField(max_length=24)
    place = models.CharField(max_length=24, blank=True)
    ticked = models.BooleanField()
    operations_done_count = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.head.tag} {self.item} {self.place}".strip()


class TestKind(models.TextChoices):
    """How a head is proved."""

    VACUUM = "vacuum", "Vacuum"
    PRESSURE = "pressure", "Pressure"
    CRACK = "crack", "Crack check"


class ProofTest(models.Model):
    """One recorded test with its conditions; a repeat is a new row.

    ``reading`` holds the figure judged (vacuum or pressure held); a crack check has none.
    """

    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="tests")
    kind = models.CharField(max_length=8, choices=TestKind.choices)
    place = models.CharField(max_length=24, blank=True)
    conditions = models.JSONField(default=dict)
    found = models.TextField(blank=True)
    rule = models.CharField(max_length=200)
    passed = models.BooleanField()
    reading = models.OneToOneField(Reading, on_delete=models.PROTECT, null=True, blank=True)
    operations_done_count = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.head.tag} {self.kind} {self.place}".strip()


class Release(models.Model):
    """The record a head left with; ``digest`` is the SHA-256 of ``content``."""

    head = models.OneToOneField(Head, on_delete=models.PROTECT, related_name="release")
    number = models.PositiveIntegerField(unique=True)
    content = models.JSONField()
    digest = models.CharField(max_length=64)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("-number",)

    def __str__(self) -> str:
        return f"release {self.number} of {self.head.tag}"
