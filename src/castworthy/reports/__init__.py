"""Frozen papers set as PDF by Typst."""
