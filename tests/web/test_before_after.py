"""What stands beside the bars of a plan."""

from dataclasses import replace

from castworthy.calc.engine import Engine
from castworthy.calc.head import Cylinder, HeadSheet, Limit, Material, Reading
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import Plan
from castworthy.units import Show
from castworthy.web.contexts.before_after import before_after
from castworthy.web.contexts.plan_shown import reasons_of

# Bore 100 and stroke 100 mm sweep 785.398 cm3; 50 cm3 under the chamber, which loses 2 cm3 a mm.
SHEET = HeadSheet(
    code="B1",
    title="One cylinder",
    material=Material.GREY_IRON,
    source="invented",
    outline_mm=((0, 0), (200, 0), (200, 150), (0, 150)),
    cylinders=(Cylinder(name="1", x_mm=100, y_mm=75, bore_mm=100, chamber_area_mm2=2000),),
    valves=(),
    limits=(
        Limit(quantity=Quantity.FLATNESS, high=0.05),
        Limit(quantity=Quantity.CHAMBER_VOLUME, low=20.0, high=40.0),
    ),
    engine=Engine(stroke_mm=100, bowl_cm3=50),
)
READ = (
    Reading(quantity=Quantity.CHAMBER_VOLUME, place="1", value=30.0),
    Reading(quantity=Quantity.FLATNESS, place="", value=0.5),
)


def chamber_remark(sheet: HeadSheet, *, readings: tuple[Reading, ...] = READ) -> str:
    plan = make_plan(sheet, readings=readings)
    assert isinstance(plan, Plan)
    shown = before_after(plan, sheet=sheet, show=Show())
    rows = [row for group in shown.groups for row in group.first]
    return next(row.remark for row in rows if "Chamber volume" in row.label)


def test_a_chamber_tells_its_compression_ratio_before_and_after() -> None:
    # 1 + 785.398 / 80 = 10.82; the deck cut of 0.5 + 0.0127 mm leaves 78.97: 10.94.
    assert chamber_remark(SHEET) == "ratio 10.82, then 10.94"


def test_without_an_engine_there_is_no_ratio() -> None:
    assert chamber_remark(replace(SHEET, engine=None)) == ""


def test_a_chamber_read_for_the_ratio_alone_needs_no_limit_for_the_reasons() -> None:
    free = replace(SHEET, limits=(Limit(quantity=Quantity.FLATNESS, high=0.05),))
    plan = make_plan(free, readings=READ)
    assert isinstance(plan, Plan)
    assert Quantity.CHAMBER_VOLUME in {row.quantity for row in plan.after}
    reasons = reasons_of(plan, sheet=free, show=Show())
    assert any("flatness" in words.lower() for words in reasons)
