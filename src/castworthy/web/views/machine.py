"""Holds the place of the machine pages."""

urlpatterns: list = []
