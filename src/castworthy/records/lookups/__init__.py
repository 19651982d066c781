"""What the pages show, read from the tables into frozen dataclasses; nothing here writes."""
