"""Holds the place of the people pages."""

urlpatterns: list = []
