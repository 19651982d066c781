"""Holds the place of the prove pages."""

urlpatterns: list = []
