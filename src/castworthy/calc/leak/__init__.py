"""Vacuum and pressure: what a proof test shows and stores, and the leak behind a log."""
