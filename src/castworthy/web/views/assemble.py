"""Holds the place of the assemble pages."""

urlpatterns: list = []
