"""The ring a spec sheet asks for, as the sums of this package take it."""

from castworthy.calc.ring_spec import RingSpec
from castworthy.calc.sealing.groove import Groove
from castworthy.calc.sealing.tolerances import Tolerances


def groove_of(spec: RingSpec) -> Groove:
    """The wire and its groove; the diameter is that of the groove's centreline."""
    return Groove(
        wire_mm=spec.wire_mm,
        depth_mm=spec.groove_depth_mm,
        width_mm=spec.groove_width_mm,
        diameter_mm=spec.groove_diameter_mm,
    )


def tolerances_of(spec: RingSpec) -> Tolerances:
    """How far wire, depth and width may be off."""
    return Tolerances(
        wire_mm=spec.tol_wire_mm, depth_mm=spec.tol_depth_mm, width_mm=spec.tol_width_mm
    )
