"""Heights turned level, and planes turned back."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.deck.form import Heights, Plane
from castworthy.calc.errors import InputError

Floats = NDArray[np.float64]


def checked(heights: Heights) -> Heights:
    """Heights as three float arrays of one length, at least one point.

    Raises
    ------
    InputError
        If the arrays differ in shape or hold no point.

    """
    x, y, z = (
        np.ascontiguousarray(v, dtype=np.float64)
        for v in (heights.x_mm, heights.y_mm, heights.z_mm)
    )
    if not (x.ndim == 1 and x.shape == y.shape == z.shape and len(z)):
        raise InputError(
            "Heights are three lists of one length with a point or more, got shapes "
            f"{x.shape}, {y.shape} and {z.shape}."
        )
    return Heights(x_mm=x, y_mm=y, z_mm=z)


def over(plane: Plane, *, heights: Heights) -> Floats:
    """Height of every point over a plane, along z [mm], shape (n,)."""
    off = heights.x_mm * -plane.a_ratio
    off += heights.y_mm * -plane.b_ratio
    off += heights.z_mm
    off -= plane.level_mm
    return off


def lean_ratio(plane: Plane) -> float:
    """Distance square to a plane per distance along z, 1 / sqrt(1 + a2 + b2)."""
    return float(1.0 / np.sqrt(1.0 + plane.a_ratio**2 + plane.b_ratio**2))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turn:
    """Turns a plane level about a point: rows of ``axes`` are the new x, y and z, (3, 3)."""

    axes: Floats
    centre_mm: Floats

    @classmethod
    def of(cls, plane: Plane, *, heights: Heights) -> "Turn":
        """The turn that lays a plane level about the middle of the points."""
        a, b = plane.a_ratio, plane.b_ratio
        n = np.array([-a, -b, 1.0]) * lean_ratio(plane)
        e = np.array([1.0, 0.0, a]) / np.hypot(1.0, a)
        centre = [float(v.mean()) for v in (heights.x_mm, heights.y_mm, heights.z_mm)]
        return cls(axes=np.array([e, np.cross(n, e), n]), centre_mm=np.array(centre))

    def level(self, heights: Heights) -> Heights:
        """The points in the turned frame."""
        x, y, z = (
            values - middle
            for values, middle in zip(
                (heights.x_mm, heights.y_mm, heights.z_mm), self.centre_mm, strict=True
            )
        )
        turned = [p * x + q * y + r * z for p, q, r in self.axes]
        return Heights(x_mm=turned[0], y_mm=turned[1], z_mm=turned[2])

    def back(self, plane: Plane) -> Plane:
        """A plane of the turned frame in the frame of the readings."""
        n = np.array([-plane.a_ratio, -plane.b_ratio, 1.0]) @ self.axes
        spot = self.centre_mm + plane.level_mm * self.axes[2]
        a, b = -n[0] / n[2], -n[1] / n[2]
        return Plane(
            level_mm=float(spot[2] - a * spot[0] - b * spot[1]), a_ratio=float(a), b_ratio=float(b)
        )
