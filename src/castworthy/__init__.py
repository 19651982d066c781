"""Castworthy: one tool that carries a cylinder head from the door to the customer."""

__version__ = "0.1.0"
