"""Holds the place of the customers pages."""

urlpatterns: list = []
