"""Vacuum and pressure: what a proof test shows and what it stores."""
