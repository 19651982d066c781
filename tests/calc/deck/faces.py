"""Faces for the tests of this folder, and oracles that share no code with the room."""

from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from castworthy.calc.deck.form import Heights


def heights(x: object, y: object, z: object) -> Heights:
    return Heights(
        x_mm=np.array(x, dtype=float), y_mm=np.array(y, dtype=float), z_mm=np.array(z, dtype=float)
    )


def grid(z: object, *, pitch_mm: float = 100.0) -> Heights:
    """A grid of heights z[i][j] at x = i pitch, y = j pitch."""
    rows = np.array(z, dtype=float)
    i, j = np.indices(rows.shape)
    return heights(pitch_mm * i.ravel(), pitch_mm * j.ravel(), rows.ravel())


def rough(count: int, *, seed: int) -> Heights:
    """A bowed, twisted face of 800 by 230 mm with random error, somewhat out of level."""
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(0, 800, count), rng.uniform(0, 230, count)
    u, v = x / 400 - 1, y / 115 - 1
    z = -0.05 * u**2 + 0.02 * u * v + 2e-4 * x + rng.normal(0, 0.005, count)
    return heights(x, y, z)


def width_by_program(points: Heights) -> float:
    """Minimum zone [mm] by scipy's linprog: least t with |z - a x - b y - c| <= t, levelled."""
    spots = np.column_stack((points.x_mm, points.y_mm, points.z_mm))
    for _ in range(2):
        spots = spots - spots.mean(axis=0)
        x, y, z = spots.T
        reach, height = np.abs(spots[:, :2]).max(), np.abs(z).max()
        F = np.column_stack((x / reach, y / reach, np.ones(len(x))))
        edge = np.ones((len(x), 1))
        answer = linprog(
            [0, 0, 0, 1],
            A_ub=np.vstack((np.hstack((F, -edge)), np.hstack((-F, -edge)))),
            b_ub=np.concatenate((z, -z)) / height,
            bounds=[(None, None)] * 3 + [(0, None)],
            method="highs",
        )
        a, b = answer.x[:2] * height / reach
        width = 2 * answer.x[3] * height / np.sqrt(1 + a**2 + b**2)
        n = np.array([-a, -b, 1.0]) / np.sqrt(1 + a**2 + b**2)
        e = np.array([1.0, 0.0, a]) / np.hypot(1.0, a)
        spots = spots @ np.array([e, np.cross(n, e), n]).T
    return float(width)


def width_by_contacts(points: Heights) -> float:
    """Minimum zone along z [mm] by trying every set of four contacts.

    The width is the largest, over sets of four, of the width those four alone need: one on the
    far side of the other three, or two against two (Helly's theorem for four unknowns).
    """
    x, y, z = points.x_mm, points.y_mm, points.z_mm
    widest = 0.0
    for four in combinations(range(len(z)), 4):
        at = list(four)
        F = np.column_stack((np.ones(4), x[at], y[at]))
        _, size, rows = np.linalg.svd(F.T)
        if size[2] < 1e-9 * size[0]:
            continue
        dependence: NDArray[np.float64] = rows[3]
        width = 2 * abs(dependence @ z[at]) / np.abs(dependence).sum()
        widest = max(widest, float(width))
    return widest
