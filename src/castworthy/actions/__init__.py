"""Deeds: one function is one transaction and one trail row."""
