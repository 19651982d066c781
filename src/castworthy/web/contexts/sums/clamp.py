"""Clamp: preload of a stud from torque, angle or stretch, and the gas against it."""

from collections.abc import Mapping
from math import pi

from castworthy.calc.clamp.joint import Clamp, clamp_over_gas
from castworthy.calc.clamp.preload import (
    YIELD_SHARE,
    Friction,
    Preload,
    most_preload_n,
    preload_from_angle,
    preload_from_factor,
    preload_from_stretch,
    preload_from_torque,
    stud_rate_n_per_mm,
)
from castworthy.calc.clamp.thread import Form, Thread, thread_of
from castworthy.calc.errors import InputError
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show
from castworthy.web.contexts.sums.form import Answer, Field, Given, Part, Sum, SumFault, Usual, size

_INCH_MM = 25.4
_KPA_PER_MPA = 1000.0


def _work(given: Given) -> Answer:
    show = given.show
    thread = _thread(given)
    preload = _preload(given, thread=thread)
    most = _most(given, thread=thread)
    clamp = _clamp(given, preload=preload)
    low_n, high_n = preload.interval_n
    over = most is not None and high_n > most
    lifts = clamp is not None and clamp.over_gas_interval_ratio[0] < 1.0
    return Answer(
        headline=f"One stud holds {_force(preload.preload_n, show)}; with the scatter of this way "
        f"of tightening, {show.number(low_n, suffix='n', digits=0)} to "
        f"{_force(high_n, show)}.",
        tone="outside" if lifts else "close" if over else "plain",
        rows=(
            Row(
                label="Preload of one stud",
                value=_force(preload.preload_n, show),
                note=f"{100.0 * preload.scatter_ratio:.0f} % either side",
            ),
            *_stud_rows(given, thread=thread, preload=preload, most=most),
            *_clamp_rows(clamp, show=show),
        ),
        sentences=()
        if clamp is not None
        else ("With studs, bore and peak pressure, the clamp is set beside the gas.",),
        cautions=(
            *(_over_words(most or 0.0, show=show) if over else ()),
            *preload.cautions,
            *(() if clamp is None else clamp.cautions),
        ),
    )


def _force(newtons: float, show: Show) -> str:
    return show.value(newtons, suffix="n", digits=0)


def _thread(given: Given) -> Thread:
    metric = given.word("form") == "metric"
    pitch = given.number("pitch") if metric else _INCH_MM / given.number("tpi")
    try:
        return thread_of(
            diameter_mm=given.number("diameter"),
            pitch_mm=pitch,
            form=Form.METRIC if metric else Form.UNIFIED,
        )
    except InputError as fault:
        raise SumFault(str(fault), field="pitch" if metric else "tpi") from fault


def _friction(given: Given) -> Friction:
    mu = given.maybe("mu") or 0.12
    try:
        return Friction(
            thread_ratio=mu,
            head_ratio=given.maybe("mu_head") or mu,
            head_diameter_mm=given.maybe("under_head"),
        )
    except InputError as fault:
        raise SumFault(str(fault), field="mu") from fault


def _preload(given: Given, *, thread: Thread) -> Preload:
    way, scatter = given.word("way"), given.maybe("scatter")
    share = None if scatter is None else scatter / 100.0
    try:
        if way == "torque" and given.word("by") == "factor":
            return preload_from_factor(
                given.number("torque"),
                diameter_mm=thread.diameter_mm,
                factor_ratio=given.number("factor"),
                scatter_ratio=share,
            )
        if way == "torque":
            return preload_from_torque(
                given.number("torque"),
                thread=thread,
                friction=_friction(given),
                scatter_ratio=share,
            )
        rate = _rate_n_per_mm(given, thread=thread)
        if way == "stretch":
            return preload_from_stretch(
                given.number("stretch"), stud_n_per_mm=rate, scatter_ratio=share
            )
        return preload_from_angle(
            given.number("angle"),
            thread=thread,
            stud_n_per_mm=rate,
            snug_n=given.maybe("snug") or 0.0,
            scatter_ratio=share,
        )
    except InputError as fault:
        field = "factor" if given.word("by") == "factor" and way == "torque" else way
        raise SumFault(str(fault), field=field) from fault


def _rate_n_per_mm(given: Given, *, thread: Thread) -> float:
    shank = given.maybe("shank") or thread.stress_diameter_mm
    return stud_rate_n_per_mm(
        lengths_mm=(given.number("length"),), areas_mm2=(pi / 4.0 * shank**2,)
    )


def _most(given: Given, *, thread: Thread) -> float | None:
    yields = given.maybe("yield")
    if yields is None:
        return None
    return most_preload_n(
        thread=thread, yield_mpa=yields, thread_friction_ratio=given.maybe("mu") or 0.12
    )


def _clamp(given: Given, *, preload: Preload) -> Clamp | None:
    studs = given.maybe("studs")
    if studs is None or not given.both("bore", "peak"):
        return None
    return clamp_over_gas(
        preload,
        studs_count=int(studs),
        cylinders_count=int(given.maybe("cylinders") or 1),
        bore_mm=given.number("bore"),
        pressure_mpa=given.number("peak") / _KPA_PER_MPA,
        ring_diameter_mm=given.maybe("ring"),
    )


def _stud_rows(given: Given, *, thread: Thread, preload: Preload, most: float | None) -> list[Row]:
    show = given.show
    area = show.value(thread.stress_area_mm2, suffix="mm2", digits=1 if show.metric else 4)
    rows = [
        Row(
            label="Stress over the thread",
            value=show.value(preload.preload_n / thread.stress_area_mm2, suffix="mpa"),
            note=f"stress area {area}",
        )
    ]
    if most is not None:
        rows.append(
            Row(
                label=f"At {100.0 * YIELD_SHARE:.0f} % of yield",
                value=_force(most, show),
                note="with the twist of tightening",
            )
        )
    if given.word("way") != "torque":
        rate = _rate_n_per_mm(given, thread=thread)
        rows.append(Row(label="The stud stretches", value=size(preload.preload_n / rate, show)))
    return rows


def _clamp_rows(clamp: Clamp | None, *, show: Show) -> list[Row]:
    if clamp is None:
        return []

    def between(ends: tuple[float, float]) -> str:
        low, high = (show.number(each, suffix="n", digits=0) for each in ends)
        return f"{low} to {high}"

    least, most = clamp.over_gas_interval_ratio
    rows = [
        Row(
            label="All studs",
            value=_force(clamp.total_n, show),
            note=between(clamp.total_interval_n),
        ),
        Row(
            label="For one cylinder",
            value=_force(clamp.cylinder_n, show),
            note=between(clamp.cylinder_interval_n),
        ),
        Row(label="Gas at peak pressure", value=_force(clamp.gas_n, show)),
        Row(
            label="Clamp over gas",
            value=f"{clamp.over_gas_ratio:.2f} times",
            note=f"{least:.2f} to {most:.2f}",
        ),
    ]
    if clamp.ring_n_per_mm is not None and clamp.ring_firing_n_per_mm is not None:
        rows += [
            Row(label="Along the ring", value=show.value(clamp.ring_n_per_mm, suffix="n_per_mm")),
            Row(
                label="at peak pressure",
                inset=True,
                value=show.value(clamp.ring_firing_n_per_mm, suffix="n_per_mm"),
            ),
        ]
    return rows


def _over_words(most_n: float, *, show: Show) -> tuple[str, ...]:
    return (
        f"The high end passes {_force(most_n, show)}, where tension and twist reach "
        f"{100.0 * YIELD_SHARE:.0f} % of yield. A bolt meant to be turned past yield holds about "
        "there, and is commonly used once.",
    )


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    cylinder, sheet = head.cylinder, head.sheet
    return {
        "bore": None if cylinder is None else cylinder.bore_mm,
        "studs": float(len(sheet.studs)) or None,
        "cylinders": float(len(sheet.cylinders)) or None,
    }


CLAMP = Sum(
    name="clamp",
    title="Clamp of the studs",
    group="Clamp",
    says="Preload from torque, angle or stretch, with its scatter, beside the gas. Information, "
    "never a pass.",
    parts=(
        Part(
            title="Thread",
            fields=(
                Field(
                    name="form", label="Kind", choices=(("metric", "metric"), ("unified", "inch"))
                ),
                Field(name="diameter", label="Outer diameter", suffix="mm", most=60.0, least=2.0),
                Field(name="pitch", label="Pitch", suffix="mm", most=8.0, when=("metric",)),
                Field(
                    name="tpi",
                    label="Threads an inch",
                    suffix="count",
                    most=100.0,
                    when=("unified",),
                ),
            ),
        ),
        Part(
            title="Tightened by",
            fields=(
                Field(
                    name="way",
                    label="Way",
                    choices=(("torque", "torque"), ("angle", "angle"), ("stretch", "stretch")),
                ),
                Field(name="torque", label="Torque", suffix="n_m", when=("torque",)),
                Field(
                    name="by",
                    label="Worked out with",
                    when=("torque",),
                    choices=(("factor", "nut factor K"), ("friction", "frictions")),
                ),
                Field(
                    name="factor",
                    label="K",
                    suffix="ratio",
                    usual=0.2,
                    most=1.0,
                    when=("torque", "factor"),
                    hint="Dry 0.20 to 0.25, oiled 0.18 to 0.22.",
                ),
                Field(
                    name="mu",
                    label="Friction of the thread",
                    suffix="ratio",
                    usual=0.12,
                    most=1.0,
                    when=("torque", "friction"),
                ),
                Field(
                    name="mu_head",
                    label="Friction under the head",
                    suffix="ratio",
                    optional=True,
                    most=1.0,
                    when=("torque", "friction"),
                    hint="Else as the thread.",
                ),
                Field(
                    name="under_head",
                    label="Mean of the turning face",
                    suffix="mm",
                    optional=True,
                    most=200.0,
                    when=("torque", "friction"),
                    hint="Diameter.",
                ),
                Field(
                    name="angle",
                    label="Angle from snug",
                    suffix="deg",
                    most=1080.0,
                    when=("angle",),
                ),
                Field(
                    name="snug",
                    label="Preload when snug",
                    suffix="n",
                    optional=True,
                    from_least=True,
                    when=("angle",),
                ),
                Field(name="stretch", label="Stretch", suffix="mm", most=10.0, when=("stretch",)),
                Field(
                    name="length",
                    label="Length that stretches",
                    suffix="mm",
                    when=("angle|stretch",),
                ),
                Field(
                    name="shank",
                    label="Shank diameter",
                    suffix="mm",
                    most=60.0,
                    optional=True,
                    when=("angle|stretch",),
                    hint="Else the thread's.",
                ),
                Field(
                    name="scatter",
                    label="Scatter in %",
                    suffix="ratio",
                    optional=True,
                    most=90.0,
                    from_least=True,
                    hint="Else 30 by torque, 15 by angle, 5 by stretch.",
                ),
                Field(
                    name="yield",
                    label="Yield of the stud",
                    suffix="mpa",
                    optional=True,
                    most=3000.0,
                    hint="To say how near it comes.",
                ),
            ),
        ),
        Part(
            title="The head",
            fields=(
                Field(name="studs", label="Studs", suffix="count", optional=True, whole=True),
                Field(
                    name="cylinders",
                    label="Cylinders under it",
                    suffix="count",
                    optional=True,
                    whole=True,
                    most=24.0,
                ),
                Field(name="bore", label="Bore", suffix="mm", most=400.0, optional=True),
                Field(
                    name="peak",
                    label="Peak pressure",
                    suffix="kpa",
                    most=50_000.0,
                    optional=True,
                    hint="Of the gas, as 180 bar.",
                ),
                Field(
                    name="ring",
                    label="Sealing ring",
                    suffix="mm",
                    most=400.0,
                    optional=True,
                    hint="Diameter, where one is fitted.",
                ),
            ),
        ),
    ),
    work=_work,
    example={
        "form": ("unified", "metric"),
        "diameter": ("0.750", "18"),
        "pitch": ("", "1.5"),
        "tpi": ("16", ""),
        "torque": ("312.5", "400"),
        "factor": 0.2,
        "studs": 26.0,
        "cylinders": 6.0,
        "bore": ("4.213", "107"),
        "peak": ("2175", "15000"),
        "ring": ("4.646", "118"),
    },
    prefill=_prefill,
    practices=(
        "Clean and oil threads and washers the way the torque was meant for; tighten in the "
        "maker's order and steps.",
        "The joint of a sealing ring goes beside a stud or head bolt: clamping is greatest there.",
    ),
    steps=("plan", "assemble", "ring"),
)
