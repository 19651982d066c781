"""An insert pressed in its counterbore, or a guide in its bore."""

from collections.abc import Mapping

from castworthy.calc.head import Material
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.valvetrain.assembly import AssemblyPlan, Way, assembly_plan, fit_at
from castworthy.calc.valvetrain.metals import METALS, ROOM_DEGC
from castworthy.calc.valvetrain.press_fit import PRACTICES, Fit, PressFit, fit_cautions, press_fit
from castworthy.records.cautions import HOT_AND_COLD
from castworthy.records.kept_sums import Row, Table
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.proof_words import temperature_words
from castworthy.units import Show
from castworthy.web.contexts.sums.form import Answer, Field, Given, Part, Sum, Usual, cut

_METALS = tuple((name, name) for name in METALS)
_HEADS = {
    Material.GREY_IRON: "grey iron",
    Material.COMPACTED_IRON: "compacted iron",
    Material.ALUMINIUM: "aluminium",
}


def _insert(given: Given) -> Answer:
    fit = Fit(
        ring_mm=given.number("ring"),
        bore_mm=given.number("bore"),
        ring_bore_mm=given.number("hole"),
        boss_mm=given.number("boss"),
        ring_metal=METALS[given.word("ring_metal")],
        boss_metal=METALS[given.word("head_metal")],
        length_mm=given.maybe("length"),
    )
    pressed = press_fit(fit)
    if isinstance(pressed, Refused):
        return Answer(headline=pressed.sentence, tone="outside")
    plan = assembly_plan(
        fit, clearance_mm=given.number("clearance"), highest_head_degc=given.maybe("highest")
    )
    show, piece = given.show, given.word("piece")
    hot, lets_go = _at_work(given, fit=fit)
    held = fit_cautions(
        pressed,
        boss_yield_mpa=given.maybe("head_yield"),
        ring_yield_mpa=given.maybe("ring_yield"),
    )
    return Answer(
        headline=f"{cut(pressed.interference_mm, show)} of interference holds the {piece} with "
        f"{_stress(pressed.pressure_mpa, show)}.",
        tone="outside" if held or lets_go or isinstance(plan, Refused) else "inside",
        rows=(*_press_rows(pressed, piece=piece, show=show), *hot),
        sentences=() if isinstance(plan, Refused) else (_drop_words(plan, piece, show=show),),
        table=None if isinstance(plan, Refused) else _ways(plan, piece=piece, show=show),
        cautions=(
            *held,
            *lets_go,
            *((plan.sentence,) if isinstance(plan, Refused) else plan.cautions),
            "The metal round the bore is taken as a round boss; where it is thinner on one side it "
            "gives more there. Metals are round figures: the maker's own go before them.",
        ),
    )


def _at_work(given: Given, *, fit: Fit) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """What is left of the fit hot, and whether the head lets go."""
    head = given.maybe("work_head")
    if head is None:
        return (), ()
    ring, show = given.maybe("work_ring"), given.show
    pressed = press_fit(fit_at(fit, boss_degc=head, ring_degc=head if ring is None else ring))
    if isinstance(pressed, Refused):
        return (), (f"Running hot the head lets it go. {pressed.sentence}",)
    left = cut(pressed.interference_mm, show)
    return (
        Row(
            label=f"Running hot, the head at {temperature_words(head, show=show)}",
            value=_stress(pressed.pressure_mpa, show),
            note=f"{left} of interference left",
        ),
    ), ()


def _drop_words(plan: AssemblyPlan, piece: str, *, show: Show) -> str:
    way = plan.way
    head = "as it is"
    if way.head_degc > ROOM_DEGC:
        head = f"at {temperature_words(way.head_degc, show=show)}"
    return f"With the {piece} {way.ring_from}, it drops in with the head {head}."


def _stress(mpa: float, show: Show) -> str:
    return show.value(abs(mpa), suffix="mpa", digits=1 if show.metric else 0)


def _press_rows(pressed: PressFit, *, piece: str, show: Show) -> tuple[Row, ...]:
    def stress(mpa: float) -> str:
        return _stress(mpa, show)

    rows = [
        Row(
            label="Interference",
            value=cut(pressed.interference_mm, show),
            note=f"{1000.0 * pressed.interference_ratio:.2f} for each 1000 of diameter",
        ),
        Row(label="Contact pressure", value=stress(pressed.pressure_mpa)),
        Row(
            label="Pull in the head, round the bore",
            value=stress(pressed.boss_hoop_mpa),
            note=f"{stress(pressed.boss_von_mises_mpa)} by von Mises",
        ),
        Row(
            label=f"Squeeze in the {piece}, at its hole",
            value=stress(pressed.ring_bore_hoop_mpa),
            note=f"{stress(pressed.ring_von_mises_mpa)} by von Mises",
        ),
        Row(
            label=f"The {piece}'s hole closes by", value=cut(abs(pressed.ring_bore_change_mm), show)
        ),
    ]
    if pressed.press_n is not None:
        rows.append(
            Row(
                label="Press needed cold",
                value=show.value(pressed.press_n, suffix="n", digits=0),
                note="dry, friction 0.12",
            )
        )
    return tuple(rows)


def _ways(plan: AssemblyPlan, *, piece: str, show: Show) -> Table:
    def head(way: Way) -> str:
        if way.head_degc <= ROOM_DEGC:
            return "as it is"
        hot = temperature_words(way.head_degc, show=show)
        return hot if way.allowed else f"{hot}, too hot"

    return Table(
        heads=(piece.capitalize(), "Head at least at"),
        rows=tuple((way.ring_from, head(way)) for way in plan.ways),
        chosen=plan.ways.index(plan.way),
    )


def _insert_prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    return {"head_metal": _HEADS.get(head.sheet.material)}


INSERT = Sum(
    name="insert",
    title="Insert or guide fit",
    group="Seats and valves",
    says="What an interference does to insert or guide and head; how hot and cold they fit.",
    parts=(
        Part(
            title="What is pressed in",
            fields=(
                Field(
                    name="piece",
                    label="Pressed in",
                    choices=(("insert", "a seat insert"), ("guide", "a guide")),
                ),
                Field(
                    name="ring",
                    label="Outside",
                    suffix="mm",
                    most=250.0,
                    hint="Measured at room temperature.",
                ),
                Field(name="hole", label="Its hole", suffix="mm", most=250.0, from_least=True),
                Field(
                    name="length",
                    label="Length in the bore",
                    suffix="mm",
                    optional=True,
                    hint="For the press needed cold.",
                    most=100.0,
                ),
                Field(
                    name="ring_metal",
                    label="Metal of insert or guide",
                    choices=(("steel", "steel"), *(m for m in _METALS if m[0] != "steel")),
                ),
            ),
        ),
        Part(
            title="The head",
            fields=(
                Field(name="bore", label="Bore in the head", suffix="mm", most=250.0),
                Field(
                    name="boss",
                    label="Metal round it",
                    suffix="mm",
                    most=500.0,
                    hint="Diameter out to the nearest edge or water.",
                ),
                Field(name="head_metal", label="Metal of the head", choices=_METALS),
            ),
        ),
        Part(
            title="Fitting",
            fields=(
                Field(
                    name="clearance",
                    label="Clearance to drop in",
                    suffix="mm",
                    usual=("0.0020", "0.05"),
                    from_least=True,
                    most=1.0,
                    hint="On the diameter.",
                ),
                Field(
                    name="highest",
                    label="Hottest for the head",
                    suffix="degc",
                    optional=True,
                    hint="From the maker's sheet.",
                    least=20.0,
                ),
                Field(
                    name="head_yield",
                    label="Yield of the head",
                    suffix="mpa",
                    optional=True,
                    hint="Strength, for grey iron.",
                    most=3000.0,
                ),
                Field(
                    name="ring_yield",
                    label="Yield of insert or guide",
                    suffix="mpa",
                    optional=True,
                    most=3000.0,
                ),
            ),
        ),
        Part(
            title="Running hot",
            folded=True,
            fields=(
                Field(
                    name="work_head",
                    label="Head at",
                    suffix="degc",
                    optional=True,
                    least=-40.0,
                    most=400.0,
                    hint="Tells what is left of the fit.",
                ),
                Field(
                    name="work_ring",
                    label="Insert or guide at",
                    suffix="degc",
                    optional=True,
                    least=-40.0,
                    most=800.0,
                    hint="Else as hot as the head.",
                ),
            ),
        ),
    ),
    work=_insert,
    example={
        "ring": ("1.5780", "40.08"),
        "hole": ("1.260", "32"),
        "bore": ("1.5750", "40"),
        "boss": ("2.360", "60"),
        "length": ("0.315", "8"),
        "ring_metal": "steel",
        "head_metal": "grey iron",
    },
    prefill=_insert_prefill,
    practices=PRACTICES,
    cautions=(HOT_AND_COLD,),
    steps=("plan", "machine"),
    operations=(OperationKind.INSERT,),
)
