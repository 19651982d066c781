"""Holds the place of the photos pages."""

urlpatterns: list = []
