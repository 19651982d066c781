"""Examples of the deeds from assembly to release."""

from castworthy.actions import assembly
from castworthy.records.models import Head, Step
from trail_examples import Deed, Stage, example, not_a_deed

not_a_deed("assembly.refuse_unless_machined")


@example("assembly.tick")
def _(stage: Stage) -> Deed:
    Head.objects.filter(tag=stage.tag).update(step=Step.ASSEMBLE)
    return lambda: assembly.tick(tag=stage.tag, by=stage.machinist)
