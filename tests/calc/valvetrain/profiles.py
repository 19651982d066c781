"""A head's seat as the deepest of three cuts, followed point by point: the oracle of the sums."""

from dataclasses import dataclass
from math import radians, tan

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from castworthy.calc.valvetrain.seat import SeatAngles, SeatBand


@dataclass(frozen=True, kw_only=True)
class Cuts:
    """Depth of each cone where it would meet the valve's axis [mm]."""

    angles: SeatAngles
    seat: float
    top: float
    throat: float

    def depth(self, radius: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """How deep the metal is cut at a radius: the deepest of the three."""
        return np.max([self.cone(name, radius) for name in ("seat", "top", "throat")], axis=0)

    def cone(self, name: str, radius: NDArray[np.float64] | float) -> NDArray[np.float64]:
        slope = tan(radians(getattr(self.angles, f"{name}_deg")))
        return np.asarray(getattr(self, name) - slope * np.asarray(radius))

    def band(self) -> SeatBand:
        """Where the seat is the deepest cut, found by bracketing its two ends."""
        inside = self._inside()
        return SeatBand(
            outer_radius_mm=float(brentq(lambda r: self._lead("top", r), inside, 1e3, xtol=1e-13)),
            inner_radius_mm=float(
                brentq(lambda r: self._lead("throat", r), 1e-9, inside, xtol=1e-13)
            ),
        )

    def _lead(self, other: str, radius: float) -> float:
        return float(self.cone("seat", radius) - self.cone(other, radius))

    def _inside(self) -> float:
        radii = np.linspace(1.0, 60.0, 6_001)
        kept = radii[(self._leads("top", radii) > 0) & (self._leads("throat", radii) > 0)]
        return float(kept[len(kept) // 2])

    def _leads(self, other: str, radii: NDArray[np.float64]) -> NDArray[np.float64]:
        return self.cone("seat", radii) - self.cone(other, radii)


def cuts_of(band: SeatBand, *, angles: SeatAngles) -> Cuts:
    """The three cuts that leave such a seat, its outer edge at depth nought."""
    theta, alpha, beta = (
        tan(radians(angle)) for angle in (angles.seat_deg, angles.top_deg, angles.throat_deg)
    )
    outer, inner = band.outer_radius_mm, band.inner_radius_mm
    seat = outer * theta
    return Cuts(
        angles=angles, seat=seat, top=outer * alpha, throat=seat - inner * theta + inner * beta
    )
