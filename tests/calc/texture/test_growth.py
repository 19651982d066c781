"""Cost of a trace against its size: no faster than n log n."""

import time
from math import log

import numpy as np

from calc.texture.decks import cusps, random_heights
from castworthy.calc.texture.evaluate import evaluate
from castworthy.calc.texture.profile import Profile


def seconds(count: int) -> float:
    spacing_mm = 16.0 / count
    x = np.arange(count) * spacing_mm
    noise = random_heights(
        np.random.default_rng(1), count=count, spacing_mm=spacing_mm, grain_mm=0.004, rms_um=0.3
    )
    profile = Profile(spacing_mm=spacing_mm, height_um=cusps(x, feed_mm=0.5, height_um=2.0) + noise)
    taken = []
    for _ in range(5):
        start = time.process_time()
        evaluate(profile)
        taken.append(time.process_time() - start)
    return min(taken)


def test_cost_grows_no_faster_than_n_log_n() -> None:
    small, large = 40_000, 640_000

    ratio = seconds(large) / seconds(small)

    # Sixteen times the points; four times over for caches and the room's other work.
    assert ratio < 4.0 * (large / small) * log(large) / log(small)
