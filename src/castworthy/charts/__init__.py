"""Results drawn as SVG: the deck to scale, limit bars, verdict marks."""
