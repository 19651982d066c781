"""Registers the server's system checks with Django."""

from django.apps import AppConfig


class ServerConfig(AppConfig):
    """Settings and start-up."""

    name = "castworthy.server"
    label = "server"

    def ready(self) -> None:
        """Load the checks."""
        from castworthy.server import checks  # noqa: F401
