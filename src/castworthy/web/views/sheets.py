"""Holds the place of the sheets pages."""

urlpatterns: list = []
