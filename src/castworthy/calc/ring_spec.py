"""What a spec sheet says of the sealing ring of a head."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class RingSpec:
    """The wire, the groove round every cylinder and how far each may be off either way [mm].

    ``fire_ring_mm`` is the diameter of the gasket's own fire ring (``None``: it has none),
    ``insert_wall_mm`` how far a seat insert reaches past its valve's head all round.
    """

    wire_mm: float
    groove_depth_mm: float
    groove_width_mm: float
    groove_diameter_mm: float
    tol_wire_mm: float = 0.0
    tol_depth_mm: float = 0.0
    tol_width_mm: float = 0.0
    fire_ring_mm: float | None = None
    insert_wall_mm: float = 0.0
    source: str = ""
