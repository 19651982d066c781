"""A shop at work, made through the deeds like any person would."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from castworthy.actions import (
    assembly,
    gauges,
    heads,
    people,
    plans,
    proof,
    readings,
    sheets,
    trade,
    work,
)
from castworthy.actions.readings import Recorded, SlipAsked
from castworthy.records.models import Head, Operation, Person, Plan
from castworthy.records.standing import standing_of
from factories.sheet_texts import SMALL

PASSWORD = "a long pass phrase"

GOOD: Mapping[str, str] = {
    "recession": "0.0390 in",
    "deck_thickness": "0.400 in",
    "flatness": "0.001 in",
    "finish_ra": "40 uin",
    "tip_height": "1.96 in",
    "spring_height": "1.55 in",
    "guide_clearance": "0.0025 in",
    "margin": "0.070 in",
    "seat_runout": "0.001 in",
    "height": "0.0001 in",
}
"""What a good head reads, well inside the limits of the invented sheets."""


def open_shop() -> Person:
    """The first run: a shop and its owner."""
    return people.create_shop(
        shop_name="Fenside Heads",
        username="olive",
        full_name="Olive Marsh",
        password=PASSWORD,
    )


def hire(owner: Person, *, name: str, role: str) -> Person:
    """Somebody more in the shop."""
    return people.add_person(
        username=name.split()[0].lower(),
        full_name=name,
        password=PASSWORD,
        role=role,
        by=owner,
    )


def write_sheet(by: Person, *, text: str = SMALL) -> str:
    """A sheet on record; its code."""
    return sheets.write_sheet(text=text, by=by).code


def add_depth_gauge(by: Person) -> str:
    """A depth gauge good to 0.0005 in; its name."""
    return gauges.add_gauge(
        name="DG-2", unit="in", u="0.0001", resolution="0.0001", reads="depth", by=by
    ).name


def add_vacuum_gauge(by: Person, *, u: str = "0.2") -> str:
    """A vacuum gauge that reads in inHg, marked every 0.5; its name."""
    return gauges.add_gauge(
        name="VG-2", unit="inHg", u=u, resolution="0.5", reads="vacuum", by=by
    ).name


def take_in(by: Person, *, code: str, tag: str = "F2-0001") -> Head:
    """A new casting of a lot."""
    supplier = trade.add_supplier(name=f"Lode Foundry of {tag}", by=by)
    lot = trade.add_lot(supplier_id=supplier.pk, code="7F", by=by)
    return heads.take_in_head(tag=tag, sheet=code, kind="new casting", lot_id=lot.pk, by=by)


def read(
    tag: str, quantity: str, place: str, typed: str, *, by: Person, **more: Any
) -> Recorded | SlipAsked:
    """One reading with an identity of its own; below the deck unless told otherwise."""
    if quantity in {"recession", "injector_protrusion"}:
        more.setdefault("side", "below")
    more.setdefault("uuid", uuid4())
    return readings.record_reading(
        tag=tag, quantity=quantity, place=place, typed=typed, by=by, **more
    )


def kept(tag: str, quantity: str, place: str, typed: str, *, by: Person, **more: Any) -> Recorded:
    """One reading that is on record, whatever was asked about it."""
    answer = read(tag, quantity, place, typed, by=by, slip_kept=True, **more)
    assert isinstance(answer, Recorded)
    return answer


def measure_all(
    tag: str, *, by: Person, other: Mapping[tuple[str, str], str] | None = None
) -> None:
    """Every reading a head still misses: good ones, except where ``other`` says otherwise."""
    for spot in standing_of(tag).missing:
        typed = (other or {}).get((spot.quantity, spot.place), GOOD[spot.quantity])
        kept(tag, spot.quantity, spot.place, typed, by=by)


def ready_to_leave(
    tag: str, *, by: Person, other: Mapping[tuple[str, str], str] | None = None
) -> None:
    """Take a head from its first reading to the day it may be released."""
    measure_all(tag, by=by, other=other)
    made = plans.make_plans(tag=tag, by=by)
    chosen = Plan.objects.get(batch=made.batch, objective="cost")
    plans.choose_plan(plan_id=chosen.pk, by=by)
    while (
        planned := Operation.objects.filter(head__tag=tag, state="planned")
        .order_by("position")
        .first()
    ):
        work.sign_operation(operation_id=planned.pk, by=by)
    measure_all(tag, by=by)
    assembly.tick(tag=tag, by=by)
    prove_all(tag, by=by)


def prove_all(tag: str, *, by: Person) -> None:
    """Every test, passed."""
    proof.record_crack_check(tag=tag, method="magnetic particle", clear=True, by=by)
    proof.record_pressure(tag=tag, medium="water", start="45 psi", held="44.8 psi", by=by)
    for valve in standing_of(tag).sheet.valves:
        proof.record_vacuum(tag=tag, place=valve.name, held="25", dead_head="27", by=by)
