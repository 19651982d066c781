"""A head in the shop and where it stands."""

from django.db import models

from castworthy.records.models.people import Person
from castworthy.records.models.sheet import SheetRevision
from castworthy.records.models.trade import Customer, Lot


class Step(models.TextChoices):
    """The steps of a head through the shop, in order."""

    TAKE_IN = "take in", "Take in"
    MEASURE = "measure", "Measure"
    PLAN = "plan", "Plan"
    MACHINE = "machine", "Machine"
    ASSEMBLE = "assemble", "Assemble"
    PROVE = "prove", "Prove"
    RELEASE = "release", "Release"


class Outcome(models.TextChoices):
    """How a head left the shop; empty while it is here."""

    IN_SHOP = "", "in the shop"
    RELEASED = "released", "released"
    SENT_BACK = "sent back", "sent back"
    SCRAPPED = "scrapped", "scrapped"


class Kind(models.TextChoices):
    """Where a head comes from."""

    CASTING = "new casting", "new casting"
    CORE = "core", "core"


class Head(models.Model):
    """One cylinder head.  ``tag`` is on the metal and on every paper.

    ``gasket`` names one of the sheet's gaskets; empty: the sheet's first.
    ``progress`` is what is left to do at the head's step, kept so that the rack need not look
    at every reading; ``records.progress`` says what is in it.
    """

    tag = models.CharField(max_length=24, unique=True)
    revision = models.ForeignKey(SheetRevision, on_delete=models.PROTECT, related_name="heads")
    gasket = models.CharField(max_length=24, blank=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    loaded = models.BooleanField(default=False)
    mark = models.CharField(max_length=60, blank=True)
    lot = models.ForeignKey(
        Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="heads"
    )
    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, null=True, blank=True, related_name="heads"
    )
    history = models.TextField(blank=True)
    asked = models.TextField(blank=True)
    note = models.TextField(blank=True)
    step = models.CharField(max_length=10, choices=Step.choices, default=Step.MEASURE)
    step_since = models.DateTimeField()
    decision = models.CharField(max_length=12, blank=True)
    progress = models.JSONField(default=dict, blank=True)
    outcome = models.CharField(max_length=10, choices=Outcome.choices, blank=True, default="")
    outcome_note = models.TextField(blank=True)
    taken_in_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    taken_in_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("step_since",)
        indexes = (
            models.Index(fields=("outcome", "step", "step_since")),
            models.Index(fields=("outcome", "ended_at")),
        )

    def __str__(self) -> str:
        return self.tag
