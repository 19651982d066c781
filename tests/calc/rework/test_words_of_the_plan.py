"""The plan in sentences, the choices beside each other, the decision on a head."""

from dataclasses import replace

import pytest

from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet, Prices, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.compare import CardKind, cards_of
from castworthy.calc.rework.decide import decide
from castworthy.calc.rework.edges import span_edges
from castworthy.calc.rework.effects import disturbed_by
from castworthy.calc.rework.explain import (
    before_after_sentence,
    conflict_sentences,
    odds_sentence,
    span_sentence,
    work_sentence,
)
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import Decision, NoPlan, Objective, OperationKind, Plan
from castworthy.sheets.spec import read_sheet
from castworthy.units import Show
from factories.sheet_texts import SMALL

Q = Quantity
THOU = 0.0254
SHOW = Show()
GOOD = {"1A": 39.0, "1B": 39.0, "2A": 39.0, "2B": 39.0}


@pytest.fixture(scope="module")
def sheet() -> HeadSheet:
    plain = read_sheet(SMALL, file="small")
    prices = Prices(labour_per_hour=60, deck_min=45, seat_min=8, new_casting=1140, send_back=45)
    return replace(plain, prices=prices)


def head(
    thickness_in: float = 0.400, ra_uin: float = 40, **recession_thou: float
) -> tuple[Reading, ...]:
    depths = GOOD | {name.lstrip("v"): value for name, value in recession_thou.items()}
    return (
        *(
            Reading(quantity=Q.RECESSION, place=name, value=thou * THOU, u=0.0001 * 25.4)
            for name, thou in depths.items()
        ),
        Reading(quantity=Q.DECK_THICKNESS, place="T1", value=thickness_in * 25.4, u=0.0005 * 25.4),
        Reading(quantity=Q.FLATNESS, place="", value=0.001 * 25.4, u=0.0001 * 25.4),
        Reading(quantity=Q.FINISH_RA, place="", value=ra_uin * THOU, u=0.02),
    )


def planned(sheet: HeadSheet, readings: tuple[Reading, ...]) -> Plan:
    plan = make_plan(sheet, readings=readings)
    assert isinstance(plan, Plan)
    return plan


def test_a_deep_valve_is_said_with_what_brings_it_in(sheet: HeadSheet) -> None:
    plan = planned(sheet, head(v2B=49.3, ra_uin=80))
    row = next(row for row in plan.after if (row.quantity, row.place) == (Q.RECESSION, "2B"))
    sentence = before_after_sentence(row, plan=plan, show=SHOW)
    cut = SHOW.value(plan.deck.depth_mm, suffix="mm", difference=True)

    assert sentence.startswith("2B is too deep by 2.8 thou. ")
    assert f"aking {cut} off the deck" in sentence
    assert "to spare" in sentence


def test_each_operation_has_its_sentence(sheet: HeadSheet) -> None:
    plan = planned(sheet, head(v2B=49.3, v1A=30.0, ra_uin=80))
    told = {step.kind: work_sentence(step, show=SHOW) for step in plan.work}

    assert told[OperationKind.SURFACE].startswith("Surface the deck: ")
    assert told[OperationKind.SEAT].startswith("Cut the seat of 1A: ")
    assert all(sentence.endswith(".") for sentence in told.values())


def test_the_span_says_what_breaks_on_either_side(sheet: HeadSheet) -> None:
    readings = head(v2B=49.3, ra_uin=80, thickness_in=0.357)
    plan = planned(sheet, readings)
    edges = span_edges(sheet, readings=readings, plan=plan)
    sentence = span_sentence(plan, edges=edges, show=SHOW)
    low, high = plan.deck_cut_span_mm

    assert 2.8 * THOU <= low < high
    assert "keeps every limit" in sentence
    assert "Below: " in sentence
    assert "2B" in sentence
    assert "T1" in sentence.split("Above: ")[1]


def test_limits_that_exclude_each_other_are_named_and_what_frees_them(sheet: HeadSheet) -> None:
    answer = make_plan(sheet, readings=head(ra_uin=80, thickness_in=0.3515))
    assert isinstance(answer, NoPlan)
    told = " ".join(conflict_sentences(answer, show=SHOW))

    assert {row.quantity for row in answer.conflict} == {Q.FINISH_RA, Q.DECK_THICKNESS}
    assert "T1" in told
    assert "It would work if" in told


def test_the_surest_by_bare_limits_is_offered_where_only_the_guard_forbids(
    sheet: HeadSheet,
) -> None:
    tight = tuple(
        replace(row, u=0.004 * 25.4) if row.quantity is Q.RECESSION else row
        for row in head(v1A=30.0)
    )
    answer = make_plan(replace(sheet, limits=sheet.limits), readings=tight)
    narrow = tuple(
        replace(row, u=0.006 * 25.4) if row.quantity is Q.RECESSION else row
        for row in head(v1A=30.0)
    )
    stuck = make_plan(sheet, readings=narrow)

    assert isinstance(answer, (Plan, NoPlan))
    assert isinstance(stuck, NoPlan)
    assert stuck.surest is not None
    assert not stuck.surest.guarded
    assert odds_sentence(stuck.surest).startswith("No work brings every limit in with certainty")


@pytest.mark.parametrize(
    ("readings", "decision"),
    [
        (head(), Decision.CONFORMING),
        (head(v1A=30.0), Decision.REWORK),
        (head(ra_uin=80, thickness_in=0.3515), Decision.SCRAP),
        (head()[1:], Decision.UNDECIDED),
    ],
    ids=["conforming", "rework", "scrap", "missing"],
)
def test_the_decision_on_a_head(
    sheet: HeadSheet, readings: tuple[Reading, ...], decision: Decision
) -> None:
    assert decide(sheet, readings=readings).decision is decision


def test_nothing_measured_is_refused_with_the_way_out(sheet: HeadSheet) -> None:
    answer = make_plan(sheet, readings=())

    assert isinstance(answer, Refused)
    assert answer.remedy == "Measure it first."


def test_the_choices_stand_beside_the_price_of_a_casting(sheet: HeadSheet) -> None:
    plans = {
        objective: make_plan(sheet, readings=head(v1A=30.0), objective=objective)
        for objective in Objective
    }
    cards = {card.kind: card for card in cards_of(sheet, plans=plans)}

    assert cards[CardKind.COST].cost == pytest.approx(8.0)
    assert cards[CardKind.COST].saves == pytest.approx(1132.0)
    assert cards[CardKind.SEND_BACK].cost == pytest.approx(1185.0)
    assert cards[CardKind.DECK].deck_cut_mm == 0.0


def test_a_seat_cut_disturbs_its_own_valve_only(sheet: HeadSheet) -> None:
    moved = disturbed_by(sheet, kind=OperationKind.SEAT, place="1A")

    assert (Q.RECESSION, "1A") in moved
    assert (Q.VACUUM_HOLD, "1A") in moved
    assert not any(place == "1B" for _, place in moved)
    assert not any(quantity is Q.DECK_THICKNESS for quantity, _ in moved)


def test_surfacing_disturbs_everything_at_the_deck(sheet: HeadSheet) -> None:
    moved = disturbed_by(sheet, kind=OperationKind.SURFACE, place="")

    assert {(Q.RECESSION, name) for name in GOOD} <= moved
    assert {(Q.DECK_THICKNESS, "T1"), (Q.FINISH_RA, ""), (Q.PRESSURE_HOLD, "")} <= moved
    assert (Q.TIP_HEIGHT, "1A") not in moved


# Trade checks (common practice, no source): a valve that stands too high is sunk by its seat;
# about 6 thou in the case told; a deck cut lowers recession one for one.


def test_a_valve_that_stands_too_high_has_its_seat_cut(sheet: HeadSheet) -> None:
    bare = replace(sheet, work=replace(sheet.work, u_seat_cut_mm=0.0))
    readings = tuple(replace(row, u=None) for row in head(v1A=33.0 - 0.5 - 6.0 + 6.0 - 6.0))
    plan = planned(bare, readings)

    assert plan.deck is None
    assert plan.valves["1A"].seat_cut_mm >= (32.5 - 26.5) * THOU - 1e-9
    assert set(plan.valves) == {"1A"}


def test_a_deck_cut_lowers_recession_one_for_one(sheet: HeadSheet) -> None:
    plan = planned(sheet, head(ra_uin=80))
    depths = {row.place: row for row in plan.after if row.quantity is Q.RECESSION}

    for row in depths.values():
        assert row.before - row.value == pytest.approx(plan.deck.depth_mm, abs=1e-9)


def test_a_groove_made_shallower_before_is_recut_in_every_plan(sheet: HeadSheet) -> None:
    good = head()
    assert make_plan(sheet, readings=good).work == ()
    for objective in Objective:
        plan = make_plan(sheet, readings=good, objective=objective, rings_owed=("1",))
        assert isinstance(plan, Plan)
        assert [(step.kind, step.place) for step in plan.work if step.place] == [
            (OperationKind.RING_GROOVE, "1"),
            (OperationKind.RING, "1"),
        ]
        assert plan.minutes == sheet.prices.ring_min
        assert plan.deck is None
    with pytest.raises(InputError, match="rings_owed must name cylinders of sheet"):
        make_plan(sheet, readings=good, rings_owed=("9",))
