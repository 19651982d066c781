"""Holds the place of the release pages."""

urlpatterns: list = []
