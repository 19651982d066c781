"""What all studs hold the head down with beside the gas that lifts it: information, no verdict."""

from dataclasses import dataclass
from math import isfinite, pi

from castworthy.calc.clamp.preload import Preload
from castworthy.calc.errors import InputError

Interval = tuple[float, float]

RULE_OF_THUMB = 3.0
"""Clamp over gas force that is often told; heavy diesels run nearer 2 or below.  Common practice,
no source: information only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """The clamp of a head, one cylinder's share of it, and the gas against it.

    ``ring_n_per_mm`` is the load along the ring where it alone carries the cylinder's clamp;
    ``ring_firing_n_per_mm`` what is left of it at least at peak pressure.
    """

    total_n: float
    total_interval_n: Interval
    cylinder_n: float
    cylinder_interval_n: Interval
    gas_n: float
    over_gas_ratio: float
    over_gas_interval_ratio: Interval
    ring_n_per_mm: float | None
    ring_interval_n_per_mm: Interval | None
    ring_firing_n_per_mm: float | None
    ring_firing_interval_n_per_mm: Interval | None
    cautions: tuple[str, ...]


def clamp_over_gas(
    preload: Preload,
    *,
    studs_count: int,
    cylinders_count: int,
    bore_mm: float,
    pressure_mpa: float,
    ring_diameter_mm: float | None = None,
) -> Clamp:
    """Total clamp, a cylinder's share, gas force p (pi/4) D^2 and the ring's line load.

    Parameters
    ----------
    preload
        preload of one stud
    studs_count, cylinders_count
        studs on the head and the cylinders it covers; a stud between two counts half for each
    bore_mm
        bore D, or the diameter the gas reaches under the head [mm], scalar
    pressure_mpa
        peak cylinder pressure p [MPa], scalar
    ring_diameter_mm
        centreline diameter of the sealing ring [mm]; ``None`` without one

    Returns
    -------
    Clamp
        Forces with the interval of the preload.  All studs are taken to be off the same way, so
        the interval of the total is not narrowed by their number.

    Raises
    ------
    InputError
        If a figure is not positive.

    References
    ----------
    Statics; the joint keeps at least preload less gas force (VDI 2230-1:2015, joint diagram).

    """
    figures = {
        "studs_count": float(studs_count),
        "cylinders_count": float(cylinders_count),
        "bore_mm": bore_mm,
        "pressure_mpa": pressure_mpa,
    }
    if ring_diameter_mm is not None:
        figures["ring_diameter_mm"] = ring_diameter_mm
    for name, value in figures.items():
        if not (isfinite(value) and value > 0.0):
            raise InputError(f"{name} must be above 0 (got {value:g}); check the figure.")
    share = studs_count / cylinders_count
    gas = pressure_mpa * pi / 4.0 * bore_mm**2
    ends = preload.interval_n
    cylinder, low, high = (each * share for each in (preload.preload_n, *ends))
    ring = None if ring_diameter_mm is None else pi * ring_diameter_mm
    return Clamp(
        total_n=preload.preload_n * studs_count,
        total_interval_n=(ends[0] * studs_count, ends[1] * studs_count),
        cylinder_n=cylinder,
        cylinder_interval_n=(low, high),
        gas_n=gas,
        over_gas_ratio=cylinder / gas,
        over_gas_interval_ratio=(low / gas, high / gas),
        ring_n_per_mm=None if ring is None else cylinder / ring,
        ring_interval_n_per_mm=None if ring is None else (low / ring, high / ring),
        ring_firing_n_per_mm=None if ring is None else _left(cylinder, gas) / ring,
        ring_firing_interval_n_per_mm=(
            None if ring is None else (_left(low, gas) / ring, _left(high, gas) / ring)
        ),
        cautions=_cautions(low / gas, ring=ring),
    )


def _left(clamp_n: float, gas_n: float) -> float:
    return max(clamp_n - gas_n, 0.0)


def _cautions(lowest_ratio: float, *, ring: float | None) -> tuple[str, ...]:
    said = [
        "Information, no pass: the engine maker's torque, sequence, lubricant and retorque rule "
        "count.",
        f"Often {RULE_OF_THUMB:g} times the gas force is told as a rule of thumb; heavy diesels "
        "run nearer 2 or below. Gasket and joint settle and take some of the clamp.",
    ]
    if lowest_ratio < 1.0:
        said.insert(
            0,
            "At the low end of the scatter the clamp is below the gas force: the head would lift. "
            "Check pressure, bore and torque.",
        )
    if ring is not None:
        said.append(
            "The ring's load counts as if it carried all of the clamp; gasket and deck take a part."
        )
    return tuple(said)
