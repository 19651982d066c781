"""Numbers in, numbers out: no disk, clock, chance, database or page."""
