"""The take_in pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
