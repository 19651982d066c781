"""The plan: the least work that brings every limit of a head in at once."""
