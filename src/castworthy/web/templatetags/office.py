"""Filters of the office pages: ``{{ gauge.u|figure }}`` writes 0.00005, never 5e-05."""

from django import template

from castworthy.web.forms.office import figure_text

register = template.Library()


@register.filter
def figure(value: float) -> str:
    """A stored figure as a person types it."""
    return figure_text(value)
