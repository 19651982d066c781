"""What a spec sheet says of the engine under the chambers."""

from dataclasses import dataclass
from math import pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """What stands under the chamber at top dead centre, so that its volume gives a ratio.

    ``deck_clearance_mm`` is the piston below the block's face (negative: above it).
    """

    stroke_mm: float
    gasket_mm: float = 0.0
    gasket_bore_mm: float | None = None
    bowl_cm3: float = 0.0
    deck_clearance_mm: float = 0.0
    ratio_low: float | None = None
    ratio_high: float | None = None
    source: str = ""

    def under_cm3(self, *, bore_mm: float) -> float:
        """Gasket, bowl and clearance volume under a chamber of that bore [cm3]."""
        gasket_bore = self.gasket_bore_mm or bore_mm
        gasket = pi / 4.0 * gasket_bore**2 * self.gasket_mm
        clearance = pi / 4.0 * bore_mm**2 * self.deck_clearance_mm
        return self.bowl_cm3 + (gasket + clearance) / 1000.0

    def swept_cm3(self, *, bore_mm: float) -> float:
        """Swept volume of a cylinder [cm3]."""
        return pi / 4.0 * bore_mm**2 * self.stroke_mm / 1000.0

    def ratio(self, *, chamber_cm3: float, bore_mm: float) -> float:
        """Compression ratio over a chamber of that volume."""
        return 1.0 + self.swept_cm3(bore_mm=bore_mm) / (
            chamber_cm3 + self.under_cm3(bore_mm=bore_mm)
        )

    def chamber_span_cm3(self, *, bore_mm: float) -> tuple[float | None, float | None]:
        """The least and the largest chamber whose compression ratio lies within its limits.

        Ratio = (swept + clearance volume) / clearance volume falls as the chamber grows, so the
        high ratio bounds the chamber from below; exact.  ``None`` where the ratio has no limit.
        """
        swept, under = self.swept_cm3(bore_mm=bore_mm), self.under_cm3(bore_mm=bore_mm)
        return (
            None if self.ratio_high is None else swept / (self.ratio_high - 1.0) - under,
            None if self.ratio_low is None else swept / (self.ratio_low - 1.0) - under,
        )
