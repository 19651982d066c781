"""Deck finish: a surface trace filtered, evaluated, explained and cured."""
