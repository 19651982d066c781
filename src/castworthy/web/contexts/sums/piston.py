"""How near a valve and the head come to the piston, now and after the work."""

from collections.abc import Mapping
from dataclasses import dataclass

from castworthy.calc.chamber.piston import (
    Crank,
    LiftCurve,
    PistonWork,
    ValveGap,
    ValveOverPiston,
    after_work,
    gap_at_top_mm,
    least_valve_gap,
)
from castworthy.calc.decision.figure import FigureJudged, judge_figure
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.quantity import Quantity
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show
from castworthy.web.contexts.sums.form import Answer, Given, SumFault, Usual, cut, size
from castworthy.web.contexts.sums.lifts import lifts_of
from castworthy.web.contexts.sums.piston_picture import gap_pictures
from castworthy.web.contexts.sums.ratio import engine_of
from castworthy.web.contexts.sums.verdicts import sure_rows, tone_of

_COARSE_DEG = 2.5
"""A table that steps wider than this near its least gap may hide a smaller one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gaps:
    """The valve's gap and the head's, now and (the same where nothing is done) after the work."""

    place: ValveOverPiston
    after: ValveOverPiston
    now: ValveGap
    then: ValveGap
    crank: Crank | None
    lifts: LiftCurve | None
    worked: bool


def work(given: Given) -> Answer:
    """The answer of the sum."""
    gaps = _gaps(given)
    valve, head = _judged(given, gaps=gaps)
    svg, svg_phone = gap_pictures(
        place=gaps.place,
        after=gaps.after if gaps.worked else None,
        crank=gaps.crank,
        lifts=gaps.lifts,
        least=gaps.then,
        wanted_mm=given.maybe("least_valve"),
        verdict=Verdict.MISSING if valve is None else valve.verdict,
        show=given.show,
    )
    touching = min(gaps.then.gap_mm, gaps.after.piston_to_head_mm) <= 0.0
    return Answer(
        headline=_headline(gaps, valve=valve, head=head, given=given),
        tone="outside" if touching else tone_of(valve, head),
        rows=(
            *_valve_rows(given, gaps=gaps),
            *sure_rows(
                valve,
                label="Sure to keep what is asked",
                note=_u_words(gaps.then.u_gap_mm, given.show),
            ),
            *_head_rows(given, gaps=gaps, judged=head),
        ),
        sentences=_sentences(given, gaps=gaps),
        cautions=_cautions(given, gaps=gaps, valve=valve, head=head),
        svg=svg,
        svg_phone=svg_phone,
    )


def _gaps(given: Given) -> _Gaps:
    place = _place(given)
    done = PistonWork(
        deck_cut_mm=given.maybe("deck_cut") or 0.0,
        sink_mm=given.maybe("sink") or 0.0,
        gasket_mm=given.maybe("new_gasket"),
        u_deck_cut_mm=given.maybe("u_cut"),
        u_sink_mm=given.maybe("u_sink"),
    )
    worked = bool(done.deck_cut_mm or done.sink_mm or done.gasket_mm is not None)
    after = after_work(place, work=done) if worked else place
    lifts, crank = lifts_of(given, "lifts"), None
    if lifts is not None:
        crank = _crank(given)
    return _Gaps(
        place=place,
        after=after,
        now=_least(place, given=given, crank=crank, lifts=lifts),
        then=_least(after, given=given, crank=crank, lifts=lifts),
        crank=crank,
        lifts=lifts,
        worked=worked,
    )


def _place(given: Given) -> ValveOverPiston:
    deck, recession = given.number("deck"), given.number("recession")
    return ValveOverPiston(
        gasket_mm=given.number("gasket"),
        deck_clearance_mm=-deck if given.word("side") == "proud" else deck,
        recession_mm=-recession if given.word("valve_side") == "above" else recession,
        pocket_mm=given.maybe("pocket") or 0.0,
        tilt_deg=given.maybe("tilt") or 0.0,
        u_gasket_mm=given.maybe("u_gasket"),
        u_deck_clearance_mm=given.maybe("u_deck"),
        u_recession_mm=given.maybe("u_recession"),
        u_pocket_mm=given.maybe("u_pocket"),
    )


def _crank(given: Given) -> Crank:
    for name, called in (("stroke", "stroke"), ("rod", "rod")):
        if given.maybe(name) is None:
            raise SumFault(
                f"A table of lifts needs the {called}, to know where the piston is.", field=name
            )
    try:
        return Crank(stroke_mm=given.number("stroke"), rod_mm=given.number("rod"))
    except InputError as fault:
        raise SumFault(str(fault), field="rod") from fault


def _least(
    place: ValveOverPiston, *, given: Given, crank: Crank | None, lifts: LiftCurve | None
) -> ValveGap:
    """The least gap over the table, else the gap at top dead centre."""
    if lifts is not None and crank is not None:
        return least_valve_gap(place, crank=crank, lifts=lifts)
    lift = given.maybe("lift") or 0.0
    return ValveGap(
        gap_mm=gap_at_top_mm(place, lift_mm=lift),
        u_gap_mm=place.u_gap_mm,
        crank_deg=0.0,
        lift_mm=lift,
    )


def _judged(given: Given, *, gaps: _Gaps) -> tuple[FigureJudged | None, FigureJudged | None]:
    least, least_head, after = given.maybe("least_valve"), given.maybe("least_head"), gaps.after
    return (
        None if least is None else judge_figure(gaps.then.gap_mm, u=gaps.then.u_gap_mm, low=least),
        None
        if least_head is None
        else judge_figure(after.piston_to_head_mm, u=after.u_piston_to_head_mm, low=least_head),
    )


def _headline(
    gaps: _Gaps, *, valve: FigureJudged | None, head: FigureJudged | None, given: Given
) -> str:
    show, then = given.show, gaps.then
    who = "After the work the valve" if gaps.worked else "The valve"
    if then.gap_mm <= 0.0:
        said = f"{who} runs {cut(abs(then.gap_mm), show)} into the piston {_where(gaps, then)}"
    else:
        said = f"{who} keeps {size(then.gap_mm, show)} from the piston {_where(gaps, then)}"
    least = given.maybe("least_valve")
    if valve is not None and least is not None and valve.verdict is Verdict.OUTSIDE:
        return f"{said}, {cut(least - then.gap_mm, show)} less than asked."
    if valve is not None and valve.verdict is Verdict.CLOSE:
        return f"{said}: too close to call."
    if head is not None and head.verdict is Verdict.OUTSIDE:
        return f"{said}, but the head comes too near to the piston."
    return f"{said}."


def _where(gaps: _Gaps, gap: ValveGap) -> str:
    if gaps.lifts is None:
        return "at top dead centre" if gap.lift_mm else "at top dead centre, shut"
    return f"at {_angle(gap.crank_deg)}"


def _angle(crank_deg: float) -> str:
    if abs(crank_deg) < 1e-9:
        return "top dead centre"
    side = "after" if crank_deg > 0.0 else "before"
    return f"{abs(crank_deg):g}° {side} top dead centre"


def _valve_rows(given: Given, *, gaps: _Gaps) -> list[Row]:
    show, place = given.show, gaps.place
    rows = [
        Row(
            label="Valve shut, piston at the top",
            value=size(place.closed_gap_mm, show),
            note="gasket, piston, recession and pocket together",
        )
    ]
    if gaps.lifts is not None or gaps.now.lift_mm:
        lift = f"lift {size(gaps.now.lift_mm, show)}"
        at = _angle(gaps.now.crank_deg) if gaps.lifts is not None else "top dead centre"
        rows.append(
            Row(
                label="Least over the overlap" if gaps.lifts is not None else "With that lift",
                value=size(gaps.now.gap_mm, show),
                note=f"at {at}, {lift}",
            )
        )
    if gaps.worked:
        change = gaps.then.gap_mm - gaps.now.gap_mm
        more = "more" if change >= 0.0 else "less"
        rows.append(
            Row(
                label="After the work",
                value=size(gaps.then.gap_mm, show),
                note=f"{cut(abs(change), show)} {more}; the valve then lies "
                f"{_depth(gaps.after.recession_mm, show)}",
            )
        )
    return rows


def _depth(recession_mm: float, show: Show) -> str:
    if abs(recession_mm) < 1e-6:
        return "flush with the deck"
    side = "below" if recession_mm > 0.0 else "above"
    return f"{size(abs(recession_mm), show)} {side} the deck"


def _head_rows(given: Given, *, gaps: _Gaps, judged: FigureJudged | None) -> tuple[Row, ...]:
    show, before, after = given.show, gaps.place.piston_to_head_mm, gaps.after.piston_to_head_mm
    rows = [Row(label="Piston to head", value=size(before, show), note="at top dead centre")]
    if abs(after - before) > 1e-9:
        rows.append(Row(label="with the other gasket", value=size(after, show), inset=True))
    least = given.maybe("least_head")
    note = "" if least is None else f"{size(least, show)} asked"
    return (*rows, *sure_rows(judged, label="Sure to keep it", note=note))


def _u_words(u_mm: float | None, show: Show) -> str:
    return "" if u_mm is None else f"standard uncertainty {cut(u_mm, show)}"


def _sentences(given: Given, *, gaps: _Gaps) -> tuple[str, ...]:
    if gaps.lifts is not None:
        return ()
    if given.maybe("lift") is None:
        return (
            "With the lift at top dead centre, or a table of lifts over the overlap, the gap is "
            "told for the open valve.",
        )
    return (
        "The least gap often lies a few degrees off top dead centre: paste the lifts over the "
        "overlap to find it.",
    )


def _cautions(
    given: Given, *, gaps: _Gaps, valve: FigureJudged | None, head: FigureJudged | None
) -> tuple[str, ...]:
    said = []
    if gaps.then.gap_mm <= 0.0:
        said.append("The valve meets the piston: do not turn this engine over.")
    if gaps.after.piston_to_head_mm <= 0.0:
        said.append("The piston meets the head: check the gasket and how far it stands proud.")
    least = given.maybe("least_head")
    if head is not None and head.verdict is Verdict.OUTSIDE and least is not None:
        short = cut(least - gaps.after.piston_to_head_mm, given.show)
        said.append(f"Piston to head is {short} less than asked.")
    if any(each is not None and each.verdict is Verdict.CLOSE for each in (valve, head)):
        said.append("Too close to call with these gauges: measure it on the engine with clay.")
    if gaps.lifts is not None and _coarse(gaps.lifts, at_deg=gaps.then.crank_deg):
        said.append(
            f"The table steps wider than {_COARSE_DEG:g}° about the least gap; between its lines "
            "the gap may be smaller. Read it there every degree or two."
        )
    return tuple(said)


def _coarse(lifts: LiftCurve, *, at_deg: float) -> bool:
    """Whether the table's neighbours of its least gap lie far, or it ends there."""
    angles = [float(each) for each in lifts.crank_deg]
    at = angles.index(at_deg)
    if at in {0, len(angles) - 1}:
        return True
    return max(at_deg - angles[at - 1], angles[at + 1] - at_deg) > _COARSE_DEG


def prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    """What the head knows: its engine, the valve as read, the work still planned."""
    found: dict[str, Usual | None] = {
        name: value
        for name, value in engine_of(head).items()
        if name in {"gasket", "side", "deck", "stroke"}
    }
    valve = head.valve
    found["deck_cut"] = head.planned_cut_mm
    if head.planned_cut_mm is not None:
        found["u_cut"] = head.sheet.work.u_deck_cut_mm
    if valve is None:
        return found
    key = Quantity.RECESSION, valve.name
    recession, sink = head.read.get(key), head.planned_sinking_mm(valve.name)
    found |= {"tilt": valve.tilt_deg or None, "u_recession": head.u.get(key)}
    if sink is not None and sink > 0.0:
        found |= {"sink": sink, "u_sink": head.sheet.work.u_seat_cut_mm}
    if recession is not None:
        found |= {
            "valve_side": "above" if recession < 0.0 else "under",
            "recession": abs(recession),
        }
    return found
