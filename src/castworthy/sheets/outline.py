"""The outline of a deck: is it one closed line, and does a spot lie on it."""

from itertools import pairwise
from math import hypot

Corner = tuple[float, float]
_ALLOWANCE_MM = 1e-6


def check_outline(*, corners_mm: tuple[Corner, ...]) -> str:
    """What is wrong with an outline as a sentence, empty when nothing is."""
    if len(set(corners_mm)) < len(corners_mm):
        return "the same corner stands here twice; the line closes by itself."
    sides = list(pairwise((*corners_mm, corners_mm[0])))
    for i, one in enumerate(sides):
        for other in sides[i + 2 : len(sides) - (1 if i == 0 else 0)]:
            if _cross_over(one, other):
                return "the outline crosses itself; give the corners in the order of the edge."
    area = sum(_cross(a, b) for a, b in sides) / 2
    if abs(area) < 1.0:
        return "the corners enclose no area."
    return ""


def inside(*, x_mm: float, y_mm: float, corners_mm: tuple[Corner, ...]) -> bool:
    """True when a spot lies within the outline or on its edge."""
    spot = (x_mm, y_mm)
    odd = False
    for a, b in pairwise((*corners_mm, corners_mm[0])):
        if _on_side(spot, a, b):
            return True
        if (a[1] > y_mm) != (b[1] > y_mm):
            x_there = a[0] + (y_mm - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
            odd ^= x_mm < x_there
    return odd


def _cross(a: Corner, b: Corner) -> float:
    return a[0] * b[1] - b[0] * a[1]


def _turn(a: Corner, b: Corner, c: Corner) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross_over(one: tuple[Corner, Corner], other: tuple[Corner, Corner]) -> bool:
    (a, b), (c, d) = one, other
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _on_side(spot: Corner, a: Corner, b: Corner) -> bool:
    length = hypot(b[0] - a[0], b[1] - a[1])
    if abs(_turn(a, b, spot)) > _ALLOWANCE_MM * length:
        return False
    along = (spot[0] - a[0]) * (b[0] - a[0]) + (spot[1] - a[1]) * (b[1] - a[1])
    return -_ALLOWANCE_MM * length <= along <= length * (length + _ALLOWANCE_MM)
