"""Examples of the prints."""

from castworthy.actions import papers
from castworthy.actions.release import release_head
from factories.shop import ready_to_leave
from trail_examples import Deed, Stage, example

ADDRESS = "http://bench.example/heads/F2-0001/"


@example("papers.print_tag")
def _(stage: Stage) -> Deed:
    return lambda: papers.print_tag(tag=stage.tag, address=ADDRESS, by=stage.machinist)


@example("papers.print_traveller")
def _(stage: Stage) -> Deed:
    return lambda: papers.print_traveller(tag=stage.tag, address=ADDRESS, by=stage.machinist)


@example("papers.print_claim")
def _(stage: Stage) -> Deed:
    return lambda: papers.print_claim(tag=stage.tag, address=ADDRESS, by=stage.machinist)


@example("papers.print_release")
def _(stage: Stage) -> Deed:
    ready_to_leave(stage.tag, by=stage.owner)
    release_head(tag=stage.tag, by=stage.owner)
    return lambda: papers.print_release(tag=stage.tag, address=ADDRESS, by=stage.machinist)
