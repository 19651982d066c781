"""The shop and its people."""

from django.contrib.auth.models import AbstractUser
from django.db import models


class Role(models.TextChoices):
    """What a person may do: everything, bench work, or look."""

    OWNER = "owner", "Owner"
    MACHINIST = "machinist", "Machinist"
    VIEWER = "viewer", "Viewer"


class ShowLength(models.TextChoices):
    """The units a person reads lengths in."""

    THOU = "thou", "inches and thou"
    IN = "in", "inches"
    MM = "mm", "millimetres"


class Person(AbstractUser):
    """Somebody who signs in.  ``username`` is the sign-in name."""

    full_name = models.CharField(max_length=80)
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.MACHINIST)
    show_length = models.CharField(
        max_length=4, choices=ShowLength.choices, default=ShowLength.THOU
    )

    class Meta:
        ordering = ("username",)

    def __str__(self) -> str:
        return self.full_name or self.username


class Shop(models.Model):
    """The one shop this record belongs to (a single row)."""

    name = models.CharField(max_length=80)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3, default="$")
    warranty = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name


class SignInAttempt(models.Model):
    """One try at signing in, kept to slow down guessing."""

    name = models.CharField(max_length=150)
    address = models.CharField(max_length=45)
    at = models.DateTimeField(db_index=True)
    succeeded = models.BooleanField()

    class Meta:
        indexes = (
            models.Index(fields=("name", "at")),
            models.Index(fields=("address", "at")),
        )

    def __str__(self) -> str:
        return f"{self.name} at {self.at:%Y-%m-%d %H:%M}"
