"""Valve springs: their law from two loads, load at a height, coil bind."""

from dataclasses import dataclass
from math import hypot, sqrt

from castworthy.calc.errors import InputError
from castworthy.calc.valvetrain.first_order import parts_of

LEAST_COIL_BIND_MM = 1.524
"""Travel left before the coils touch (value from memory: 0.060 in in all)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringLaw:
    """A straight spring: load = rate (free - height).

    ``correlation_ratio`` is that of the errors of rate and free height; both come from the same
    readings when the spring was measured by two loads.
    """

    rate_n_per_mm: float
    free_mm: float
    solid_mm: float | None = None
    u_rate_n_per_mm: float | None = None
    u_free_mm: float | None = None
    correlation_ratio: float = 0.0

    def __post_init__(self) -> None:
        if not self.rate_n_per_mm > 0.0 or not self.free_mm > (self.solid_mm or 0.0) >= 0.0:
            raise InputError(
                "A spring has a rate above 0 and a free height above its solid height, got "
                f"{self.rate_n_per_mm:.3f} N/mm, {self.free_mm:.3f} mm free and "
                f"{self.solid_mm or 0.0:.3f} mm solid."
            )

    def load_n(self, height_mm: float) -> float:
        """Load at a height [N]; nought above the free height."""
        return max(0.0, self.rate_n_per_mm * (self.free_mm - height_mm))

    def height_mm(self, load_n: float) -> float:
        """Height under a load [mm]."""
        return self.free_mm - load_n / self.rate_n_per_mm

    def u_load_n(self, height_mm: float, *, u_height_mm: float | None = None) -> float | None:
        """Standard uncertainty of the load at a height [N], correlation included."""
        known = (self.u_rate_n_per_mm, self.u_free_mm, u_height_mm)
        if all(each is None for each in known):
            return None
        by_rate = (self.free_mm - height_mm) * (self.u_rate_n_per_mm or 0.0)
        by_free = self.rate_n_per_mm * (self.u_free_mm or 0.0)
        both = by_rate**2 + by_free**2 + 2.0 * self.correlation_ratio * by_rate * by_free
        return hypot(sqrt(max(0.0, both)), self.rate_n_per_mm * (u_height_mm or 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadReading:
    """A load read on the tester at a height."""

    load_n: float
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringWork:
    """A spring in its place: loads, travel left to coil bind.

    ``coil_bind_mm`` is ``None`` where the solid height is not known.
    """

    seat_load_n: float
    open_load_n: float
    u_seat_load_n: float | None
    u_open_load_n: float | None
    open_height_mm: float
    coil_bind_mm: float | None
    u_coil_bind_mm: float | None


def law_from_loads(
    first: LoadReading,
    *,
    second: LoadReading,
    solid_mm: float | None = None,
    u_load_n: float | None = None,
    u_height_mm: float | None = None,
) -> SpringLaw:
    """A spring's law from two loads on the tester.

    The free height is where the line through both meets no load: with close-wound ends it may
    differ from the height read on a plate, and the line holds between the two readings best.

    Parameters
    ----------
    first : LoadReading
        A load at a height.
    second : LoadReading
        Another, at another height.
    solid_mm : float or None
        Height with all coils touching [mm].
    u_load_n, u_height_mm : float or None
        Standard uncertainty of one load [N] and of one height [mm], independent.

    Returns
    -------
    SpringLaw
        Rate [N/mm] and free height [mm] with their uncertainties and correlation.

    Raises
    ------
    InputError
        If the lower height does not carry the larger load.

    References
    ----------
    Straight line through two points; JCGM 100:2008, 5.1.2 and F.1.2.3 (correlation).

    """
    low, high = sorted((first, second), key=lambda each: each.height_mm)
    if not (high.height_mm > low.height_mm > 0.0 and low.load_n > high.load_n >= 0.0):
        raise InputError(
            "A spring pushes harder at the lower height, got "
            f"{low.load_n:.1f} N at {low.height_mm:.3f} mm and {high.load_n:.1f} N at "
            f"{high.height_mm:.3f} mm. Are the columns swapped?"
        )
    values = {"F1": low.load_n, "L1": low.height_mm, "F2": high.load_n, "L2": high.height_mm}
    u = {
        name: size
        for name, size in {
            "F1": u_load_n,
            "F2": u_load_n,
            "L1": u_height_mm,
            "L2": u_height_mm,
        }.items()
        if size is not None
    }
    rates = [part.share for part in parts_of(_rate, values=values, u=u)]
    frees = [part.share for part in parts_of(_free, values=values, u=u)]
    u_rate, u_free = hypot(*rates), hypot(*frees)
    both = sum(a * b for a, b in zip(rates, frees, strict=True))
    return SpringLaw(
        rate_n_per_mm=_rate(values),
        free_mm=_free(values),
        solid_mm=solid_mm,
        u_rate_n_per_mm=u_rate if u else None,
        u_free_mm=u_free if u else None,
        correlation_ratio=both / (u_rate * u_free) if u_rate * u_free > 0.0 else 0.0,
    )


def at_work(
    law: SpringLaw,
    *,
    installed_mm: float,
    lift_mm: float,
    u_installed_mm: float | None = None,
    u_solid_mm: float | None = None,
) -> SpringWork:
    """A spring in its place: seat load, open load, and travel left before the coils touch.

    Parameters
    ----------
    law : SpringLaw
        The spring.
    installed_mm : float
        Height with the valve closed [mm].
    lift_mm : float
        Lift of the valve [mm], not negative.
    u_installed_mm, u_solid_mm : float or None
        Standard uncertainties of the installed and of the solid height [mm].

    Returns
    -------
    SpringWork
        Loads [N] and coil-bind margin = installed - lift - solid [mm].

    Raises
    ------
    InputError
        If the lift is negative or uses up the height.

    References
    ----------
    Hooke's law; JCGM 100:2008, 5.1.2 and 5.2.2.

    """
    opened = installed_mm - lift_mm
    if not lift_mm >= 0.0 or not opened > 0.0:
        raise InputError(
            "A lift is 0 or more and less than the installed height, got "
            f"{lift_mm:.3f} and {installed_mm:.3f} mm."
        )
    u_bind = None
    if u_installed_mm is not None or u_solid_mm is not None:
        u_bind = hypot(u_installed_mm or 0.0, u_solid_mm or 0.0)
    return SpringWork(
        seat_load_n=law.load_n(installed_mm),
        open_load_n=law.load_n(opened),
        u_seat_load_n=law.u_load_n(installed_mm, u_height_mm=u_installed_mm),
        u_open_load_n=law.u_load_n(opened, u_height_mm=u_installed_mm),
        open_height_mm=opened,
        coil_bind_mm=None if law.solid_mm is None else opened - law.solid_mm,
        u_coil_bind_mm=None if law.solid_mm is None else u_bind,
    )


def _rate(v: dict[str, float]) -> float:
    return (v["F1"] - v["F2"]) / (v["L2"] - v["L1"])


def _free(v: dict[str, float]) -> float:
    return v["L2"] + v["F2"] / _rate(v)
