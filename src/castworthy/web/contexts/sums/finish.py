"""The feed for a wanted finish."""

from collections.abc import Mapping

from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.texture.feed import FeedAdvice, feed_for
from castworthy.records.cautions import CUTTING
from castworthy.records.kept_sums import Row, Table
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show
from castworthy.web.contexts.sums.form import Answer, Field, Given, Part, Sum, Usual


def _work(given: Given) -> Answer:
    show = given.show
    advice = feed_for(
        given.number("ra"),
        nose_mm=given.number("nose"),
        turning_rpm=given.maybe("turning"),
        length_mm=given.maybe("length"),
        low_ra_um=given.maybe("low"),
    )
    if isinstance(advice, Refused):
        return Answer(headline=advice.sentence, tone="outside")
    wanted = show.value(advice.ra_um, suffix="um")
    rows = [Row(label="Feed a turn", value=_feed(advice.feed_mm, show))]
    if advice.table_mm_per_min is not None:
        rows.append(Row(label="Table", value=f"{_table(advice.table_mm_per_min, show)} a minute"))
    if advice.pass_min is not None:
        rows.append(Row(label="The pass", value=f"{advice.pass_min:.1f} min"))
    rows.append(Row(label="Ideal Rt", value=show.value(advice.ideal_rt_um, suffix="um")))
    return Answer(
        headline=f"Feed {_feed(advice.feed_mm, show)} a turn for Ra {wanted}.",
        tone="close" if advice.too_smooth else "plain",
        rows=tuple(rows),
        table=_options(advice, show=show),
        sentences=("With other inserts the feed for the same Ra is:",),
        cautions=advice.cautions,
    )


def _feed(feed_mm: float, show: Show) -> str:
    return show.value(feed_mm, suffix="mm", digits=3 if show.metric else 4)


def _table(mm_per_min: float, show: Show) -> str:
    return show.value(mm_per_min, suffix="mm", digits=0 if show.metric else 1)


def _options(advice: FeedAdvice, *, show: Show) -> Table:
    return Table(
        heads=("Insert radius", "Feed a turn", "Table"),
        rows=tuple(
            (
                show.value(each.nose_mm, suffix="mm", digits=2 if show.metric else 4),
                _feed(each.feed_mm, show),
                ""
                if each.table_mm_per_min is None
                else f"{_table(each.table_mm_per_min, show)}/min",
            )
            for each in advice.options
        ),
    )


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    limit = head.sheet.limit_for(Quantity.FINISH_RA)
    if limit is None:
        return {}
    return {"ra": limit.aim or limit.high, "low": limit.low}


FEED = Sum(
    name="feed",
    title="Feed for a finish",
    group="Finish",
    says="The feed a turn that leaves a wanted Ra, table speed and minutes of the pass.",
    parts=(
        Part(
            title="Wanted",
            fields=(
                Field(name="ra", label="Ra", suffix="um", least=0.01, from_least=True),
                Field(
                    name="low",
                    label="Smoothest allowed",
                    suffix="um",
                    optional=True,
                    from_least=True,
                    hint="That the gasket seals on.",
                ),
            ),
        ),
        Part(
            title="Cutter",
            fields=(
                Field(
                    name="nose",
                    label="Radius of the insert",
                    suffix="mm",
                    least=0.05,
                    from_least=True,
                    most=50.8,
                    hint="Of the one that stands lowest.",
                ),
                Field(name="turning", label="Turns a minute", suffix="rpm", optional=True),
                Field(
                    name="length",
                    label="Length of the pass",
                    suffix="mm",
                    optional=True,
                    most=5000.0,
                    hint="With run-in and run-out.",
                ),
            ),
        ),
    ),
    work=_work,
    example={
        "ra": ("32", "0.8"),
        "nose": ("0.250", "6.35"),
        "turning": 900.0,
        "length": ("36", "900"),
    },
    prefill=_prefill,
    practices=(
        "One insert stands lowest and makes the finish; the feed counts for each turn, not each "
        "insert.",
        "Trace the deck after the first pass: a machine's own traces know better than the sum.",
    ),
    cautions=(CUTTING,),
    steps=("finish",),
    measured=(Quantity.FINISH_RA,),
)
