"""Examples of the deeds about sealing rings."""

from uuid import uuid4

from castworthy.actions import papers, rings
from factories import shop
from factories.ring_sheets import RINGED
from trail_examples import Deed, Stage, example

_STANDS = rings.RingTyped(
    twelve="8.4", three="8.6", six="8.5", nine="8.3", before="8.4", after="8.5"
)


def _ringed(stage: Stage) -> str:
    code = shop.write_sheet(stage.owner, text=RINGED)
    return shop.take_in(stage.owner, code=code, tag="R2-0001").tag


@example("rings.record_ring")
def _(stage: Stage) -> Deed:
    tag = _ringed(stage)
    return lambda: rings.record_ring(
        tag=tag, uuid=uuid4(), cylinder="1", typed=_STANDS, by=stage.machinist
    )


@example("papers.print_groove")
def _(stage: Stage) -> Deed:
    tag = _ringed(stage)
    address = f"http://bench.example/heads/{tag}/"
    return lambda: papers.print_groove(tag=tag, address=address, by=stage.machinist)
