"""Heights on an even grid, as X3P and SDF files hold them, and what every one of them must be."""

from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from castworthy.instruments.errors import InstrumentError

MOST_POINTS = 30_000_000
"""Most points of one file."""

_UM_PER_M = 1e6
_MM_PER_M = 1e3

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """A profile (one row) or a surface: heights [um] of shape (rows, columns), NaN for gaps."""

    height_um: Floats
    dx_mm: float
    dy_mm: float
    kind: str
    notes: tuple[str, ...] = ()

    @property
    def is_profile(self) -> bool:
        """Whether there is one row only."""
        return len(self.height_um) == 1


def measured(
    height_m: Floats,
    *,
    steps_m: tuple[float, float],
    kind: str,
    file: str,
    notes: tuple[str, ...] = (),
) -> Measured:
    """Heights as a file holds them [m], of shape (n,) or (rows, columns), in the units inside.

    ``steps_m`` are the spacings along x and y.  A single column is laid down as a row.

    Raises
    ------
    InstrumentError
        If there are no points, too many, or a spacing is not above zero.

    """
    rows = np.atleast_2d(height_m)
    dx_m, dy_m = steps_m
    if rows.ndim != 2 or not rows.size:
        raise InstrumentError(f"{file} holds no heights; fetch it from the instrument again.")
    if rows.size > MOST_POINTS:
        raise InstrumentError(
            f"{file} holds {rows.size} points, and at most {MOST_POINTS} are read; crop it first."
        )
    if rows.shape[1] == 1:
        rows, dx_m, dy_m = rows.T, dy_m, dx_m
    profile = len(rows) == 1
    used = (dx_m,) if profile else (dx_m, dy_m)
    if not all(isfinite(step) and step > 0.0 for step in used):
        raise InstrumentError(
            f"{file}: the spacing of the points must be above 0 (got "
            f"{' and '.join(f'{step:g}' for step in used)} m); export it again with its scale."
        )
    with np.errstate(over="ignore", invalid="ignore"):
        height_um = rows * _UM_PER_M
    height_um[~np.isfinite(height_um)] = np.nan
    return Measured(
        height_um=height_um,
        dx_mm=dx_m * _MM_PER_M,
        dy_mm=(dx_m if profile else dy_m) * _MM_PER_M,
        kind=f"{kind} {'profile' if profile else 'surface'}",
        notes=notes,
    )


def damaged(fault: BaseException, *, kind: str, file: str) -> InstrumentError:
    """What a library found wrong, in one sentence."""
    said = " ".join(str(fault).split()).rstrip(".")[:140]
    why = f" ({said})" if said else ""
    return InstrumentError(
        f"{file} begins like an {kind} file but is damaged{why}; fetch it from the instrument "
        "again."
    )
