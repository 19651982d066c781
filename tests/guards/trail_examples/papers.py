"""Examples of the prints."""

from castworthy.actions import papers
from castworthy.actions.exchange import import_head
from castworthy.actions.release import release_head
from castworthy.records.exchange import content_digest, export_head
from factories.shop import ready_to_leave
from trail_examples import Deed, Stage, example, not_a_deed

not_a_deed("people.owner_named")

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


@example("exchange.import_head")
def _(stage: Stage) -> Deed:
    file = export_head(stage.tag)
    file["head"]["tag"] = "F2-0999"
    file["digest"] = content_digest(file)
    return lambda: import_head(file=file, by=stage.owner)
