"""Holds the place of the search pages."""

urlpatterns: list = []
