"""Plans and the operations signed off at the machines."""

import uuid

from django.db import models

from castworthy.records.models.head import Head
from castworthy.records.models.people import Person


class Plan(models.Model):
    """One stored answer of the planner; three of one ``batch`` stand side by side.

    ``result`` is the plan as calc answered it, ``inputs_digest`` the SHA-256 of what it rests
    on, ``software`` the version that computed it.
    """

    batch = models.UUIDField(default=uuid.uuid4, db_index=True)
    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="plans")
    objective = models.CharField(max_length=8)
    feasible = models.BooleanField()
    result = models.JSONField()
    inputs_digest = models.CharField(max_length=64)
    software = models.CharField(max_length=20)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    chosen_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    chosen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-id",)

    def __str__(self) -> str:
        return f"{self.head.tag} {self.objective}"


class OperationState(models.TextChoices):
    """Where an operation stands."""

    PLANNED = "planned", "planned"
    DONE = "done", "done"
    DROPPED = "dropped", "dropped"


class Operation(models.Model):
    """One operation of the chosen plan, signed off with what was really taken.

    ``done_number`` counts the head's signed operations from 1; a dropped operation was planned
    and no longer needed after a new plan.
    """

    head = models.ForeignKey(Head, on_delete=models.PROTECT, related_name="operations")
    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, null=True, blank=True)
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=16)
    place = models.CharField(max_length=24, blank=True)
    planned_mm = models.FloatField(null=True, blank=True)
    parts = models.JSONField(default=list)
    minutes = models.FloatField(default=0.0)
    cost = models.FloatField(default=0.0)
    why = models.TextField(blank=True)
    state = models.CharField(
        max_length=8, choices=OperationState.choices, default=OperationState.PLANNED
    )
    done_number = models.PositiveIntegerField(null=True, blank=True)
    taken_mm = models.FloatField(null=True, blank=True)
    typed = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)
    by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("head", "position", "id")
        constraints = (
            models.UniqueConstraint(fields=("head", "done_number"), name="one_done_number_a_head"),
        )

    def __str__(self) -> str:
        return f"{self.head.tag} {self.kind} {self.place}".strip()
