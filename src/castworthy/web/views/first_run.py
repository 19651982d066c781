"""The first_run pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
