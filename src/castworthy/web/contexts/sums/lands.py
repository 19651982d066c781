"""The metal a ring's groove leaves on a deck, and where the joint of its wire goes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Site
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.sealing.joint import Joint, clock_words, joint_of
from castworthy.calc.sealing.lands import Land, RingLands, land_sentence, lands_of
from castworthy.calc.sealing.wire import PRACTICES, Ring, rings_of
from castworthy.charts.deck import deck_plan
from castworthy.charts.rings import RingMark
from castworthy.records.cautions import CUTTING
from castworthy.records.errors import NotOnRecord
from castworthy.records.kept_sums import Row, Table
from castworthy.records.lookups.sheets import sheet_page, sheets
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
    cut,
    size,
)
from castworthy.web.contexts.sums.typed_deck import KINDS, typed_deck

_SHOWN_LANDS = 12
_SHOWN_CODES = 12
_FRAME_MM = 12.0
_ALLOWANCE_MM, _SAME_MM = 1e-9, 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """One ring on the deck."""

    ring: Ring
    lands: RingLands
    joint: Joint | Refused

    @property
    def least(self) -> Land:
        return self.lands.smallest


def _work(given: Given) -> Answer:
    sheet, show = _deck(given), given.show
    placed = _placed(given, sheet=sheet)
    tightest = min(placed, key=lambda each: each.least.land_mm)
    shown = _shown(given, placed=placed, tightest=tightest)
    if shown.least.land_mm <= tightest.least.land_mm + _SAME_MM:
        tightest = shown
    least = given.maybe("least")
    return Answer(
        headline=land_sentence(tightest.lands, show=show),
        tone=_tone(tightest.least.land_mm, least_mm=least),
        rows=(*_joint_rows(shown, show=show), *_cylinder_rows(placed, show=show)),
        table=_land_table(shown, show=show),
        sentences=_sentences(given, sheet=sheet, shown=shown),
        cautions=_cautions(placed, least_mm=least, show=show),
        svg=_picture(sheet, placed=placed, show=show, compact=False),
        svg_phone=_picture(sheet, placed=placed, show=show, compact=True),
    )


def _deck(given: Given) -> HeadSheet:
    if given.word("deck_from") == "typed":
        return typed_deck(
            given.word("round"),
            bore_mm=given.number("bore"),
            show=given.show,
            name="round",
        )
    code, _, number = given.word("code").partition(" ")
    number = number.strip()
    try:
        return sheet_page(code, number=int(number) if number.isdecimal() else None).sheet
    except NotOnRecord as fault:
        if number.isdecimal() and any(each.code == code for each in sheets()):
            raise SumFault(f"{fault} Leave the number out for the newest.", field="code") from fault
        codes = [each.code for each in sheets()][:_SHOWN_CODES]
        known = f" The shop has {', '.join(codes)}." if codes else " The shop has none yet."
        raise SumFault(
            f"There is no sheet {code[:24]!r} on record.{known}", field="code"
        ) from fault


def _placed(given: Given, *, sheet: HeadSheet) -> tuple[_Placed, ...]:
    try:
        rings = rings_of(
            sheet, diameter_mm=given.number("diameter"), width_mm=given.number("width")
        )
    except InputError as fault:
        raise SumFault(str(fault), field="width") from fault
    every = lands_of(
        sheet,
        rings=rings,
        insert_wall_mm=given.maybe("insert_wall") or 0.0,
        fire_ring_diameter_mm=given.maybe("fire_ring"),
    )
    return tuple(
        _Placed(ring=ring, lands=lands, joint=joint_of(ring, sheet=sheet, lands=lands))
        for ring, lands in zip(rings, every, strict=True)
    )


def _shown(given: Given, *, placed: Sequence[_Placed], tightest: _Placed) -> _Placed:
    """The ring that was asked for, else the one with the narrowest land."""
    name = given.word("cylinder")
    if not name:
        return tightest
    found = next((each for each in placed if each.ring.cylinder == name), None)
    if found is None:
        names = ", ".join(each.ring.cylinder for each in placed)
        raise SumFault(f"The deck has no cylinder {name[:24]!r}; it has {names}.", field="cylinder")
    return found


def _tone(land_mm: float, *, least_mm: float | None) -> str:
    if land_mm < -_ALLOWANCE_MM:
        return "outside"
    if least_mm is None:
        return "plain"
    return "inside" if land_mm >= least_mm - _ALLOWANCE_MM else "outside"


def _joint_rows(shown: _Placed, *, show: Show) -> tuple[Row, ...]:
    joint = shown.joint
    if isinstance(joint, Refused):
        return ()
    stud = show.value(joint.stud_mm, suffix="mm", digits=2)
    x, y = (show.number(each, suffix="mm", digits=2) for each in (joint.x_mm, joint.y_mm))
    rows = [
        Row(
            label=f"Joint of cylinder {joint.cylinder}",
            value=f"{joint.clock}, {joint.angle_deg:.0f}°",
            note=f"counter-clockwise from the right, at {x}, {y} {show.unit('mm')}",
        ),
        Row(label=f"middle of stud {joint.stud}", value=stud, inset=True),
    ]
    if joint.passage_mm is not None:
        off = show.value(joint.passage_mm, suffix="mm", digits=2)
        rows.append(Row(label=f"edge of passage {joint.passage}", value=off, inset=True))
    return tuple(rows)


def _cylinder_rows(placed: Sequence[_Placed], *, show: Show) -> tuple[Row, ...]:
    if len(placed) < 2:
        return ()
    return tuple(
        Row(
            label=f"Cylinder {each.ring.cylinder}",
            value=size(each.least.land_mm, show),
            note=f"to {each.least.called}{_joint_words(each)}",
        )
        for each in placed
    )


def _joint_words(placed: _Placed) -> str:
    joint = placed.joint
    return "" if isinstance(joint, Refused) else f"; joint at {joint.clock}, stud {joint.stud}"


def _land_table(shown: _Placed, *, show: Show) -> Table:
    return Table(
        heads=(f"From the groove of {shown.ring.cylinder}", "Metal left", "At"),
        rows=tuple(
            (
                f"to {each.called}",
                size(each.land_mm, show),
                "all round" if each.angle_deg is None else clock_words(each.angle_deg),
            )
            for each in shown.lands.lands[:_SHOWN_LANDS]
        ),
    )


def _sentences(given: Given, *, sheet: HeadSheet, shown: _Placed) -> tuple[str, ...]:
    said = []
    more = shown.lands.lands[_SHOWN_LANDS:]
    if more:
        least = size(more[0].land_mm, given.show)
        rest = "the one that is left is" if len(more) == 1 else f"the other {len(more)} are"
        said.append(f"The {_SHOWN_LANDS} narrowest stand below; {rest} {least} or wider.")
    if isinstance(shown.joint, Refused):
        said.append(shown.joint.sentence)
    if not sheet.outline_mm:
        said.append("The edge is only a frame: type its corners to have the land to it told.")
    return tuple(said)


def _cautions(placed: Sequence[_Placed], *, least_mm: float | None, show: Show) -> tuple[str, ...]:
    broken = [each for each in placed if each.least.land_mm < -_ALLOWANCE_MM]
    if broken:
        names = ", ".join(each.ring.cylinder for each in broken)
        return (f"A groove that breaks into an opening does not seal: {names}.",)
    if least_mm is None:
        return ()
    thin = [each for each in placed if each.least.land_mm < least_mm - _ALLOWANCE_MM]
    if not thin:
        return ()
    short = cut(least_mm - min(each.least.land_mm for each in thin), show)
    names = ", ".join(each.ring.cylinder for each in thin)
    return (f"Less land than asked at {names}, by {short} at the most.",)


def _picture(
    sheet: HeadSheet, *, placed: Sequence[_Placed], show: Show, compact: bool
) -> SafeString:
    marks = tuple(
        RingMark(
            x_mm=each.ring.x_mm,
            y_mm=each.ring.y_mm,
            inner_mm=each.ring.inner_mm,
            outer_mm=each.ring.outer_mm,
            joint_deg=None if isinstance(each.joint, Refused) else each.joint.angle_deg,
            title=land_sentence(each.lands, show=show),
        )
        for each in placed
    )
    framed = sheet if sheet.outline_mm else replace(sheet, outline_mm=_frame(sheet, placed=placed))
    drawn = deck_plan(
        framed,
        compact=compact,
        show=None if compact else show,
        rings=marks,
        title=f"Grooves and joints on {sheet.title}",
    )
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes


def _frame(sheet: HeadSheet, *, placed: Sequence[_Placed]) -> tuple[tuple[float, float], ...]:
    """A frame round everything that was typed."""
    holes = [(o.x_mm, o.y_mm, o.diameter_mm / 2.0) for o in (*sheet.studs, *sheet.openings)]
    holes += [(e.ring.x_mm, e.ring.y_mm, e.ring.outer_mm) for e in placed]
    holes += [(c.x_mm, c.y_mm, c.bore_mm / 2.0) for c in sheet.cylinders]
    left, right = (
        min(x - r for x, _, r in holes) - _FRAME_MM,
        max(x + r for x, _, r in holes) + _FRAME_MM,
    )
    low, high = (
        min(y - r for _, y, r in holes) - _FRAME_MM,
        max(y + r for _, y, r in holes) + _FRAME_MM,
    )
    return (left, low), (right, low), (right, high), (left, high)


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    ring = head.sheet.ring
    found: dict[str, Usual | None] = {
        "deck_from": "sheet",
        "code": head.sheet.code if head.revision is None else f"{head.sheet.code} {head.revision}",
        "cylinder": head.cylinder.name if head.place and head.cylinder is not None else None,
    }
    if ring is None:
        return found
    return found | {
        "diameter": ring.groove_diameter_mm,
        "width": ring.groove_width_mm,
        "insert_wall": ring.insert_wall_mm or None,
        "fire_ring": ring.fire_ring_mm,
    }


LANDS = Sum(
    name="lands",
    title="Lands and joint",
    group="Ring",
    says="The metal a groove leaves to everything on the deck, and where the wire's joint goes.",
    parts=(
        Part(
            title="The groove",
            fields=(
                Field(
                    name="diameter",
                    label="Groove diameter",
                    suffix="mm",
                    most=400.0,
                    hint="Of its centreline.",
                ),
                Field(name="width", label="Groove width", suffix="mm", most=6.0),
                Field(
                    name="least",
                    label="Least land wanted",
                    suffix="mm",
                    most=50.0,
                    optional=True,
                ),
            ),
        ),
        Part(
            title="The deck",
            fields=(
                Field(
                    name="deck_from",
                    label="Taken from",
                    choices=(("sheet", "a sheet"), ("typed", "what is typed here")),
                ),
                Field(
                    name="code",
                    label="Code of the sheet",
                    hint="T66; or with its revision, T66 2.",
                    when=("sheet",),
                ),
                Field(
                    name="cylinder",
                    label="Cylinder",
                    optional=True,
                    hint="Else the tightest.",
                    when=("sheet",),
                ),
                Field(name="bore", label="Bore", suffix="mm", most=400.0, when=("typed",)),
                Field(
                    name="round",
                    label="What lies round it",
                    lines=7,
                    hint=f"A line each: kind, x, y, diameter, from the bore's middle. Kinds: "
                    f"{', '.join(KINDS)}.",
                    when=("typed",),
                ),
            ),
        ),
        Part(
            title="Inserts and fire ring",
            folded=True,
            fields=(
                Field(
                    name="insert_wall",
                    label="Insert past its valve",
                    suffix="mm",
                    most=25.0,
                    from_least=True,
                    optional=True,
                    hint="All round.",
                ),
                Field(
                    name="fire_ring",
                    label="Gasket's fire ring",
                    suffix="mm",
                    most=400.0,
                    optional=True,
                    hint="Its diameter.",
                ),
            ),
        ),
    ),
    work=_work,
    example={
        "diameter": ("4.646", "118"),
        "width": ("0.0440", "1.11"),
        "least": ("0.080", "2"),
        "deck_from": "typed",
        "bore": ("4.213", "107"),
        "round": (
            "bore 5.2 0 4.213\nstud 2.6 2.6 0.55\nstud -2.6 2.6 0.55\nstud 2.6 -2.6 0.55\n"
            "stud -2.6 -2.6 0.55\ncoolant 0 2.75 0.4\ncoolant -2.65 1.1 0.35\noil 2.6 -1.9 0.3\n"
            "valve -0.95 0.85 1.46\nvalve 0.95 0.85 1.46\n"
            "edge -3.4 -3.3\nedge 8.6 -3.3\nedge 8.6 3.3\nedge -3.4 3.3",
            "bore 132 0 107\nstud 66 66 14\nstud -66 66 14\nstud 66 -66 14\nstud -66 -66 14\n"
            "coolant 0 70 10\ncoolant -67 28 9\noil 66 -48 8\nvalve -24 21.5 37\nvalve 24 21.5 37\n"
            "edge -86 -84\nedge 218 -84\nedge 218 84\nedge -86 84",
        ),
    },
    prefill=_prefill,
    practices=PRACTICES,
    cautions=(CUTTING,),
    steps=("plan", "machine", "ring"),
    operations=(OperationKind.RING_GROOVE,),
    site=Site.HEAD,
)
