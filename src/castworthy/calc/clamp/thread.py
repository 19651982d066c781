"""The metric and unified thread: its diameters and areas from diameter and pitch."""

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite, pi

from castworthy.calc.errors import InputError

_PITCH_SHARE = 0.649519
_FINEST, _COARSEST = 1.0 / 40.0, 1.0 / 3.0


class Form(StrEnum):
    """Whose thread it is; the flanks are alike, the roots are not."""

    METRIC = "metric"
    UNIFIED = "unified"


_ROOT_SHARES = {Form.METRIC: 1.226869, Form.UNIFIED: 1.299038}


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A 60 degree thread: outer, pitch, root and stress diameters, and the stress area."""

    diameter_mm: float
    pitch_mm: float
    pitch_diameter_mm: float
    root_diameter_mm: float
    stress_diameter_mm: float
    stress_area_mm2: float


def thread_of(*, diameter_mm: float, pitch_mm: float, form: Form = Form.METRIC) -> Thread:
    """Diameters of a thread.

    Parameters
    ----------
    diameter_mm
        outer diameter d [mm], scalar
    pitch_mm
        pitch P [mm], scalar; 25.4 over the threads per inch
    form
        metric or unified

    Returns
    -------
    Thread
        d2 = d - 0.649519 P, d3 = d - 1.226869 P (unified d - 1.299038 P), ds = (d2 + d3) / 2,
        As = pi ds^2 / 4

    Raises
    ------
    InputError
        If the diameter is not positive or the pitch is none such a thread can have.

    References
    ----------
    ISO 724:1993 (d2), ISO 898-1:2013, 9.1.6.1 (d3, As); VDI 2230-1:2015;
    Shigley, 9th ed., table 8-2 with its note (unified; value from memory).

    """
    if not (isfinite(diameter_mm) and diameter_mm > 0.0):
        raise InputError(f"A thread's diameter is above 0 mm, got {diameter_mm:g} mm.")
    if not _FINEST * diameter_mm <= pitch_mm <= _COARSEST * diameter_mm:
        raise InputError(
            f"A thread of {diameter_mm:g} mm has a pitch of {_FINEST * diameter_mm:.2f} to "
            f"{_COARSEST * diameter_mm:.2f} mm, got {pitch_mm:g} mm; the pitch of threads per inch "
            "is 25.4 mm over their number."
        )
    d, P = diameter_mm, pitch_mm
    d2, d3 = d - _PITCH_SHARE * P, d - _ROOT_SHARES[form] * P
    ds = (d2 + d3) / 2.0
    return Thread(
        diameter_mm=d,
        pitch_mm=P,
        pitch_diameter_mm=d2,
        root_diameter_mm=d3,
        stress_diameter_mm=ds,
        stress_area_mm2=pi / 4.0 * ds**2,
    )
