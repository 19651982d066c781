"""Registers the tables with Django."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """The shop's records."""

    name = "castworthy.records"
    label = "records"
    verbose_name = "Records"
    default_auto_field = "django.db.models.BigAutoField"
