"""The exact minimum zone of a dense deck scan, beside the plain linear program by scipy's linprog.

Prints the median time and the peak memory at one million points, the plain program at 100,000
points, their ratio, and how time grows with the points.  The targets are under 0.1 s and 1 GiB
for a million points, and 50 times faster than the plain program on 100,000.
"""

import time
import tracemalloc
from collections.abc import Callable
from statistics import median

import numpy as np
from scipy.optimize import linprog

from castworthy.calc.deck.flatness import minimum_zone
from castworthy.calc.deck.form import DeckForm, Heights
from castworthy.calc.deck.survey import form_of

ROUNDS = 9


def scan(count: int) -> Heights:
    """A bowed, twisted deck of 800 by 230 mm with tool marks and error, a little out of level."""
    rng = np.random.default_rng(count)
    x, y = rng.uniform(0, 800, count), rng.uniform(0, 230, count)
    u, v = x / 400 - 1, y / 115 - 1
    z = -0.05 * u**2 + 0.01 * u * v + 1e-4 * x + 0.001 * np.sin(7 * x)
    return Heights(x_mm=x, y_mm=y, z_mm=z + rng.normal(0, 0.002, count))


def plain(heights: Heights) -> float:
    """The textbook program over every point at once [um]."""
    x, y = heights.x_mm / 400 - 1, heights.y_mm / 115 - 1
    z = 1e3 * (heights.z_mm - heights.z_mm.mean())
    terms, edge = np.column_stack((x, y, np.ones_like(x))), np.ones((len(x), 1))
    answer = linprog(
        [0, 0, 0, 1],
        A_ub=np.vstack((np.hstack((terms, -edge)), np.hstack((-terms, -edge)))),
        b_ub=np.concatenate((z, -z)),
        bounds=[(None, None)] * 3 + [(0, None)],
        method="highs",
    )
    return float(2 * answer.fun)


def timed(deed: Callable[[], object], *, rounds: int = ROUNDS) -> float:
    """Median milliseconds over the rounds."""
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        deed()
        taken.append((time.perf_counter() - start) * 1e3)
    return median(taken)


def peak_mib(deed: Callable[[], object]) -> float:
    """Most memory held at once by a deed [MiB]."""
    tracemalloc.start()
    deed()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 2**20


def main() -> None:
    """Measure and print."""
    small, big = scan(100_000), scan(1_000_000)
    times = {}
    for count in (10_000, 100_000, 1_000_000, 5_000_000):
        heights = scan(count)
        times[count] = timed(lambda heights=heights: minimum_zone(heights))
        each = times[count] / count * 1e6
        print(f"{count:>9,} points: {times[count]:7.1f} ms, {each:.1f} ns a point")
    held = 24 * 1_000_000 / 2**20
    print(
        f"1,000,000 points: {peak_mib(lambda: minimum_zone(big)):.0f} MiB beside the "
        f"{held:.0f} MiB of the heights"
    )
    by_program = timed(lambda: plain(small), rounds=3)
    apart = abs(plain(small) - minimum_zone(small).flatness_um)
    print(f"plain program on 100,000 points: {by_program:.0f} ms; answers {apart:.1e} um apart")
    print(
        f"times faster than it: {by_program / times[100_000]:.0f} on the same points, "
        f"{by_program / times[1_000_000]:.0f} with ten times as many"
    )
    print(f"everything about 1,000,000 points: {timed(lambda: whole(big), rounds=1):.0f} ms")
    print(f"everything about 60 points: {timed(lambda: whole(scan(60))):.1f} ms")


def whole(heights: Heights) -> DeckForm | object:
    """Flatness, local flatness, steps, shape and clean-up together."""
    return form_of(heights, windows_mm=(150.0,), largest_tilt_ratio=2e-4, u_height_mm=0.001)


if __name__ == "__main__":
    main()
