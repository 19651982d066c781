"""Examples of the deeds about kept sums."""

from uuid import uuid4

from castworthy.actions import kept_sums
from factories.sums import seat_sunk
from trail_examples import Deed, Stage, example


@example("kept_sums.keep_sum")
def _(stage: Stage) -> Deed:
    return lambda: kept_sums.keep_sum(
        tag=stage.tag, uuid=uuid4(), worked=seat_sunk(), by=stage.machinist
    )


@example("kept_sums.take_back_sum")
def _(stage: Stage) -> Deed:
    kept = kept_sums.keep_sum(tag=stage.tag, uuid=uuid4(), worked=seat_sunk(), by=stage.machinist)
    return lambda: kept_sums.take_back_sum(
        uuid=kept.uuid, why="the wrong valve", by=stage.machinist
    )
