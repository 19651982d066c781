"""Typed text to suffixed numbers; what was typed stays in the form."""
