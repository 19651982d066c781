"""Rows that are only ever added."""

from typing import Any, NoReturn

from django.db import models


class ChangedAfterwardsError(TypeError):
    """Code tried to change or delete a row that is only ever added: a fault of the code."""


class AddedOnlyQuerySet(models.QuerySet[Any]):
    """A query whose rows cannot be changed."""

    def update(self, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise ChangedAfterwardsError(f"{self.model.__name__} rows are only ever added.")

    def delete(self) -> NoReturn:
        """Refuse."""
        raise ChangedAfterwardsError(f"{self.model.__name__} rows are only ever added.")


class AddedOnly(models.Model):
    """A row that is written once."""

    objects = AddedOnlyQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the row the first time, refuse any other."""
        if not self._state.adding:
            raise ChangedAfterwardsError(f"{type(self).__name__} rows are only ever added.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise ChangedAfterwardsError(f"{type(self).__name__} rows are only ever added.")
