"""The pages as a Django app."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Templates, tags and static files of the pages."""

    name = "castworthy.web"
    label = "web"
    verbose_name = "Pages"
