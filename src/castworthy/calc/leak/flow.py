"""Air through a small hole, choked and subsonic, and how a closed port fills through it.

The port keeps the temperature of the room (it fills in seconds, its iron is heavy); the air
speeds up in the hole without heat or friction.  Then the pressure in the port has a closed form:
while the hole is choked it rises evenly, and from there on sqrt(1 - r^((g - 1) / g)) falls evenly,
r being the pressure in the port over the atmosphere.
"""

from dataclasses import dataclass
from math import inf, isfinite, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from castworthy.calc.errors import InputError
from castworthy.calc.leak.proof import AIR_HEAT_RATIO, ATMOSPHERE_KPA

AIR_GAS_CONSTANT = 287.05
"""Gas constant of dry air [J/(kg K)] (NACA Report 1135 and the ISA: 287.05)."""

STD_CM3_PER_MIN_PA_M3_PER_S = ATMOSPHERE_KPA * 1e-3 / 60.0
"""One standard cm3 a minute: 1 cm3 of 101.325 kPa, 0.00168875 Pa m3/s.
Counted at the temperature of the leak, as tables of leak units do."""

G = AIR_HEAT_RATIO
CRITICAL_RATIO = (2.0 / (G + 1.0)) ** (G / (G - 1.0))
"""Pressure behind a hole over pressure before it at and below which it is choked: 0.528."""

_CHOKED = sqrt(G) * (2.0 / (G + 1.0)) ** ((G + 1.0) / (2.0 * (G - 1.0)))
_SLOPE = sqrt(2.0 * G / (G - 1.0))
_CRITICAL_ROOT = sqrt((G - 1.0) / (G + 1.0))
_CRITICAL_CLOCK = CRITICAL_RATIO / _CHOKED

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """A closed port with its adapter and line, on the day of the test.

    ``atmosphere_kpa`` is the air's own pressure at the bench, not the weather report's (that one
    is brought down to sea level).  ``discharge_ratio`` 1 makes the hole the smallest round one
    that passes the air; a sharp-edged hole of 0.6 to 0.8 would be wider.
    """

    volume_cm3: float
    u_volume_cm3: float = 0.0
    atmosphere_kpa: float = ATMOSPHERE_KPA
    temperature_degc: float = 20.0
    discharge_ratio: float = 1.0

    def __post_init__(self) -> None:
        _within("volume_cm3", self.volume_cm3, above=0.0, most=1e6, ask="fill it with water once")
        _within("atmosphere_kpa", self.atmosphere_kpa, above=40.0, most=120.0, ask="it is absolute")
        _within("temperature_degc", self.temperature_degc, above=-40.0, most=150.0, ask="in °C")
        _within("discharge_ratio", self.discharge_ratio, above=0.0, most=1.0, ask="1 is ideal")
        if not 0.0 <= self.u_volume_cm3 < self.volume_cm3:
            raise InputError(
                "u_volume_cm3 must be 0 or more and below the volume itself "
                f"(got {self.u_volume_cm3:g} of {self.volume_cm3:g} cm³); check the figure."
            )

    @property
    def rate_per_area(self) -> float:
        """Turns of the port's own clock a second for each m2 of hole."""
        T = self.temperature_degc + 273.15
        return self.discharge_ratio * sqrt(AIR_GAS_CONSTANT * T) / (self.volume_cm3 * 1e-6)


def _within(name: str, value: float, *, above: float, most: float, ask: str) -> None:
    if not (isfinite(value) and above < value <= most):
        raise InputError(
            f"{name} must be above {above:g} and at most {most:g} (got {value:g}); {ask}."
        )


def flow_function(pressure_ratio: ArrayLike) -> Floats:
    """How freely air passes a hole: psi in m = A p0 psi / sqrt(R T).

    Parameters
    ----------
    pressure_ratio
        pressure behind the hole over pressure before it, both absolute [-], any shape, 0 to 1

    Returns
    -------
    ndarray
        psi [-]: 0.6847 at and below the critical ratio 0.528, 0 at 1

    References
    ----------
    NACA Report 1135 (1953), isentropic flow, gamma = 1.4.

    """
    r = np.clip(np.asarray(pressure_ratio, dtype=np.float64), CRITICAL_RATIO, 1.0)
    return np.asarray(_SLOPE * r ** (1.0 / G) * np.sqrt(1.0 - r ** ((G - 1.0) / G)))


def throughput_pa_m3_per_s(
    *,
    hole_um: float,
    before_kpa: float,
    behind_kpa: float,
    temperature_degc: float = 20.0,
    discharge_ratio: float = 1.0,
) -> float:
    """Air through a round hole, as pressure times volume a second; over R T it is kg/s.

    Parameters
    ----------
    hole_um
        diameter of the hole [um], scalar
    before_kpa, behind_kpa
        absolute pressures before and behind the hole [kPa], scalars
    temperature_degc
        temperature of the air before it [deg C], scalar
    discharge_ratio
        discharge coefficient [-], scalar

    Returns
    -------
    float
        Cd A p0 sqrt(R T) psi [Pa m3/s]

    Raises
    ------
    InputError
        If the pressure behind is above the one before, or either is negative.

    References
    ----------
    NACA Report 1135 (1953), isentropic flow; R = 287.05 J/(kg K).

    """
    if not 0.0 <= behind_kpa <= before_kpa or before_kpa <= 0.0:
        raise InputError(
            "Air runs from the higher absolute pressure to the lower, "
            f"got {before_kpa:.1f} kPa before the hole and {behind_kpa:.1f} kPa behind it."
        )
    A = pi / 4.0 * (hole_um * 1e-6) ** 2
    T = temperature_degc + 273.15
    psi = float(flow_function(behind_kpa / before_kpa))
    return discharge_ratio * A * before_kpa * 1e3 * sqrt(AIR_GAS_CONSTANT * T) * psi


def equivalent_hole_um(
    *,
    leak_pa_m3_per_s: float,
    before_kpa: float,
    behind_kpa: float,
    temperature_degc: float = 20.0,
    discharge_ratio: float = 1.0,
) -> float:
    """Diameter of the round hole that passes a leak.

    Parameters
    ----------
    leak_pa_m3_per_s
        leak rate [Pa m3/s], scalar
    before_kpa, behind_kpa
        absolute pressures before and behind the hole [kPa], scalars
    temperature_degc
        temperature of the air before it [deg C], scalar
    discharge_ratio
        discharge coefficient [-], scalar

    Returns
    -------
    float
        diameter [um]; infinite where no pressure drives the leak

    References
    ----------
    :func:`throughput_pa_m3_per_s`, which goes with the square of the diameter.

    """
    of_1_um = throughput_pa_m3_per_s(
        hole_um=1.0,
        before_kpa=before_kpa,
        behind_kpa=behind_kpa,
        temperature_degc=temperature_degc,
        discharge_ratio=discharge_ratio,
    )
    if of_1_um == 0.0:
        return 0.0 if leak_pa_m3_per_s == 0.0 else inf
    return sqrt(leak_pa_m3_per_s / of_1_um)


def clock_of(pressure_ratio: ArrayLike) -> Floats:
    """The port's own clock: the time an even rate of filling takes from nothing to a pressure.

    Parameters
    ----------
    pressure_ratio
        pressure in the port over the atmosphere, absolute [-], any shape, at most 1

    Returns
    -------
    ndarray
        the integral of dr / psi(r) from 0 [-]; every port runs along it evenly in time

    References
    ----------
    The integral in closed form; see the head of this module.

    """
    r = np.minimum(np.asarray(pressure_ratio, dtype=np.float64), 1.0)
    s = np.sqrt(1.0 - np.maximum(r, CRITICAL_RATIO) ** ((G - 1.0) / G))
    subsonic = _CRITICAL_CLOCK + _SLOPE * (_CRITICAL_ROOT - s)
    rising: Floats = np.where(r <= CRITICAL_RATIO, r / _CHOKED, subsonic)
    return rising


def ratio_at(clock_ratio: ArrayLike) -> Floats:
    """Pressure in the port over the atmosphere at a reading of the port's own clock.

    Parameters
    ----------
    clock_ratio
        what :func:`clock_of` gives [-], any shape

    Returns
    -------
    ndarray
        pressure ratio [-]; 1 once the port is full

    References
    ----------
    The inverse of :func:`clock_of`.

    """
    tau = np.asarray(clock_ratio, dtype=np.float64)
    s = np.clip(_CRITICAL_ROOT - (tau - _CRITICAL_CLOCK) / _SLOPE, 0.0, _CRITICAL_ROOT)
    ratio: Floats = np.where(tau <= _CRITICAL_CLOCK, tau * _CHOKED, (1.0 - s**2) ** (G / (G - 1.0)))
    return ratio


def filling_kpa(time_s: ArrayLike, *, port: Port, start_kpa: float, hole_um: float) -> Floats:
    """Absolute pressure in a port that fills through a hole.

    Parameters
    ----------
    time_s
        times after the start [s], any shape
    port
        the port
    start_kpa
        absolute pressure at the start [kPa], scalar
    hole_um
        diameter of the hole [um], scalar

    Returns
    -------
    ndarray
        absolute pressure [kPa], shape of ``time_s``

    References
    ----------
    V dP/dt = Cd A p0 sqrt(R T) psi(P / p0), solved in closed form.

    """
    p0 = port.atmosphere_kpa
    k = port.rate_per_area * pi / 4.0 * (hole_um * 1e-6) ** 2
    tau = clock_of(start_kpa / p0) + k * np.asarray(time_s, dtype=np.float64)
    pressure_kpa: Floats = p0 * ratio_at(tau)
    return pressure_kpa


def standard_atmosphere_kpa(*, altitude_mm: float) -> float:
    """Pressure of the standard atmosphere at a height above the sea.

    Parameters
    ----------
    altitude_mm
        height above the sea [mm], scalar, up to 11 km

    Returns
    -------
    float
        absolute pressure [kPa]; about 3.5 kPa (1 inHg) less for every 300 m near the sea

    Raises
    ------
    InputError
        If no shop stands there.

    References
    ----------
    ISO 2533:1975: 101.325 kPa, 288.15 K, 6.5 K/km, exponent 9.80665 / (287.05287 * 0.0065).

    """
    h = altitude_mm / 1e3
    if not -500.0 <= h <= 6000.0:
        raise InputError(f"A shop stands between -500 m and 6000 m, got {h:.0f} m; check the unit.")
    return float(ATMOSPHERE_KPA * (1.0 - 0.0065 * h / 288.15) ** (9.80665 / (287.05287 * 0.0065)))
