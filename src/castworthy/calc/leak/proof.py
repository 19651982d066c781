"""What a recorded vacuum or pressure test is worth, and the energy it holds.

Pressures are gauge pressures [kPa] unless said; vacuum is counted as a positive figure.
"""

from enum import StrEnum

from castworthy.calc.errors import InputError

VACUUM_SHARE_RATIO = 0.90
"""Share of the dead-head reading a seat keeps where the sheet gives no limit.
Common practice, no source: a sealing seat reads within 2 to 3 inHg of 25 to 28 inHg."""

PRESSURE_SHARE_RATIO = 0.95
"""Share of the test pressure left at the end where the sheet gives no limit.
Common practice, no source."""

LIKE_THE_PUMP_RATIO = 1.02
"""A port may read this share of the dead-head reading: two readings of one vacuum differ.
Common practice, no source."""

ATMOSPHERE_KPA = 101.325
WATER_BULK_MODULUS_KPA = 2.2e6
AIR_HEAT_RATIO = 1.4


class Medium(StrEnum):
    """What a head is filled with under pressure."""

    AIR = "air"
    WATER = "water"


def vacuum_share_ratio(*, held_kpa: float, dead_head_kpa: float) -> float:
    """Share of the day's dead-head reading that a seat holds.

    The ceiling of a pump falls with altitude and weather, so the share is what compares.

    Parameters
    ----------
    held_kpa
        vacuum at the end of the hold [kPa], scalar
    dead_head_kpa
        vacuum of the pump against a closed line the same day [kPa], scalar

    Returns
    -------
    float
        held over dead-head [-]; a little above 1 where a tight port reads past the pump

    Raises
    ------
    InputError
        If the dead-head reading is not positive, or the held vacuum is well above it.

    References
    ----------
    Common practice, no source.

    """
    if not 0 < dead_head_kpa <= ATMOSPHERE_KPA * 1.1:
        raise InputError(
            "The dead-head reading is the pump's own vacuum, above 0 and at most about "
            f"{ATMOSPHERE_KPA:.0f} kPa, got {dead_head_kpa:.1f} kPa; read it again."
        )
    if held_kpa > LIKE_THE_PUMP_RATIO * dead_head_kpa or held_kpa < 0:
        raise InputError(
            f"A port holds between 0 and the pump's dead-head reading of {dead_head_kpa:.1f} kPa, "
            f"got {held_kpa:.1f} kPa; read both again."
        )
    return held_kpa / dead_head_kpa


def pressure_left_ratio(
    *,
    start_kpa: float,
    held_kpa: float,
    start_degc: float | None = None,
    end_degc: float | None = None,
    atmosphere_kpa: float = ATMOSPHERE_KPA,
) -> float:
    """Share of the test pressure that is left, with the temperature taken out for a gas.

    A closed volume of gas follows P/T = constant (absolute), so the end reading is brought
    back to the temperature of the start before it is compared.

    Parameters
    ----------
    start_kpa, held_kpa
        gauge pressure at the start and at the end of the hold [kPa], scalars
    start_degc, end_degc
        temperature of the gas at both readings [deg C]; ``None`` for a liquid or not read
    atmosphere_kpa
        absolute pressure of the air at the bench [kPa], scalar

    Returns
    -------
    float
        corrected end pressure over start pressure, both gauge [-]

    Raises
    ------
    InputError
        If the start or the air's pressure is not positive or a temperature is below -40 deg C.

    References
    ----------
    Gay-Lussac's law; standard atmosphere 101.325 kPa (NIST SP 811).

    """
    if start_kpa <= 0:
        raise InputError(f"A pressure test starts above 0 kPa, got {start_kpa:.1f} kPa.")
    _check_air(atmosphere_kpa)
    if start_degc is None or end_degc is None:
        return held_kpa / start_kpa
    if min(start_degc, end_degc) < -40:
        raise InputError(
            f"A test is done above -40 °C, got {min(start_degc, end_degc):.0f} °C; check the unit."
        )
    cooled = (start_degc + 273.15) / (end_degc + 273.15)
    return ((held_kpa + atmosphere_kpa) * cooled - atmosphere_kpa) / start_kpa


def stored_energy_n_m(
    *,
    pressure_kpa: float,
    volume_cm3: float,
    medium: Medium,
    atmosphere_kpa: float = ATMOSPHERE_KPA,
) -> float:
    """Energy set free when a filled volume bursts [N m, which is J].

    Gas: isentropic expansion to the atmosphere,
    E = P V / (gamma - 1) * (1 - (P0 / P)^((gamma - 1) / gamma)), P absolute.
    Water: E = p^2 V / (2 K).

    Parameters
    ----------
    pressure_kpa
        gauge pressure [kPa], scalar
    volume_cm3
        filled volume [cm3], scalar
    medium
        air or water
    atmosphere_kpa
        absolute pressure of the air at the bench [kPa], scalar

    Returns
    -------
    float
        energy [N m]

    Raises
    ------
    InputError
        If pressure or volume is negative, or the air's pressure is not positive.

    References
    ----------
    Isentropic expansion of an ideal gas, gamma = 1.4; bulk modulus of water 2.2 GPa
    (value from memory).

    """
    if pressure_kpa < 0 or volume_cm3 < 0:
        raise InputError(
            f"Pressure and volume are not negative, got {pressure_kpa:.1f} kPa and "
            f"{volume_cm3:.0f} cm³."
        )
    _check_air(atmosphere_kpa)
    p, V = pressure_kpa * 1e3, volume_cm3 * 1e-6
    if medium is Medium.WATER:
        return p**2 * V / (2 * WATER_BULK_MODULUS_KPA * 1e3)
    P0 = atmosphere_kpa * 1e3
    P = P0 + p
    g = AIR_HEAT_RATIO
    return float(P * V / (g - 1) * (1 - (P0 / P) ** ((g - 1) / g)))


def _check_air(atmosphere_kpa: float) -> None:
    if not 0.0 < atmosphere_kpa <= ATMOSPHERE_KPA * 1.1:
        raise InputError(
            f"The air's own pressure is above 0 and at most about 110 kPa, got "
            f"{atmosphere_kpa:.1f} kPa; leave it out for the standard atmosphere."
        )
