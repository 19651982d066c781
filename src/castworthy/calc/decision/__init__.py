"""Verdicts under uncertainty, and the slips a reading is asked about."""
