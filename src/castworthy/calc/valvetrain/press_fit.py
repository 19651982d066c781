"""An insert or a guide pressed into its bore: contact pressure, stresses, and what they do.

Diameters, not radii.  Stresses are positive in tension.
"""

from dataclasses import dataclass
from math import hypot, inf, pi, sqrt

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.first_order import combined_u
from castworthy.calc.valvetrain.metals import Metal

INSERT_FRICTION_RATIO = 0.12
"""Friction of a dry metal fit being pressed (value from memory: 0.10 to 0.15)."""

PRACTICES = (
    "Deburr the counterbore and give insert and bore a small lead.",
    "Let it come to one temperature, then try that it sits on the floor of its bore all round.",
)
"""How an insert is fitted.  Common practice, no source."""


_ALIKE_MM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A ring in a bore, both measured free at 20 deg C.

    ``ring_mm`` is the outside of the insert or guide, ``bore_mm`` the counterbore it goes into,
    ``ring_bore_mm`` its own hole (0 for a plug), ``boss_mm`` the outside of the metal around it,
    taken as a round boss out to the nearest edge or water (infinite for metal without end).
    """

    ring_mm: float
    bore_mm: float
    ring_bore_mm: float
    boss_mm: float
    ring_metal: Metal
    boss_metal: Metal
    length_mm: float | None = None
    u_ring_mm: float | None = None
    u_bore_mm: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 <= self.ring_bore_mm < min(self.ring_mm, self.bore_mm) or not (
            self.bore_mm < self.boss_mm
        ):
            raise InputError(
                "A ring's own bore is smaller than the bore it goes into, and the boss is larger; "
                f"got {self.ring_bore_mm:.3f}, {self.bore_mm:.3f} and {self.boss_mm:.3f} mm."
            )

    @property
    def interference_mm(self) -> float:
        """How much larger the ring is than its bore, on the diameter; negative when loose."""
        return self.ring_mm - self.bore_mm

    @property
    def u_interference_mm(self) -> float | None:
        """Standard uncertainty of the interference; ``None`` where neither reading has one."""
        if self.u_ring_mm is None and self.u_bore_mm is None:
            return None
        return hypot(self.u_ring_mm or 0.0, self.u_bore_mm or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PressFit:
    """What an interference does to both parts.

    ``ring_bore_change_mm`` is how the ring's own bore closes (negative), on the diameter: what a
    guide must be reamed for.  ``press_n`` is ``None`` where no length is given.
    """

    interference_mm: float
    interference_ratio: float
    pressure_mpa: float
    boss_hoop_mpa: float
    ring_hoop_mpa: float
    ring_bore_hoop_mpa: float
    boss_von_mises_mpa: float
    ring_von_mises_mpa: float
    ring_bore_change_mm: float
    press_n: float | None
    u_interference_mm: float | None
    u_pressure_mpa: float | None
    u_boss_hoop_mpa: float | None


def press_fit(fit: Fit, *, friction_ratio: float = INSERT_FRICTION_RATIO) -> PressFit | Refused:
    """Contact pressure and stresses of a ring in a boss, by Lame's thick rings.

    p = delta / (d (1/Eo ((D^2 + d^2)/(D^2 - d^2) + nu_o) + 1/Ei ((d^2 + b^2)/(d^2 - b^2) - nu_i)))

    Parameters
    ----------
    fit : Fit
        Both parts.
    friction_ratio : float
        Friction while it is pressed [-].

    Returns
    -------
    PressFit or Refused
        ``Refused`` where the ring is loose in its bore.

    Raises
    ------
    InputError
        If the friction is negative or no number.

    References
    ----------
    Lame's thick-walled cylinders, plane stress, as in Shigley, Mechanical Engineering Design,
    press and shrink fits; von Mises' yield rule; JCGM 100:2008, 5.1.2.

    """
    if not 0.0 <= friction_ratio < inf:
        raise InputError(f"Friction is not negative, got {friction_ratio:g}.")
    if fit.interference_mm < _ALIKE_MM:
        return Refused(
            code="loose-fit",
            reason=(
                "The ring measures the same as its bore, so nothing holds it."
                if fit.interference_mm > -_ALIKE_MM
                else f"The ring measures {-fit.interference_mm:.4f} mm less than its bore, so "
                "nothing holds it."
            ),
            remedy="Take the next oversize and cut the bore to it, or measure both again.",
        )
    d, b, D = fit.bore_mm, fit.ring_bore_mm, fit.boss_mm
    p = _pressure(fit, interference_mm=fit.interference_mm)
    boss = _wall(d, outer_mm=D)
    ring = (d**2 + b**2) / (d**2 - b**2)
    ring_bore_hoop = -2.0 * p * d**2 / (d**2 - b**2) if b > 0.0 else -p
    u_delta = fit.u_interference_mm
    u_p = combined_u(
        lambda v: _pressure(fit, interference_mm=v["delta"]),
        values={"delta": fit.interference_mm},
        u={"delta": u_delta},
    )
    return PressFit(
        interference_mm=fit.interference_mm,
        interference_ratio=fit.interference_mm / d,
        pressure_mpa=p,
        boss_hoop_mpa=p * boss,
        ring_hoop_mpa=-p * ring,
        ring_bore_hoop_mpa=ring_bore_hoop,
        boss_von_mises_mpa=_von_mises(p * boss, -p),
        ring_von_mises_mpa=max(_von_mises(-p * ring, -p), abs(ring_bore_hoop)),
        ring_bore_change_mm=ring_bore_hoop * b / fit.ring_metal.modulus_mpa,
        press_n=None if fit.length_mm is None else friction_ratio * p * pi * d * fit.length_mm,
        u_interference_mm=u_delta,
        u_pressure_mpa=u_p,
        u_boss_hoop_mpa=None if u_p is None else u_p * boss,
    )


def fit_cautions(
    result: PressFit, *, boss_yield_mpa: float | None = None, ring_yield_mpa: float | None = None
) -> tuple[str, ...]:
    """What to mind of a press fit, in words.

    Parameters
    ----------
    result : PressFit
        The fit as worked out.
    boss_yield_mpa, ring_yield_mpa : float or None
        Stress at which the head and the ring yield [MPa]; ``None`` leaves it unsaid.

    Returns
    -------
    tuple of str
        Sentences; empty where nothing is amiss.

    References
    ----------
    Von Mises' yield rule for ductile metal; grey iron, which breaks in tension before it yields,
    is held by its hoop stress (textbook).

    """
    told = []
    if boss_yield_mpa is not None:
        most = max(result.boss_von_mises_mpa, result.boss_hoop_mpa)
        if most > boss_yield_mpa:
            told.append(
                f"The head's metal is stressed to {most:.0f} MPa around the bore, past "
                f"{boss_yield_mpa:.0f} MPa: it gives or cracks. Take less interference."
            )
    if ring_yield_mpa is not None and result.ring_von_mises_mpa > ring_yield_mpa:
        told.append(
            f"The ring is stressed to {result.ring_von_mises_mpa:.0f} MPa, past "
            f"{ring_yield_mpa:.0f} MPa: it sets and later falls out. Take less interference."
        )
    return tuple(told)


def _pressure(fit: Fit, *, interference_mm: float) -> float:
    d, b, D = fit.bore_mm, fit.ring_bore_mm, fit.boss_mm
    outer, inner = fit.boss_metal, fit.ring_metal
    gives = (_wall(d, outer_mm=D) + outer.poisson_ratio) / outer.modulus_mpa + (
        (d**2 + b**2) / (d**2 - b**2) - inner.poisson_ratio
    ) / inner.modulus_mpa
    return interference_mm / (d * gives)


def _wall(inner_mm: float, *, outer_mm: float) -> float:
    """Hoop stress at the hole of a ring for one unit of pressure in it."""
    if outer_mm == inf:
        return 1.0
    return (outer_mm**2 + inner_mm**2) / (outer_mm**2 - inner_mm**2)


def _von_mises(hoop: float, radial: float) -> float:
    return sqrt(hoop**2 - hoop * radial + radial**2)
