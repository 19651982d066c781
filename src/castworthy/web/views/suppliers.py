"""Holds the place of the suppliers pages."""

urlpatterns: list = []
