"""A head under air pressure: what the temperature explains of a loss, and the leak that is left."""

from dataclasses import dataclass
from math import isfinite, sqrt

from castworthy.calc.errors import InputError
from castworthy.calc.leak.flow import STD_CM3_PER_MIN_PA_M3_PER_S, equivalent_hole_um
from castworthy.calc.leak.proof import ATMOSPHERE_KPA, Medium, stored_energy_n_m
from castworthy.calc.outcome import Refused
from castworthy.units import Show

COVERAGE_FACTOR = 2.0
_DEGF_PER_DEGC = 1.8

PRACTICES = (
    "Let head, filling and fixture come to one temperature before the first reading.",
    "Soap the joints of the fixture first: they leak more often than the head.",
)
"""How a pressure test is done.  Common practice, no source."""

CAUTION = (
    "Fill with water and trap as little air as you can, stand behind the guard and out of line "
    "with plugs, vent before you touch anything. Hot water scalds."
)
"""What can hurt.  Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureDecay:
    """A pressure test with air, gauge pressures.

    ``loss_kpa`` is what the gauge lost, ``by_temperature_kpa`` the part cooling explains (negative
    where the head warmed), ``leak_loss_kpa`` what is left.  ``degree_kpa`` is what 1 °C
    moves the reading by.  ``seen`` is false where the leak cannot be told from none.
    """

    loss_kpa: float
    by_temperature_kpa: float
    leak_loss_kpa: float
    u_leak_loss_kpa: float
    degree_kpa: float
    seen: bool
    leak_pa_m3_per_s: float
    leak_std_cm3_per_min: float
    hole_um: float
    stored_n_m: float
    sentence: str
    cautions: tuple[str, ...]


def pressure_decay(
    *,
    start_kpa: float,
    held_kpa: float,
    start_degc: float,
    end_degc: float,
    hold_s: float,
    volume_cm3: float,
    u_pressure_kpa: float = 0.5,
    u_temperature_degc: float = 0.5,
    atmosphere_kpa: float = ATMOSPHERE_KPA,
    show: Show,
) -> PressureDecay | Refused:
    """Take the temperature out of a pressure test, then the leak from what is left.

    Parameters
    ----------
    start_kpa, held_kpa
        gauge pressure at the start and at the end of the hold [kPa], scalars
    start_degc, end_degc
        temperature of the air inside at both [deg C], scalars
    hold_s
        time between the readings [s], scalar
    volume_cm3
        air-filled volume with the line [cm3], scalar
    u_pressure_kpa, u_temperature_degc
        standard uncertainties of one reading [kPa], [deg C], scalars
    atmosphere_kpa
        absolute pressure of the air at the bench [kPa], scalar
    show
        units of the sentences

    Returns
    -------
    PressureDecay or Refused
        ``Refused`` where the corrected pressure has risen by more than its uncertainty.

    Raises
    ------
    InputError
        If a pressure, volume or time is not positive, an uncertainty is none, or a temperature
        lies below -40 or above 150 deg C.

    References
    ----------
    dP / P = dT / T of a closed volume (Gay-Lussac), absolute; leak Q = V dP / dt; uncertainty by
    JCGM 100:2008, 5.1.2.

    """
    _check(start_kpa=start_kpa, hold_s=hold_s, volume_cm3=volume_cm3, held_kpa=held_kpa)
    _check_doubt(u_pressure_kpa=u_pressure_kpa, u_temperature_degc=u_temperature_degc)
    for degc in (start_degc, end_degc):
        if not -40.0 <= degc <= 150.0:
            raise InputError(
                f"A test is done between -40 and 150 °C, got {degc:.0f} °C; check the unit."
            )
    P1, P2 = start_kpa + atmosphere_kpa, held_kpa + atmosphere_kpa
    T1, T2 = start_degc + 273.15, end_degc + 273.15
    left = P1 - P2 * T1 / T2
    loss = start_kpa - held_kpa
    degree = P2 / T2
    u = sqrt(2.0) * sqrt(u_pressure_kpa**2 + (degree * u_temperature_degc) ** 2)
    if left < -COVERAGE_FACTOR * u:
        return Refused(
            code="pressure-rises",
            reason=(
                f"The leak cannot be judged: with the temperature taken out the pressure rose by "
                f"{_of(-left, show)}."
            ),
            remedy="Let the head and its air come to one temperature, then read both again.",
        )
    leak = max(left, 0.0) * 1e3 * volume_cm3 * 1e-6 / hold_s
    seen = left > COVERAGE_FACTOR * u
    return PressureDecay(
        loss_kpa=loss,
        by_temperature_kpa=loss - left,
        leak_loss_kpa=left,
        u_leak_loss_kpa=u,
        degree_kpa=degree,
        seen=seen,
        leak_pa_m3_per_s=leak,
        leak_std_cm3_per_min=leak / STD_CM3_PER_MIN_PA_M3_PER_S,
        hole_um=equivalent_hole_um(
            leak_pa_m3_per_s=leak,
            before_kpa=max((P1 + P2) / 2.0, atmosphere_kpa),
            behind_kpa=atmosphere_kpa,
            temperature_degc=(start_degc + end_degc) / 2.0,
        ),
        stored_n_m=stored_energy_n_m(
            pressure_kpa=start_kpa,
            volume_cm3=volume_cm3,
            medium=Medium.AIR,
            atmosphere_kpa=atmosphere_kpa,
        ),
        sentence=_sentence(left, by_temperature=loss - left, seen=seen, u=u, show=show),
        cautions=_cautions(left, degree=degree, show=show),
    )


def bare_rise(
    *, start_kpa: float, held_kpa: float, u_pressure_kpa: float = 0.5, show: Show
) -> Refused | None:
    """Whether a test without temperatures rose, so that it says nothing of a leak.

    Parameters
    ----------
    start_kpa, held_kpa
        gauge pressure at the start and at the end of the hold [kPa], scalars
    u_pressure_kpa
        standard uncertainty of one reading [kPa], scalar
    show
        units of the sentence

    Returns
    -------
    Refused or None
        refused where the end reads above the start by more than both readings' uncertainty

    Raises
    ------
    InputError
        If the uncertainty is negative.

    References
    ----------
    Water trapped between metal rises by hundreds of kPa for each degree it warms, far more than a
    leak takes in the hold: common practice, no source.  JCGM 100:2008, 5.1.2.

    """
    _check_doubt(u_pressure_kpa=u_pressure_kpa)
    rise = held_kpa - start_kpa
    if rise <= COVERAGE_FACTOR * sqrt(2.0) * u_pressure_kpa:
        return None
    return Refused(
        code="pressure-rises",
        reason=f"The leak cannot be judged: the pressure rose by {_of(rise, show)}, as it "
        "does where head and filling warm.",
        remedy="Let head and filling come to one temperature, then read both again.",
    )


def _check(*, start_kpa: float, held_kpa: float, hold_s: float, volume_cm3: float) -> None:
    for name, value in {"start_kpa": start_kpa, "hold_s": hold_s, "volume_cm3": volume_cm3}.items():
        if not (isfinite(value) and value > 0.0):
            raise InputError(f"{name} must be above 0 (got {value:g}); check the figure.")
    if not (isfinite(held_kpa) and held_kpa >= 0.0):
        raise InputError(f"held_kpa is a gauge pressure of 0 or more (got {held_kpa:g}).")


def _check_doubt(**doubts: float) -> None:
    for name, u in doubts.items():
        if not (isfinite(u) and u >= 0.0):
            raise InputError(f"{name} must be 0 or more (got {u:g}); check the figure.")


def _sentence(left: float, *, by_temperature: float, seen: bool, u: float, show: Show) -> str:
    warmth = "cooling" if by_temperature >= 0.0 else "warming"
    part = f"{warmth} accounts for {_of(abs(by_temperature), show)}"
    if seen:
        return f"The leak took {_of(left, show)}; {part}."
    return f"No leak can be told: {part}, and the rest is within {_of(COVERAGE_FACTOR * u, show)}."


def _cautions(left: float, *, degree: float, show: Show) -> tuple[str, ...]:
    said = [
        "Air under pressure stores enough to throw a plug: fill with water where you can, stay "
        "behind the guard and vent before touching."
    ]
    step, unit = (degree, "°C") if show.metric else (degree / _DEGF_PER_DEGC, "°F")
    if step > abs(left):
        said.insert(0, f"1 {unit} moves the reading by {_of(step, show)}, more than the leak did.")
    return tuple(said)


def _of(pressure_kpa: float, show: Show) -> str:
    return show.value(pressure_kpa, suffix="kpa", digits=1 if show.metric else 2)
