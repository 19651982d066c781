"""Stiffness and expansion of the metals in a head, its inserts and its guides."""

from dataclasses import dataclass

ROOM_DEGC = 20.0
NITROGEN_DEGC = -196.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """A metal as a press fit feels it.

    ``expansion_per_degc`` is the mean from 20 to about 200 deg C; ``nitrogen_contraction_ratio``
    how much shorter it is at -196 deg C than at 20, less than the former would say.
    """

    name: str
    modulus_mpa: float
    poisson_ratio: float
    expansion_per_degc: float
    nitrogen_contraction_ratio: float

    def growth_ratio(self, at_degc: float) -> float:
        """Growth in length from 20 deg C as a share of the length.

        Straight above 20 deg C; below, a parabola through the contraction at -196 deg C.
        """
        rise = at_degc - ROOM_DEGC
        straight = self.expansion_per_degc * rise
        if rise >= 0.0:
            return straight
        fall = NITROGEN_DEGC - ROOM_DEGC
        missing = -self.nitrogen_contraction_ratio - self.expansion_per_degc * fall
        return straight + missing * (rise / fall) ** 2


GREY_IRON = Metal(
    name="grey iron",
    modulus_mpa=110e3,
    poisson_ratio=0.26,
    expansion_per_degc=10.8e-6,
    nitrogen_contraction_ratio=1.8e-3,
)
COMPACTED_IRON = Metal(
    name="compacted iron",
    modulus_mpa=145e3,
    poisson_ratio=0.26,
    expansion_per_degc=11.0e-6,
    nitrogen_contraction_ratio=1.8e-3,
)
ALUMINIUM = Metal(
    name="aluminium",
    modulus_mpa=72e3,
    poisson_ratio=0.33,
    expansion_per_degc=21.5e-6,
    nitrogen_contraction_ratio=3.8e-3,
)
STEEL = Metal(
    name="steel",
    modulus_mpa=210e3,
    poisson_ratio=0.30,
    expansion_per_degc=11.5e-6,
    nitrogen_contraction_ratio=2.0e-3,
)
BRONZE = Metal(
    name="bronze",
    modulus_mpa=110e3,
    poisson_ratio=0.34,
    expansion_per_degc=18.0e-6,
    nitrogen_contraction_ratio=3.3e-3,
)

METALS: dict[str, Metal] = {
    metal.name: metal for metal in (GREY_IRON, COMPACTED_IRON, ALUMINIUM, STEEL, BRONZE)
}
"""Usual metals by name.  Values from memory: round figures; a maker's own go before them."""
