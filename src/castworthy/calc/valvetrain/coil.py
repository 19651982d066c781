"""Springs from their wire: rate, solid height, stress."""

from dataclasses import dataclass
from math import hypot, pi

from castworthy.calc.errors import InputError
from castworthy.calc.valvetrain.spring import SpringLaw

SHEAR_MODULUS_MPA = 79.3e3
"""Shear modulus of steel spring wire (value from memory: 11.5 Mpsi)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coil:
    """A round-wire compression spring as it is wound; ``mean_mm`` is the diameter wire to wire."""

    wire_mm: float
    mean_mm: float
    active_count: float
    shear_modulus_mpa: float = SHEAR_MODULUS_MPA

    def __post_init__(self) -> None:
        if not (0.0 < self.wire_mm < self.mean_mm and self.active_count > 0.0) or not (
            self.shear_modulus_mpa > 0.0
        ):
            raise InputError(
                "A spring's wire is thinner than the coil it is wound to, with more than 0 coils; "
                f"got wire {self.wire_mm:.3f}, coil {self.mean_mm:.3f} mm and "
                f"{self.active_count:g} coils."
            )


def rate_from_wire(coil: Coil) -> float:
    """Rate of a round-wire spring from its dimensions.

    Parameters
    ----------
    coil : Coil
        Wire, mean diameter, active coils and shear modulus.

    Returns
    -------
    float
        k = G d^4 / (8 D^3 n) [N/mm].

    References
    ----------
    Helical springs of round wire, as in Machinery's Handbook and Shigley, Mechanical
    Engineering Design, helical springs.

    """
    d, D, n, G = coil.wire_mm, coil.mean_mm, coil.active_count, coil.shear_modulus_mpa
    return G * d**4 / (8.0 * D**3 * n)


def law_from_wire(
    coil: Coil,
    *,
    free_mm: float,
    solid_mm: float | None = None,
    u_wire_mm: float | None = None,
    u_mean_mm: float | None = None,
    u_free_mm: float | None = None,
) -> SpringLaw:
    """A spring's law from its wire and its free height.

    Parameters
    ----------
    coil : Coil
        The wire as wound.
    free_mm : float
        Free height [mm].
    solid_mm : float or None
        Height with all coils touching [mm].
    u_wire_mm, u_mean_mm, u_free_mm : float or None
        Standard uncertainties of wire, mean diameter and free height [mm].

    Returns
    -------
    SpringLaw
        Rate [N/mm] with its uncertainty where wire or diameter have one.

    Raises
    ------
    InputError
        If a height or an uncertainty cannot be.

    References
    ----------
    :func:`rate_from_wire`; relative uncertainties 4 u(d)/d and 3 u(D)/D, JCGM 100:2008, 5.1.6.

    """
    k = rate_from_wire(coil)
    u_rate = None
    if u_wire_mm is not None or u_mean_mm is not None:
        u_rate = k * hypot(
            4.0 * (u_wire_mm or 0.0) / coil.wire_mm, 3.0 * (u_mean_mm or 0.0) / coil.mean_mm
        )
    return SpringLaw(
        rate_n_per_mm=k,
        free_mm=free_mm,
        solid_mm=solid_mm,
        u_rate_n_per_mm=u_rate,
        u_free_mm=u_free_mm,
    )


def solid_height_mm(*, wire_mm: float, total_count: float, ground: bool = True) -> float:
    """Height of a spring with all coils touching, ends closed.

    Parameters
    ----------
    wire_mm : float
        Wire diameter [mm].
    total_count : float
        Coils in all, active and closed ends.
    ground : bool
        Whether the ends are ground flat.

    Returns
    -------
    float
        d N ground, d (N + 1) not ground [mm].

    Raises
    ------
    InputError
        If wire or coils are not positive.

    References
    ----------
    Shigley, Mechanical Engineering Design, table of compression-spring ends.

    """
    if not (wire_mm > 0.0 and total_count > 0.0):
        raise InputError(
            f"Wire and coils are more than 0, got {wire_mm:.3f} mm and {total_count:g} coils."
        )
    return wire_mm * (total_count if ground else total_count + 1.0)


def wire_stress_mpa(*, load_n: float, wire_mm: float, mean_mm: float, curved: bool = True) -> float:
    """Shear stress in a spring's wire under a load.

    Parameters
    ----------
    load_n : float
        Load [N].
    wire_mm : float
        Wire diameter [mm].
    mean_mm : float
        Mean coil diameter [mm].
    curved : bool
        Whether Wahl's factor for curvature and direct shear is applied (inside of the coil).

    Returns
    -------
    float
        8 F D / (pi d^3), times (4C - 1)/(4C - 4) + 0.615/C with C = D/d [MPa].

    Raises
    ------
    InputError
        If the wire is not thinner than the coil.

    References
    ----------
    Machinery's Handbook, spring stresses; Wahl's factor.

    """
    if not 0.0 < wire_mm < mean_mm:
        raise InputError(
            "A spring's wire is thinner than the coil it is wound to, got "
            f"{wire_mm:.3f} and {mean_mm:.3f} mm."
        )
    C = mean_mm / wire_mm
    wahl = (4.0 * C - 1.0) / (4.0 * C - 4.0) + 0.615 / C if curved else 1.0
    return wahl * 8.0 * load_n * mean_mm / (pi * wire_mm**3)
