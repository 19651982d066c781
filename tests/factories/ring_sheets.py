"""An invented sheet with a sealing ring.

Wire and groove are the trade's own figures (common practice, no source); studs and openings lie
so that the joint of either cylinder has one best place.
"""

from factories.sheet_texts import SMALL

RING = """
[ring]
wire = 0.041
groove_depth = 0.0325
groove_width = 0.038
groove_diameter = 4.2
tol_wire = 0.0002
tol_depth = 0.0005
tol_width = 0.0005
"""
LIMIT = """
[limit.ring_stand]
low = 0.0075
high = 0.0095
"""
STUDS = """
[[stud]]
name = "S1"
x = 0.6
y = 0.6
diameter = 0.5

[[stud]]
name = "S2"
x = 6.0
y = 0.6
diameter = 0.5

[[stud]]
name = "S3"
x = 11.4
y = 0.6
diameter = 0.5

[[stud]]
name = "S4"
x = 0.6
y = 6.4
diameter = 0.5

[[stud]]
name = "S5"
x = 6.0
y = 6.4
diameter = 0.5

[[stud]]
name = "S6"
x = 11.4
y = 6.4
diameter = 0.5

[[opening]]
name = "W1"
kind = "coolant"
x = 2.0
y = 0.8
diameter = 0.4

[[place]]
name = "T2"
kind = "thickness"
x = 3.5
y = 5.9
"""
RINGED = SMALL.replace('code = "F2"', 'code = "R2"') + STUDS + RING + LIMIT
"""The small sheet with studs, a passage, a ring and a limit of its stand."""
