"""What papers say, put together from the record: figures in the person's units, bars, facts."""
