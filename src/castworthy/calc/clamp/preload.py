"""Preload of a stud from torque, angle or stretch, with the scatter of each way."""

from dataclasses import dataclass
from enum import StrEnum
from math import cos, isfinite, pi, radians, sqrt

from castworthy.calc.clamp.thread import Thread
from castworthy.calc.errors import InputError

STEEL_MPA = 205_000.0
"""Young's modulus of steel."""

HEAD_SHARE = 1.25
"""Mean diameter of the turning face over the thread's, where none is given: halfway from d to
1.5 d (Shigley)."""

YIELD_SHARE = 0.90
"""Share of yield a bolt is usually tightened to (VDI 2230-1)."""

_HALF_FLANK = cos(radians(30.0))
_TORSION = 1.5
"""Torsion section of a shaft fully plastic over that of an elastic one (VDI 2230-1)."""


class Method(StrEnum):
    """How the stud was tightened."""

    TORQUE = "torque"
    ANGLE = "angle"
    STRETCH = "stretch"


SCATTER_RATIO = {Method.TORQUE: 0.30, Method.ANGLE: 0.15, Method.STRETCH: 0.05}
"""Preload either side of the one worked out, the wide end of what is told: torque 25 to 30 %,
angle 15 %, measured stretch 1 to 5 %.  Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """Friction in the thread and under the turning face, and that face's mean diameter."""

    thread_ratio: float = 0.12
    head_ratio: float = 0.12
    head_diameter_mm: float | None = None

    def __post_init__(self) -> None:
        for name, value in (("thread", self.thread_ratio), ("head", self.head_ratio)):
            if not 0.01 <= value <= 0.6:
                raise InputError(
                    f"Friction of the {name} lies between 0.01 and 0.6, got {value:g}; oiled steel "
                    "has 0.10 to 0.16."
                )

    def turning_diameter_mm(self, thread: Thread) -> float:
        """The given mean diameter of the turning face, or the usual one."""
        if self.head_diameter_mm is None:
            return HEAD_SHARE * thread.diameter_mm
        if not thread.diameter_mm < self.head_diameter_mm < 4.0 * thread.diameter_mm:
            raise InputError(
                f"The turning face's mean diameter lies between the thread's "
                f"{thread.diameter_mm:g} mm and four times that, got {self.head_diameter_mm:g} mm."
            )
        return self.head_diameter_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Preload:
    """Preload of one stud and the interval its way of tightening leaves."""

    method: Method
    preload_n: float
    interval_n: tuple[float, float]
    scatter_ratio: float
    cautions: tuple[str, ...] = ()


def preload_from_torque(
    torque_n_m: float, *, thread: Thread, friction: Friction, scatter_ratio: float | None = None
) -> Preload:
    """Preload from a torque and both frictions.

    Parameters
    ----------
    torque_n_m
        torque at the wrench [N m], scalar
    thread
        the thread
    friction
        friction of thread and turning face
    scatter_ratio
        scatter either side [-]; ``None`` for the way's usual

    Returns
    -------
    Preload
        F = T / (P / (2 pi) + mu_t d2 / (2 cos 30) + mu_h Dh / 2)

    Raises
    ------
    InputError
        If the torque is not positive or the scatter out of range.

    References
    ----------
    VDI 2230-1:2015, torque and preload; ISO 16047:2005.

    """
    _positive("torque_n_m", torque_n_m)
    F = torque_n_m * 1e3 / torque_arm_mm(thread=thread, friction=friction)
    said = (
        "Torque says little of clamp: about half of it goes under the head, 40 % into the threads "
        "and a tenth into the stud. Clean threads and the lubricant the torque was meant for count "
        "most.",
    )
    assumed = (
        "The mean diameter of the turning face was taken as "
        f"{HEAD_SHARE:g} times the thread's; measure nut or washer.",
    )
    return _spread(
        Method.TORQUE,
        F,
        scatter_ratio=scatter_ratio,
        cautions=said + (assumed if friction.head_diameter_mm is None else ()),
    )


def preload_from_factor(
    torque_n_m: float,
    *,
    diameter_mm: float,
    factor_ratio: float,
    scatter_ratio: float | None = None,
) -> Preload:
    """Preload from a torque and the nut factor K.

    Parameters
    ----------
    torque_n_m
        torque at the wrench [N m], scalar
    diameter_mm
        outer diameter of the thread [mm], scalar
    factor_ratio
        nut factor K [-], scalar: dry 0.20 to 0.25, oiled 0.18 to 0.22, lubricated 0.14 to 0.18
    scatter_ratio
        scatter either side [-]; ``None`` for the way's usual

    Returns
    -------
    Preload
        F = T / (K d)

    Raises
    ------
    InputError
        If a figure is not positive, or the factor is none a thread has.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., 8-8 (T = K F d); ranges of K: common
    practice, no source.

    """
    _positive("torque_n_m", torque_n_m)
    _positive("diameter_mm", diameter_mm)
    if not 0.05 <= factor_ratio <= 0.6:
        raise InputError(f"A nut factor lies between 0.05 and 0.6, got {factor_ratio:g}.")
    said = (
        "The nut factor holds for one lubricant and one state of the threads; dirty threads can "
        "cost half of the clamp.",
    )
    F = torque_n_m * 1e3 / (factor_ratio * diameter_mm)
    return _spread(Method.TORQUE, F, scatter_ratio=scatter_ratio, cautions=said)


def preload_from_angle(
    angle_deg: float,
    *,
    thread: Thread,
    stud_n_per_mm: float,
    joint_n_per_mm: float | None = None,
    snug_n: float = 0.0,
    scatter_ratio: float | None = None,
) -> Preload:
    """Preload from the angle turned after the joint is snug.

    Parameters
    ----------
    angle_deg
        angle turned from snug [deg], scalar
    thread
        the thread
    stud_n_per_mm
        rate of the stud [N/mm], scalar (:func:`stud_rate_n_per_mm`)
    joint_n_per_mm
        rate of what is clamped [N/mm]; ``None`` takes it as rigid, which gives the most
    snug_n
        preload the snug torque gave [N], scalar
    scatter_ratio
        scatter either side [-]; ``None`` for the way's usual

    Returns
    -------
    Preload
        F = F_snug + (P angle / 360) / (1 / k_stud + 1 / k_joint)

    Raises
    ------
    InputError
        If a figure is not positive.

    References
    ----------
    VDI 2230-1:2015, 5.1 (resiliences in series); the pitch turns into stretch and squash.

    """
    _positive("angle_deg", angle_deg)
    _positive("stud_n_per_mm", stud_n_per_mm)
    if snug_n < 0.0:
        raise InputError(f"snug_n must be 0 or more (got {snug_n:g}); check the figure.")
    yielding = 1.0 / stud_n_per_mm
    said: tuple[str, ...] = ()
    if joint_n_per_mm is None:
        said = (
            "The joint was taken as rigid, so this is the most the angle can give; head and gasket "
            "squash and leave less.",
        )
    else:
        _positive("joint_n_per_mm", joint_n_per_mm)
        yielding += 1.0 / joint_n_per_mm
    F = snug_n + thread.pitch_mm * angle_deg / 360.0 / yielding
    return _spread(Method.ANGLE, F, scatter_ratio=scatter_ratio, cautions=said)


def preload_from_stretch(
    stretch_mm: float, *, stud_n_per_mm: float, scatter_ratio: float | None = None
) -> Preload:
    """Preload from the measured stretch of the stud.

    Parameters
    ----------
    stretch_mm
        length tightened less length free [mm], scalar
    stud_n_per_mm
        rate of the stud between its faces [N/mm], scalar (:func:`stud_rate_n_per_mm`)
    scatter_ratio
        scatter either side [-]; ``None`` for the way's usual

    Returns
    -------
    Preload
        F = k dl, which is A E dl / l for one section

    Raises
    ------
    InputError
        If a figure is not positive.

    References
    ----------
    Hooke's law.

    """
    _positive("stretch_mm", stretch_mm)
    _positive("stud_n_per_mm", stud_n_per_mm)
    return _spread(Method.STRETCH, stud_n_per_mm * stretch_mm, scatter_ratio=scatter_ratio)


def stud_rate_n_per_mm(
    *, lengths_mm: tuple[float, ...], areas_mm2: tuple[float, ...], modulus_mpa: float = STEEL_MPA
) -> float:
    """Rate of a stud of several sections.

    Parameters
    ----------
    lengths_mm, areas_mm2
        length [mm] and area [mm2] of each section that stretches, the same number of both
    modulus_mpa
        Young's modulus [MPa], scalar

    Returns
    -------
    float
        1 / sum(l / (A E)) [N/mm]

    Raises
    ------
    InputError
        If there is no section, their numbers differ, or a figure is not positive.

    References
    ----------
    VDI 2230-1:2015, 5.1.1; Shigley, 9th ed., table 8-7.

    """
    if not lengths_mm or len(lengths_mm) != len(areas_mm2):
        raise InputError(
            "Every section of a stud needs a length and an area, got "
            f"{len(lengths_mm)} and {len(areas_mm2)}."
        )
    for name, values in (("lengths_mm", lengths_mm), ("areas_mm2", areas_mm2)):
        _positive(name, min(values))
    _positive("modulus_mpa", modulus_mpa)
    return modulus_mpa / sum(length / A for length, A in zip(lengths_mm, areas_mm2, strict=True))


def torque_arm_mm(*, thread: Thread, friction: Friction) -> float:
    """Torque for each newton of preload, as an arm [mm].

    Parameters
    ----------
    thread
        the thread
    friction
        friction of thread and turning face

    References
    ----------
    VDI 2230-1:2015, torque and preload; ISO 16047:2005.

    """
    d2, Dh = thread.pitch_diameter_mm, friction.turning_diameter_mm(thread)
    return (
        thread.pitch_mm / (2.0 * pi)
        + friction.thread_ratio * d2 / (2.0 * _HALF_FLANK)
        + friction.head_ratio * Dh / 2.0
    )


def most_preload_n(
    *,
    thread: Thread,
    yield_mpa: float,
    thread_friction_ratio: float = 0.12,
    share_ratio: float = YIELD_SHARE,
) -> float:
    """Preload at which tension and the twist of tightening reach a share of yield.

    Parameters
    ----------
    thread
        the thread
    yield_mpa
        yield or 0.2 % proof stress [MPa], scalar
    thread_friction_ratio
        friction in the thread [-], scalar
    share_ratio
        share of yield [-], scalar

    Returns
    -------
    float
        preload [N]

    Raises
    ------
    InputError
        If a figure is not positive.

    References
    ----------
    VDI 2230-1:2015, assembly preload: F = As nu Rp / sqrt(1 + 3 (1.5 d2/ds (P / (pi d2) +
    1.155 mu))^2).

    """
    _positive("yield_mpa", yield_mpa)
    _positive("share_ratio", share_ratio)
    _positive("thread_friction_ratio", thread_friction_ratio)
    d2, ds = thread.pitch_diameter_mm, thread.stress_diameter_mm
    lead = thread.pitch_mm / (pi * d2)
    twist = _TORSION * d2 / ds * (lead + thread_friction_ratio / _HALF_FLANK)
    return thread.stress_area_mm2 * share_ratio * yield_mpa / sqrt(1.0 + 3.0 * twist**2)


def _spread(
    method: Method, preload_n: float, *, scatter_ratio: float | None, cautions: tuple[str, ...] = ()
) -> Preload:
    s = SCATTER_RATIO[method] if scatter_ratio is None else scatter_ratio
    if not 0.0 <= s < 1.0:
        raise InputError(f"scatter_ratio must be from 0 to below 1 (got {s:g}); 0.3 is 30 %.")
    return Preload(
        method=method,
        preload_n=preload_n,
        interval_n=(preload_n * (1.0 - s), preload_n * (1.0 + s)),
        scatter_ratio=s,
        cautions=cautions,
    )


def _positive(name: str, value: float) -> None:
    if not (isfinite(value) and value > 0.0):
        raise InputError(f"{name} must be above 0 (got {value:g}); check the figure.")
