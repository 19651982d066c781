"""Holds the place of the history pages."""

urlpatterns: list = []
