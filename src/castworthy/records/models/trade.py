"""Whom the shop buys from and works for."""

from django.db import models


class Supplier(models.Model):
    """A foundry or dealer that castings come from."""

    name = models.CharField(max_length=80, unique=True)
    contact = models.TextField(blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Lot(models.Model):
    """Castings delivered together."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="lots")
    code = models.CharField(max_length=40)
    received_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ("supplier__name", "code")
        constraints = (
            models.UniqueConstraint(fields=("supplier", "code"), name="one_lot_code_a_supplier"),
        )

    def __str__(self) -> str:
        return f"lot {self.code} from {self.supplier}"


class Customer(models.Model):
    """Whom a head is made ready for; a core stays the customer's property."""

    name = models.CharField(max_length=80, unique=True)
    contact = models.TextField(blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name
