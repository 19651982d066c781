"""Examples of the deeds from assembly to release."""

from castworthy.actions import assembly, plans, proof, release, work
from castworthy.records.models import Head, Operation, Plan, Step
from factories.shop import measure_all, ready_to_leave
from trail_examples import Deed, Stage, example, not_a_deed

not_a_deed(
    "assembly.refuse_unless_machined",
    "plans.put_operations",
    "plans.digest_now",
    "plans.decision_from",
    "proof.rule_words",
)


@example("assembly.tick")
def _(stage: Stage) -> Deed:
    Head.objects.filter(tag=stage.tag).update(step=Step.ASSEMBLE)
    return lambda: assembly.tick(tag=stage.tag, by=stage.machinist)


def _outside(stage: Stage) -> Plan:
    measure_all(stage.tag, by=stage.owner, other={("recession", "2B"): "0.0270 in"})
    plans.make_plans(tag=stage.tag, by=stage.owner)
    return Plan.objects.get(head__tag=stage.tag, objective="cost")


@example("plans.make_plans")
def _(stage: Stage) -> Deed:
    measure_all(stage.tag, by=stage.owner)
    return lambda: plans.make_plans(tag=stage.tag, by=stage.machinist)


@example("plans.choose_plan")
def _(stage: Stage) -> Deed:
    plan = _outside(stage)
    return lambda: plans.choose_plan(plan_id=plan.pk, by=stage.machinist)


@example("work.sign_operation")
def _(stage: Stage) -> Deed:
    plans.choose_plan(plan_id=_outside(stage).pk, by=stage.owner)
    seat = Operation.objects.get(head__tag=stage.tag, kind="seat")
    return lambda: work.sign_operation(operation_id=seat.pk, by=stage.machinist)


@example("work.skip_operation")
def _(stage: Stage) -> Deed:
    plans.choose_plan(plan_id=_outside(stage).pk, by=stage.owner)
    seat = Operation.objects.get(head__tag=stage.tag, kind="seat")
    return lambda: work.skip_operation(operation_id=seat.pk, why="new valve", by=stage.machinist)


@example("proof.record_crack_check")
def _(stage: Stage) -> Deed:
    return lambda: proof.record_crack_check(
        tag=stage.tag, method="magnetic particle", clear=True, by=stage.machinist
    )


@example("proof.record_pressure")
def _(stage: Stage) -> Deed:
    return lambda: proof.record_pressure(
        tag=stage.tag, medium="water", start="40", held="40", by=stage.machinist
    )


@example("proof.record_vacuum")
def _(stage: Stage) -> Deed:
    return lambda: proof.record_vacuum(
        tag=stage.tag, place="1A", held="25", dead_head="27", by=stage.machinist
    )


@example("release.release_head")
def _(stage: Stage) -> Deed:
    ready_to_leave(stage.tag, by=stage.owner)
    return lambda: release.release_head(tag=stage.tag, by=stage.machinist)
