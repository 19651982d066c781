"""Holds the place of the plan pages."""

urlpatterns: list = []
