"""Clamp: what tightening gives a stud, and what the studs hold the head down with."""
