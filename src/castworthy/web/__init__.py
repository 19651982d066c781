"""Pages over HTTP: forms read what was typed, actions do it, lookups say what to show."""
