"""Springs: rate, loads in place, coil bind, sag; shims for a load or a height."""

from collections.abc import Mapping

from castworthy.calc.errors import InputError
from castworthy.calc.quantity import Quantity
from castworthy.calc.valvetrain.coil import (
    Coil,
    law_from_wire,
    solid_height_mm,
    wire_stress_mpa,
)
from castworthy.calc.valvetrain.sag import LARGEST_LEAN_DEG, LEAST_SHARE_RATIO, Sag, lean_deg, sag
from castworthy.calc.valvetrain.spring import (
    LEAST_COIL_BIND_MM,
    LoadReading,
    SpringLaw,
    SpringWork,
    at_work,
    law_from_loads,
)
from castworthy.records.cautions import SPRING_FORCE
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.practices import KEEPERS, SPRING_DOWN
from castworthy.units import Show
from castworthy.web.contexts.sums.form import (
    ONE_READING,
    Answer,
    Field,
    Given,
    Part,
    Sum,
    SumFault,
    Usual,
    cut,
    force,
    size,
    uncertainty,
)

PRACTICES = (
    SPRING_DOWN,
    KEEPERS,
    "Set the height at the retainer the valve will run with: heights differ from valve to valve.",
)

LOADS = (
    Field(name="load_1", label="First load", suffix="n", when=("loads",)),
    Field(name="height_1", label="First height", suffix="mm", most=500.0, when=("loads",)),
    Field(name="load_2", label="Second load", suffix="n", when=("loads",)),
    Field(name="height_2", label="Second height", suffix="mm", most=500.0, when=("loads",)),
)
RATE = Field(name="rate", label="Rate", suffix="n_per_mm", most=5_000.0, when=("rate",))


def law_of(given: Given) -> SpringLaw:
    """The spring by the way it was told."""
    way, solid = given.word("way"), _solid_mm(given)
    try:
        if way == "loads":
            first, second = (
                LoadReading(
                    load_n=given.number(f"load_{at}"), height_mm=given.number(f"height_{at}")
                )
                for at in (1, 2)
            )
            return law_from_loads(
                first,
                second=second,
                solid_mm=solid,
                u_load_n=given.maybe("u_load"),
                u_height_mm=given.maybe("u_height"),
            )
        if way == "rate":
            return SpringLaw(
                rate_n_per_mm=given.number("rate"), free_mm=given.number("free"), solid_mm=solid
            )
        return law_from_wire(_coil(given), free_mm=given.number("free"), solid_mm=solid)
    except InputError as fault:
        field = {"loads": "height_2", "rate": "free", "wire": "coil"}[way]
        raise SumFault(str(fault), field=field) from fault


def _coil(given: Given) -> Coil:
    return Coil(
        wire_mm=given.number("wire"),
        mean_mm=given.number("coil"),
        active_count=given.number("active"),
        shear_modulus_mpa=given.number("modulus"),
    )


def _solid_mm(given: Given) -> float | None:
    total, wire = given.maybe("total"), given.maybe("wire")
    if given.maybe("solid") is None and total is not None and wire is not None:
        return solid_height_mm(wire_mm=wire, total_count=total)
    return given.maybe("solid")


def _spring(given: Given) -> Answer:
    law, show = law_of(given), given.show
    work, lost, lean = _at_work(given, law=law), _sag(given, law=law), _lean(given, law=law)
    cautions = (*_cautions(given, law=law, work=work, lost=lost), *_lean_cautions(lean))
    rate = show.value(law.rate_n_per_mm, suffix="n_per_mm")
    if work is None:
        said = f"The spring's rate is {rate}; free it is {size(law.free_mm, show)} high."
    else:
        said = (
            f"Installed at {size(given.number('installed'), show)}, the spring holds the seat with "
            f"{force(work.seat_load_n, show)}"
        )
        opened = force(work.open_load_n, show)
        said += f" and {opened} at full lift." if given.maybe("lift") else "."
    return Answer(
        headline=said,
        tone="outside" if cautions else "plain" if work is None else "inside",
        rows=(
            Row(label="Rate", value=rate, note=_u_words(law.u_rate_n_per_mm, "n_per_mm", show)),
            Row(
                label="Free height",
                value=size(law.free_mm, show),
                note="by the line through both loads" if given.word("way") == "loads" else "",
            ),
            *_work_rows(given, law=law, work=work),
            *_sag_rows(lost, show=show),
            *_lean_rows(lean),
        ),
        sentences=()
        if work is not None
        else ("With the installed height, its loads in place are told.",),
        cautions=cautions,
    )


def _u_words(u: float | None, suffix: str, show: Show) -> str:
    return "" if u is None else f"standard uncertainty {show.value(u, suffix=suffix)}"


def _at_work(given: Given, *, law: SpringLaw) -> SpringWork | None:
    installed = given.maybe("installed")
    if installed is None:
        return None
    try:
        return at_work(
            law,
            installed_mm=installed,
            lift_mm=given.maybe("lift") or 0.0,
            u_installed_mm=given.maybe("u_height"),
        )
    except InputError as fault:
        raise SumFault(str(fault), field="lift") from fault


def _taken_in(given: Given) -> Mapping[Quantity, float]:
    """The loads in place of a spring read at two heights; a rate or a wire only predicts them."""
    installed = given.maybe("installed")
    if given.word("way") != "loads" or installed is None:
        return {}
    work = at_work(law_of(given), installed_mm=installed, lift_mm=given.maybe("lift") or 0.0)
    if work.seat_load_n <= 0.0:
        return {}
    found = {Quantity.SEAT_LOAD: work.seat_load_n}
    return found | {Quantity.OPEN_LOAD: work.open_load_n} if given.maybe("lift") else found


def _sag(given: Given, *, law: SpringLaw) -> Sag | None:
    if not given.both("new_load", "new_at"):
        return None
    at = given.number("new_at")
    return sag(law.load_n(at), new_load_n=given.number("new_load"), u_load_n=law.u_load_n(at))


def _work_rows(given: Given, *, law: SpringLaw, work: SpringWork | None) -> list[Row]:
    if work is None:
        return []
    show = given.show
    rows = [
        Row(
            label="Seat load",
            value=force(work.seat_load_n, show),
            note=_u_words(work.u_seat_load_n, "n", show),
        ),
    ]
    if given.maybe("lift"):
        rows.append(
            Row(
                label="Load at full lift",
                value=force(work.open_load_n, show),
                note=f"{size(work.open_height_mm, show)} high then",
            )
        )
    if work.coil_bind_mm is not None:
        rows.append(Row(label="Left before the coils touch", value=cut(work.coil_bind_mm, show)))
    if given.both("wire", "coil"):
        stress = wire_stress_mpa(
            load_n=work.open_load_n, wire_mm=given.number("wire"), mean_mm=given.number("coil")
        )
        rows.append(
            Row(
                label="Shear in the wire then",
                value=show.value(stress, suffix="mpa"),
                note="with Wahl's factor",
            )
        )
    return rows


def _sag_rows(lost: Sag | None, *, show: Show) -> tuple[Row, ...]:
    if lost is None:
        return ()
    note = f"{force(lost.lost_n, show)} lost" if lost.lost_n > 0.0 else "nothing lost"
    return (Row(label="Of a new one's load", value=f"{100.0 * lost.share_ratio:.1f} %", note=note),)


def _lean(given: Given, *, law: SpringLaw) -> float | None:
    gap = given.maybe("out_of_square")
    if gap is None:
        return None
    try:
        return lean_deg(gap, free_mm=law.free_mm)
    except InputError as fault:
        raise SumFault(str(fault), field="out_of_square") from fault


def _lean_rows(lean: float | None) -> tuple[Row, ...]:
    if lean is None:
        return ()
    return (Row(label="Leans", value=f"{lean:.1f}°", note=f"up to {LARGEST_LEAN_DEG:g}° is usual"),)


def _lean_cautions(lean: float | None) -> tuple[str, ...]:
    if lean is None or lean <= LARGEST_LEAN_DEG:
        return ()
    return (
        f"The spring leans more than {LARGEST_LEAN_DEG:g} degrees: it wears its guide. Renew it.",
    )


def _cautions(
    given: Given, *, law: SpringLaw, work: SpringWork | None, lost: Sag | None
) -> tuple[str, ...]:
    said = []
    if work is not None and work.coil_bind_mm is not None:
        left, least = work.coil_bind_mm, given.maybe("least_bind") or LEAST_COIL_BIND_MM
        if left < 0.0:
            said.append(
                f"The coils bind {cut(-left, given.show)} before full lift: something bends."
            )
        elif left < least:
            said.append(
                f"Only {cut(left, given.show)} is left before the coils touch at full lift; "
                f"{cut(least, given.show)} is usual."
            )
    if work is not None and given.number("installed") >= law.free_mm:
        said.append("The installed height is not below the free height: the spring is loose.")
    if lost is not None and not lost.inside:
        said.append(
            f"The spring is tired (below {100.0 * LEAST_SHARE_RATIO:.0f} % of a new one): renew "
            "it. Shims do not mend it."
        )
    return tuple(said)


def spring_prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    """The spring of the sheet and the height on record."""
    spring = head.spring
    if spring is None:
        return {"installed": head.here(Quantity.SPRING_HEIGHT)}
    return {
        "way": "rate",
        "rate": spring.rate_n_per_mm,
        "free": spring.free_mm,
        "solid": spring.solid_mm,
        "lift": spring.lift_mm,
        "installed": head.here(Quantity.SPRING_HEIGHT),
    }


SPRING = Sum(
    name="spring",
    title="Spring in its place",
    group="Springs",
    says="Rate from two loads or from the wire, loads at both heights, coil bind, sag, lean.",
    parts=(
        Part(
            title="The spring",
            fields=(
                Field(
                    name="way",
                    label="Known by",
                    choices=(("loads", "two loads"), ("rate", "its rate"), ("wire", "its wire")),
                ),
                *LOADS,
                RATE,
                Field(name="wire", label="Wire", suffix="mm", most=25.0, when=("wire",)),
                Field(
                    name="coil",
                    label="Mean coil diameter",
                    suffix="mm",
                    most=200.0,
                    when=("wire",),
                    hint="Outside less one wire.",
                ),
                Field(
                    name="active",
                    label="Coils that work",
                    suffix="count",
                    most=100.0,
                    when=("wire",),
                ),
                Field(
                    name="total",
                    label="Coils in all",
                    suffix="count",
                    most=100.0,
                    optional=True,
                    when=("wire",),
                    hint="For the solid height.",
                ),
                Field(
                    name="modulus",
                    label="Shear modulus",
                    suffix="mpa",
                    usual=("11500000", "79300"),
                    when=("wire",),
                    most=200_000.0,
                ),
                Field(
                    name="free", label="Free height", suffix="mm", most=500.0, when=("rate|wire",)
                ),
                Field(
                    name="solid",
                    label="Solid height",
                    suffix="mm",
                    most=500.0,
                    optional=True,
                    hint="All coils touching.",
                ),
            ),
        ),
        Part(
            title="In its place",
            fields=(
                Field(
                    name="installed",
                    label="Installed height",
                    suffix="mm",
                    most=500.0,
                    optional=True,
                ),
                Field(
                    name="lift",
                    label="Lift of the valve",
                    suffix="mm",
                    most=50.0,
                    optional=True,
                    from_least=True,
                ),
                Field(
                    name="least_bind",
                    label="Least left at full lift",
                    suffix="mm",
                    most=25.0,
                    usual=("0.060", "1.5"),
                    optional=True,
                ),
            ),
        ),
        Part(
            title="Against a new one",
            fields=(
                Field(name="new_load", label="Load of a new one", suffix="n", optional=True),
                Field(
                    name="new_at", label="At a height of", suffix="mm", most=500.0, optional=True
                ),
                Field(
                    name="out_of_square",
                    label="Out of square",
                    suffix="mm",
                    most=50.0,
                    from_least=True,
                    optional=True,
                    hint="Its top, beside a square.",
                ),
            ),
        ),
        Part(
            title="How sure the figures are",
            folded=True,
            fields=(
                uncertainty("u_load", "the load", suffix="n", most=None, hint=ONE_READING),
                uncertainty("u_height", "the height", most=5.0),
            ),
        ),
    ),
    work=_spring,
    example={
        "load_1": ("80", "356"),
        "height_1": ("1.800", "45.7"),
        "load_2": ("240", "1068"),
        "height_2": ("1.400", "35.6"),
        "solid": ("1.150", "29.2"),
        "installed": ("1.800", "45.7"),
        "lift": ("0.420", "10.7"),
        "new_load": ("85", "378"),
        "new_at": ("1.800", "45.7"),
    },
    prefill=spring_prefill,
    practices=PRACTICES,
    cautions=(SPRING_FORCE,),
    steps=("assemble",),
    measured=(
        Quantity.SPRING_HEIGHT,
        Quantity.SEAT_LOAD,
        Quantity.OPEN_LOAD,
        Quantity.COIL_BIND,
    ),
    readings=_taken_in,
    readings_say="Both loads were read on the tester; a spring is straight between them.",
)
