"""The bench sums: each a form and its answer, usable without a head."""
