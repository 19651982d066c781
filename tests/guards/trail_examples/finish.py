"""Examples of the deeds about a deck's finish."""

from castworthy.actions import heads, papers, traces
from castworthy.records.models import Trace
from factories import shop
from factories.sheet_texts import SMALL
from factories.traces import cusps
from trail_examples import Deed, Stage, example

GASKETS = '\n[[gasket]]\nname = "steel"\ntitle = "steel"\nra_high = "25 uin"\n'


def _upload(name: str) -> traces.TraceUpload:
    return traces.TraceUpload(name=name, content=cusps(0.12))


@example("traces.add_traces")
def _(stage: Stage) -> Deed:
    return lambda: traces.add_traces(tag=stage.tag, files=[_upload("a.csv")], by=stage.machinist)


@example("traces.set_trace_aside")
def _(stage: Stage) -> Deed:
    for name in ("a.csv", "b.csv"):
        traces.add_traces(tag=stage.tag, files=[_upload(name)], place=name, by=stage.machinist)
    uuid = Trace.objects.order_by("id").values_list("uuid", flat=True)[0]
    return lambda: traces.set_trace_aside(uuid=uuid, why="scratch", by=stage.machinist)


@example("heads.choose_gasket")
def _(stage: Stage) -> Deed:
    code = shop.write_sheet(stage.owner, text=SMALL.replace('"F2"', '"F9"') + GASKETS)
    tag = shop.take_in(stage.owner, code=code, tag="F9-0001").tag
    return lambda: heads.choose_gasket(tag=tag, gasket="steel", by=stage.machinist)


@example("papers.print_finish")
def _(stage: Stage) -> Deed:
    traces.add_traces(tag=stage.tag, files=[_upload("a.csv")], by=stage.machinist)
    address = "http://bench.example/heads/F2-0001/"
    return lambda: papers.print_finish(tag=stage.tag, address=address, by=stage.machinist)
