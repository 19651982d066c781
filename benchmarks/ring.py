"""A million rings drawn within their tolerances, beside the plain way by scipy.stats.

Prints the best of several rounds of both in one run, how far their shares lie apart and from
the closed form, and how time grows with the rings.  The target is under 0.2 s for 1,000,000.
"""

import time
from collections.abc import Callable

import numpy as np
from scipy import stats

from castworthy.calc.sealing.groove import Groove
from castworthy.calc.sealing.tolerances import Tolerances, draw_rings, stack_of

RINGS = 1_000_000
ROUNDS = 7
GROOVE = Groove(wire_mm=1.20, depth_mm=0.97, width_mm=1.14, diameter_mm=118.0)
EITHER = Tolerances(wire_mm=0.010, depth_mm=0.025, width_mm=0.015)
LOW, HIGH = 0.215, 0.25


def ours(rings_count: int = RINGS) -> float:
    """Share of rings whose stand is inside."""
    return draw_rings(
        GROOVE,
        tolerances=EITHER,
        rng=np.random.default_rng(1),
        rings_count=rings_count,
        stand_low_mm=LOW,
        stand_high_mm=HIGH,
    ).within_probability


def plain() -> float:
    """The same figures from frozen distributions of scipy.stats, an array each."""
    rng = np.random.default_rng(2)
    pairs = (
        (GROOVE.wire_mm, EITHER.wire_mm),
        (GROOVE.depth_mm, EITHER.depth_mm),
        (GROOVE.width_mm, EITHER.width_mm),
    )
    d, h, w = (stats.norm(m, t / 3).rvs(RINGS, random_state=rng) for m, t in pairs)
    stand, press = d - h, d - w
    upper = np.where(press > 0, w + np.pi * (d**2 - w**2) / (4 * w) - h, stand)
    inside = (stand >= LOW) & (stand <= HIGH)
    shares = inside.mean(), ((stand >= LOW) & (upper <= HIGH)).mean(), (press > 0).mean()
    spread = stand.mean(), stand.std(ddof=1), press.mean(), press.std(ddof=1)
    return float((*shares, *spread)[0])


def best_ms(deed: Callable[[], object]) -> float:
    """Shortest milliseconds over the rounds."""
    taken = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        deed()
        taken.append((time.perf_counter() - start) * 1e3)
    return min(taken)


def main() -> None:
    """Measure and print."""
    exact = stack_of(
        GROOVE, tolerances=EITHER, stand_low_mm=LOW, stand_high_mm=HIGH
    ).within_probability
    mine, theirs = best_ms(ours), best_ms(plain)
    print(
        f"{RINGS:,} rings: {mine:.1f} ms; by scipy.stats {theirs:.1f} ms, {theirs / mine:.1f} to 1"
    )
    print(f"share inside: {ours():.5f}; by scipy.stats {plain():.5f}; closed form {exact:.5f}")
    for count in (10_000, 100_000, 1_000_000, 10_000_000):
        taken = best_ms(lambda count=count: ours(count))
        print(f"{count:>10,} rings: {taken:7.1f} ms, {taken / count * 1e6:.1f} ns a ring")


if __name__ == "__main__":
    main()
