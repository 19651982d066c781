"""The only room with tables."""
