"""Holds the place of the gauges pages."""

urlpatterns: list = []
