"""Compression ratio of a cylinder, before and after cuts."""

from collections.abc import Mapping

from castworthy.calc.chamber.cut import RatioChange, RoomCut, ValveSink, ratio_change
from castworthy.calc.chamber.room import (
    CompressionRatio,
    CylinderRoom,
    chamber_for_ratio_cm3,
    compression_ratio,
)
from castworthy.calc.errors import InputError
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.taken import chamber_area_mm2
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show
from castworthy.web.contexts.sums.form import (
    Answer,
    Field,
    Given,
    Part,
    Sum,
    SumFault,
    Usual,
    size,
    typed_lengths,
)
from castworthy.web.contexts.sums.spread import (
    CHAMBERS,
    chambers_prefill,
    cylinders_of,
    limit_words,
    spread_rows,
    spread_table,
)

_TOUCHING = "The piston meets the head: check the gasket and how far it stands proud."
SIDES = (("below", "below the block"), ("proud", "proud of it"))

CYLINDER = (
    Field(name="bore", label="Bore", suffix="mm", most=400.0),
    Field(name="stroke", label="Stroke", suffix="mm", most=500.0),
    Field(
        name="chamber",
        label="Chamber in the head",
        suffix="cm3",
        most=2000.0,
        from_least=True,
        hint="Up to the deck, valves in place.",
    ),
    Field(
        name="bowl",
        label="Bowl of the piston",
        suffix="cm3",
        most=2000.0,
        from_least=True,
        usual=0.0,
        hint="With its pockets.",
    ),
)
GASKET_BORE = Field(
    name="gasket_bore",
    label="Hole of the gasket",
    suffix="mm",
    most=400.0,
    optional=True,
    hint="Else the bore.",
)


def room_of(given: Given, *, gasket_mm: float, deck_mm: float, name: str = "") -> CylinderRoom:
    """The cylinder that was typed, over a gasket and a piston so far below the block."""
    bore = given.number("bore")
    return CylinderRoom(
        name=name,
        bore_mm=bore,
        stroke_mm=given.number("stroke"),
        chamber_cm3=given.number("chamber"),
        gasket_bore_mm=given.maybe("gasket_bore") or bore,
        gasket_mm=gasket_mm,
        bowl_cm3=given.number("bowl"),
        deck_clearance_mm=-deck_mm if given.word("side") == "proud" else deck_mm,
    )


def _ratio(given: Given) -> Answer:
    show = given.show
    room = room_of(given, gasket_mm=given.number("gasket"), deck_mm=given.number("deck"))
    cut = _cut(given)
    now, change = compression_ratio(room), _change(room, cut=cut)
    cylinders = cylinders_of(given, room=room, cut=cut)
    wanted = given.maybe("wanted")
    rows = _volume_rows(now, show=show)
    rows.append(
        Row(
            label="Piston to head",
            value=size(room.piston_to_head_mm, show),
            note="at top dead centre",
        )
    )
    if change is not None:
        rows += [
            Row(
                label="After the work",
                value=f"{change.after.ratio:.2f} to 1",
                note=f"{change.ratio_change:+.2f}",
            ),
            Row(label="chamber then", value=_volume(change.after.chamber_cm3, show), inset=True),
            Row(label="change", value=_volume(change.chamber_change_cm3, show), inset=True),
        ]
    if wanted is not None:
        chamber = chamber_for_ratio_cm3(room, wanted_ratio=wanted)
        rows.append(Row(label=f"Chamber for {wanted:g} to 1", value=_volume(chamber, show)))
    touching = room.piston_to_head_mm <= 0.0
    outside = () if cylinders is None else limit_words(cylinders, show=show)
    return Answer(
        headline=_ratio_words(now, change),
        tone="outside" if touching or outside else "plain",
        rows=(*rows, *(() if cylinders is None else spread_rows(cylinders, show=show))),
        table=None if cylinders is None else spread_table(cylinders, show=show),
        cautions=(*((_TOUCHING,) if touching else ()), *outside),
    )


def _volume(volume_cm3: float, show: Show) -> str:
    return show.value(volume_cm3, suffix="cm3")


def _ratio_words(now: CompressionRatio, change: RatioChange | None) -> str:
    said = f"The compression ratio is {now.ratio:.2f} to 1"
    return (
        f"{said}." if change is None else f"{said}; after the work {change.after.ratio:.2f} to 1."
    )


def _volume_rows(now: CompressionRatio, *, show: Show) -> list[Row]:
    parts = (
        ("chamber", now.chamber_cm3),
        ("gasket", now.gasket_cm3),
        ("bowl", now.bowl_cm3),
        ("deck clearance", now.deck_cm3),
    )
    return [
        Row(label="Swept", value=_volume(now.swept_cm3, show)),
        Row(label="Left above the piston", value=_volume(now.clearance_cm3, show)),
        *(Row(label=name, value=_volume(volume, show), inset=True) for name, volume in parts),
    ]


def _cut(given: Given) -> RoomCut | None:
    """The work that was typed; ``None`` where none was."""
    deck, sinks = given.maybe("deck_cut"), given.several("sinks")
    sizes = given.several("valves") if sinks else ()
    if len(sinks) == 1:
        sinks = sinks * len(sizes)
    if len(sizes) != len(sinks):
        raise SumFault(
            f"Each valve of the cylinder needs its sinking (got {len(sizes)} diameters and "
            f"{len(sinks)} sinkings); one figure serves all.",
            field="sinks",
        )
    if not deck and not sizes:
        return None
    if deck and given.maybe("area") is None:
        raise SumFault("A deck cut needs the chamber's opening in the deck.", field="area")
    return RoomCut(
        deck_cut_mm=deck or 0.0,
        area_mm2=given.maybe("area") or 0.0,
        valves=tuple(
            ValveSink(diameter_mm=d, sink_mm=s) for d, s in zip(sizes, sinks, strict=True)
        ),
    )


def _change(room: CylinderRoom, *, cut: RoomCut | None) -> RatioChange | None:
    try:
        return None if cut is None else ratio_change(room, cut=cut)
    except InputError as fault:
        raise SumFault(str(fault), field="area") from fault


def engine_of(head: SumsHead) -> dict[str, Usual | None]:
    """What the sheet says of the engine under the chamber."""
    cylinder, engine = head.cylinder, head.sheet.engine
    if cylinder is None:
        return {}
    found: dict[str, Usual | None] = {
        "bore": cylinder.bore_mm,
        "chamber": head.read.get((Quantity.CHAMBER_VOLUME, cylinder.name)),
    }
    if engine is None:
        return found
    return found | {
        "stroke": engine.stroke_mm,
        "gasket": engine.gasket_mm or None,
        "gasket_bore": engine.gasket_bore_mm,
        "bowl": engine.bowl_cm3,
        "deck": abs(engine.deck_clearance_mm),
        "side": "proud" if engine.deck_clearance_mm < 0.0 else "below",
    }


def _ratio_prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    cylinder = head.cylinder
    if cylinder is None:
        return {}
    own = [valve for valve in head.sheet.valves if valve.cylinder == cylinder.name]
    sinks = tuple(head.planned_sinking_mm(valve.name) or 0.0 for valve in own)
    return (
        engine_of(head)
        | chambers_prefill(head)
        | {
            "area": chamber_area_mm2(cylinder.name, sheet=head.sheet) or None,
            "deck_cut": head.planned_cut_mm,
            "valves": typed_lengths(tuple(valve.head_diameter_mm for valve in own)),
            "sinks": typed_lengths(sinks) if any(sinks) and min(sinks) >= 0.0 else None,
        }
    )


RATIO = Sum(
    name="ratio",
    title="Compression ratio",
    group="Chamber",
    says="The ratio of a cylinder, and what a deck cut and sunk valves make of it.",
    parts=(
        Part(title="Cylinder", fields=(*CYLINDER,)),
        Part(
            title="Joint",
            fields=(
                Field(
                    name="gasket",
                    label="Gasket as clamped",
                    suffix="mm",
                    most=10.0,
                    from_least=True,
                ),
                GASKET_BORE,
                Field(name="side", label="The piston stands", choices=SIDES),
                Field(
                    name="deck",
                    label="How far",
                    suffix="mm",
                    most=50.0,
                    from_least=True,
                    usual=0.0,
                    hint="At top dead centre.",
                ),
            ),
        ),
        Part(
            title="The work",
            fields=(
                Field(
                    name="deck_cut",
                    label="Off the deck",
                    suffix="mm",
                    most=6.35,
                    from_least=True,
                    optional=True,
                ),
                Field(
                    name="area",
                    label="Chamber's opening",
                    suffix="mm2",
                    optional=True,
                    hint="Its area in the deck.",
                ),
                Field(
                    name="valves",
                    label="Valves",
                    suffix="mm",
                    several=True,
                    optional=True,
                    most=150.0,
                    hint="Diameters, a space between them.",
                ),
                Field(
                    name="sinks",
                    label="Valves sink by",
                    suffix="mm",
                    several=True,
                    optional=True,
                    most=12.7,
                    from_least=True,
                    hint="One for all, or one each.",
                ),
            ),
        ),
        CHAMBERS,
        Part(
            title="Wanted",
            fields=(
                Field(
                    name="wanted",
                    label="Ratio wanted",
                    suffix="ratio",
                    optional=True,
                    least=1.0,
                    hint="Tells the chamber for it.",
                ),
            ),
        ),
    ),
    work=_ratio,
    example={
        "bore": ("4.213", "107"),
        "stroke": ("4.882", "124"),
        "chamber": 8.2,
        "bowl": 52.0,
        "gasket": ("0.0510", "1.3"),
        "gasket_bore": ("4.291", "109"),
        "side": "proud",
        "deck": ("0.0140", "0.35"),
        "deck_cut": ("0.0040", "0.1"),
        "area": ("3.255", "2100"),
        "chambers": "8.2 8.3 8.1 8.2",
        "low_chamber": 7.8,
        "high_chamber": 8.4,
    },
    prefill=_ratio_prefill,
    practices=(
        "Fill the chamber through a plate with a thin oil, valves in place and greased, plug in.",
    ),
    measured=(Quantity.CHAMBER_VOLUME,),
)
