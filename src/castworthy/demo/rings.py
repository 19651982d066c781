"""The sealing rings of the invented heads: how far each stands, as somebody types it."""

import numpy as np

from castworthy.actions.rings import RingTyped

PROUD = {("T66-0039", "4")}
"""Rings whose ends were left too long: they stand out too far at the joint."""

_MIDDLE_THOU, _SPREAD_THOU, _MOST_THOU = 8.8, 0.12, 0.5
_PROUD_THOU = 10.3


def stands_of(tag: str, cylinder: str, *, rng: np.random.Generator) -> RingTyped:
    """The six stands of a ring, in thou."""
    off = rng.normal(0.0, _SPREAD_THOU, size=6).clip(-_MOST_THOU, _MOST_THOU)
    texts = [f"{_MIDDLE_THOU + float(each):.1f} thou" for each in off]
    if (tag, cylinder) in PROUD:
        texts[-1] = f"{_PROUD_THOU} thou"
    twelve, three, six, nine, before, after = texts
    return RingTyped(twelve=twelve, three=three, six=six, nine=nine, before=before, after=after)
