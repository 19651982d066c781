"""Whether points are evenly spaced."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

JITTER_RATIO = 0.01
"""Most a step may differ from the mean step, as a share of it."""
MOST_ROUNDING_RATIO = 0.25
"""Most that rounding of the printed places may add to that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """The mean step of x, and the step that spoils it, if any.

    ``bad_count`` is the number of the point after the bad step, ``None`` where all are even;
    ``backward`` says that x does not grow there.
    """

    spacing_mm: float
    bad_count: int | None = None
    bad_step_mm: float = 0.0
    backward: bool = False


def spacing_of(x_mm: NDArray[np.float64], *, digit_mm: float = 0.0) -> Spacing:
    """The spacing of places x, of shape (n,), n > 1, that are printed to ``digit_mm`` if not 0.

    Where the mean step is no multiple of the printed digit, rounding makes steps differ by a
    digit; so much is allowed beside the jitter, up to a quarter of the spacing.
    """
    steps = np.diff(x_mm)
    mean = float(x_mm[-1] - x_mm[0]) / len(steps)
    if not steps.min() > 0.0:
        first = int((~(steps > 0.0)).argmax())
        return Spacing(
            spacing_mm=mean, bad_count=first + 1, bad_step_mm=float(steps[first]), backward=True
        )
    worst = max(int(steps.argmin()), int(steps.argmax()), key=lambda at: abs(steps[at] - mean))
    rounding_mm = 0.0 if _is_multiple(mean, of=digit_mm) else digit_mm
    allowed_mm = JITTER_RATIO * mean + min(rounding_mm, MOST_ROUNDING_RATIO * mean)
    if abs(steps[worst] - mean) <= allowed_mm:
        return Spacing(spacing_mm=mean)
    return Spacing(spacing_mm=mean, bad_count=worst + 1, bad_step_mm=float(steps[worst]))


def _is_multiple(mean: float, *, of: float) -> bool:
    if of <= 0.0:
        return True
    digits = mean / of
    return round(digits) >= 1 and abs(digits - round(digits)) <= JITTER_RATIO * digits
