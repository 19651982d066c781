"""Proof tests in words: pressures as a shop reads them, rules, what was found."""

from collections.abc import Mapping
from typing import Any

from castworthy.calc.leak.proof import Medium, stored_energy_n_m
from castworthy.units import Show
from castworthy.units.show import as_text

EXAMPLE_VOLUME_CM3 = 5000.0
USUAL_KPA = 275.790
MOST_KPA = 2000.0
MOST_CM3 = 1e6
"""Far above what a head is tested with (common practice, no source)."""


def vacuum_unit(show: Show) -> str:
    """The unit a vacuum is read in: inHg beside inches, kPa beside millimetres."""
    return "kPa" if show.metric else "inHg"


def pressure_unit(show: Show) -> str:
    """The unit a pressure is read in: psi beside inches, kPa beside millimetres."""
    return "kPa" if show.metric else "psi"


def temperature_unit(show: Show) -> str:
    """The unit a temperature is read in."""
    return "°C" if show.metric else "°F"


def vacuum_words(kpa: float, *, show: Show) -> str:
    """A vacuum with its unit: ``24.6 inHg``."""
    unit = vacuum_unit(show)
    return f"{as_text(kpa, suffix='kpa', unit=unit, digits=1)} {unit}"


def pressure_words(kpa: float, *, show: Show) -> str:
    """A pressure with its unit: ``40.0 psi``."""
    unit = pressure_unit(show)
    return f"{as_text(kpa, suffix='kpa', unit=unit, digits=1)} {unit}"


def temperature_words(degc: float, *, show: Show) -> str:
    """A temperature with its unit: ``180 °F``."""
    if show.metric:
        return f"{degc:.0f} °C"
    return f"{degc * 9 / 5 + 32:.0f} °F"


def warmth_words(told: Mapping[str, Any], *, show: Show) -> str:
    """What the temperature explains of a pressure test, and what is left without it; may be
    empty.
    """
    if "corrected_kpa" not in told:
        return ""
    moved = pressure_words(abs(told["by_temperature_kpa"]), show=show)
    warmth = "cooling took" if told["by_temperature_kpa"] >= 0.0 else "warming gave"
    left = pressure_words(told["corrected_kpa"], show=show)
    return f"{warmth} {moved}, {left} left without it"


def time_words(seconds: float) -> str:
    """A time with its unit: ``30 s``, ``20 min``."""
    if seconds >= 120:
        return f"{seconds / 60:g} min"
    return f"{seconds:g} s"


def energy_sentence(
    *, medium: Medium, pressure_kpa: float, volume_cm3: float | None, show: Show
) -> str:
    """How much energy the filled head holds, and what that asks for."""
    volume = EXAMPLE_VOLUME_CM3 if volume_cm3 is None else volume_cm3
    energy = stored_energy_n_m(pressure_kpa=pressure_kpa, volume_cm3=volume, medium=medium)
    litres = f"{volume / 1000:g} l"
    held = f"{medium.value.capitalize()} at {pressure_words(pressure_kpa, show=show)} in {litres}"
    if medium is Medium.AIR:
        return (
            f"{held} stores about {energy_words(energy)}: stay behind the guard, or fill with "
            "water, which stores almost none."
        )
    return (
        f"{held} stores about {energy_words(energy)}; keep the air out and stay behind the guard."
    )


def energy_words(newton_metres: float) -> str:
    """An energy with its unit: ``1.5 kJ``, ``0.086 J``."""
    if newton_metres >= 1000:
        return f"{newton_metres / 1000:.1f} kJ"
    return f"{newton_metres:.2g} J" if newton_metres < 10 else f"{newton_metres:.0f} J"
