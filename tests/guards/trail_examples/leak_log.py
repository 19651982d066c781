"""Examples of the deeds about vacuum logs."""

from castworthy.actions import leak_log
from castworthy.records.leak_trial import LogTyped
from trail_examples import Deed, Stage, example


@example("leak_log.record_vacuum_log")
def _(stage: Stage) -> Deed:
    typed = LogTyped(
        readings="0 26.0\n5 25.9\n10 25.8\n15 25.7\n20 25.6\n30 25.4", volume="250", dead_head="27"
    )
    return lambda: leak_log.record_vacuum_log(
        tag=stage.tag, place="1A", typed=typed, by=stage.machinist
    )
