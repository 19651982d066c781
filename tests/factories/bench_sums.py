"""Bench sums as a page would tell them."""

from django.utils import timezone

from castworthy.records.lookups.sums import SumsHead
from castworthy.records.models import Head, Operation, Person, Plan
from castworthy.units import Show
from castworthy.web.contexts.sums.all_sums import sum_named
from castworthy.web.contexts.sums.form import Answer
from castworthy.web.contexts.sums.page import SumPage, example, sum_page

THOU, MM = Show(length="thou"), Show(length="mm")


def page_of(
    name: str, typed: dict[str, str], *, show: Show = THOU, head: SumsHead | None = None
) -> SumPage:
    """The page of a sum with what was typed."""
    shown = sum_named(name)
    assert shown is not None
    return sum_page(shown, sent=typed, head=head, show=show, live=False)


def answer_of(
    name: str, typed: dict[str, str], *, show: Show = THOU, head: SumsHead | None = None
) -> Answer:
    """The answer of a sum, told as a page would tell it."""
    page = page_of(name, typed, show=show, head=head)
    assert page.answer is not None, (page.waits, [f.error for f in page.fields if f.error])
    return page.answer


def figures(
    name: str, typed: dict[str, str], *, show: Show = THOU, head: SumsHead | None = None
) -> dict[str, str]:
    """The figures of an answer by their labels."""
    return {row.label: row.value for row in answer_of(name, typed, show=show, head=head).rows}


def error_at(name: str, typed: dict[str, str], field: str, *, show: Show = THOU) -> str:
    """What stands at a field that cannot be worked out."""
    page = page_of(name, typed, show=show)
    return next(each.error for each in page.fields if each.field.name == field)


def example_of(name: str, *, show: Show = MM) -> dict[str, str]:
    """The sum's own example as a person types it."""
    shown = sum_named(name)
    assert shown is not None
    return example(shown, show=show)


def plan_work(head: Head, *steps: tuple[str, str, float], by: Person) -> None:
    """Operations of a chosen plan, each by its kind, its place and what it takes [mm]."""
    plan = Plan.objects.create(
        head=head, objective="cost", feasible=True, result={}, by=by, at=timezone.now()
    )
    for position, (kind, place, taken_mm) in enumerate(steps):
        Operation.objects.create(
            head=head, plan=plan, position=position, kind=kind, place=place, planned_mm=taken_mm
        )
