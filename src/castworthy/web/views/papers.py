"""Holds the place of the papers pages."""

urlpatterns: list = []
