"""Settings and start-up."""
