"""The root of the addresses: everything is a page of ``web``."""

from django.urls import include, path

urlpatterns = [path("", include("castworthy.web.urls"))]
