"""Seats and valves, inserts and guides, springs: the bench sums of the valve gear."""
