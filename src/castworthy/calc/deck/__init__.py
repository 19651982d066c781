"""Deck form: flatness, its shape in words, and the least cut that cleans it."""
