"""The machine page: operations signed off one by one with what was really taken."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.work import sign_operation, skip_operation
from castworthy.calc.rework.explain import conflict_sentences
from castworthy.records.finish_words import cure_words
from castworthy.records.lookups.finish import cure_for, last_machine
from castworthy.records.lookups.kept_sums import kept_sums
from castworthy.records.lookups.machine import machine_page
from castworthy.records.standing import standing_of
from castworthy.units import UnitError, read_value
from castworthy.web.answers import UNPROCESSABLE, HeadPage, answer, partial
from castworthy.web.contexts.machine_list import Entry, changes_between, machine_list
from castworthy.web.contexts.work_lines import CUTS
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in, machinist

PAGE = HeadPage(
    step="machine", page="castworthy/machine/page.html", part="castworthy/machine/body.html"
)
_LEAST_SHARE = 0.05
"""A cut under this share of its plan is taken for a slip (common practice, no source)."""


@require_safe
@anyone_signed_in
def machine(request: HttpRequest, tag: str) -> HttpResponse:
    """The work of a head, in order."""
    return _show(request, tag)


@require_POST
@machinist
def machine_sign(request: HttpRequest, tag: str, operation_id: int) -> HttpResponse:
    """Sign one operation off."""
    show = show_for(request)
    typed, note = request.POST.get("typed", ""), request.POST.get("note", "")
    before = machine_page(tag).operations
    try:
        _check_amount(request, operation_id=operation_id, before=before)
        signed = sign_operation(operation_id=operation_id, typed=typed, note=note, by=request.user)
    except DeedRefused as refused:
        entry = Entry(operation_id=operation_id, typed=typed, note=note, wrong=refused.sentence)
        return _refused(request, tag, entry=entry, refused=refused, before=before)
    after = machine_page(tag).operations
    changed = changes_between(before, after, signed_id=operation_id, show=show)
    if signed.stuck is not None:
        changed = (
            "From what was really taken no work keeps every limit any more.",
            *conflict_sentences(signed.stuck, show=show),
        )
    return _done(request, tag, changed=changed)


@require_POST
@machinist
def machine_skip(request: HttpRequest, tag: str, operation_id: int) -> HttpResponse:
    """Skip one operation, with the reason."""
    why = request.POST.get("why", "")
    before = machine_page(tag).operations
    try:
        skip_operation(operation_id=operation_id, why=why, by=request.user)
    except DeedRefused as refused:
        entry = Entry(operation_id=operation_id, why=why, skip_wrong=refused.sentence)
        return _refused(request, tag, entry=entry, refused=refused, before=before)
    return _done(request, tag)


def _check_amount(request: HttpRequest, *, operation_id: int, before: Any) -> None:
    """Refuse an emptied field and a figure far under the plan: both would be taken for a cut."""
    typed, show = request.POST.get("typed"), show_for(request)
    cut = next((op for op in before if op.id == operation_id and op.kind in CUTS), None)
    if typed is None or cut is None or cut.planned_mm is None:
        return
    if not typed.strip():
        raise DeedRefused("It is empty; enter what was really taken.", field="typed")
    try:
        unit = show.unit("mm", difference=True)
        taken_mm = read_value(typed, suffix="mm", bare_unit=unit).value
    except UnitError:
        return
    if 0.0 < taken_mm < _LEAST_SHARE * cut.planned_mm:
        planned = show.value(cut.planned_mm, suffix="mm", difference=True)
        raise DeedRefused(
            f"{typed.strip()} is far from the {planned} planned; check the unit and the point.",
            field="typed",
            code="slip",
        )


def _done(request: HttpRequest, tag: str, *, changed: tuple[str, ...] = ()) -> HttpResponse:
    if partial(request):
        return _show(request, tag, changed=changed)
    return redirect(PAGE.step, tag)


def _refused(
    request: HttpRequest, tag: str, *, entry: Entry, refused: DeedRefused, before: Any
) -> HttpResponse:
    """The refusal at its operation while that is still to do, over the page otherwise."""
    planned = {op.id for op in before if op.state == "planned"}
    if entry.operation_id in planned and refused.field:
        return _show(request, tag, entry=entry, status=UNPROCESSABLE)
    return _show(request, tag, error=refused.sentence, status=UNPROCESSABLE)


def _show(
    request: HttpRequest,
    tag: str,
    *,
    changed: tuple[str, ...] = (),
    entry: Entry | None = None,
    error: str = "",
    status: int = 200,
) -> HttpResponse:
    standing, show = standing_of(tag), show_for(request)
    listed = machine_list(
        machine_page(tag),
        standing=standing,
        changed=changed,
        entry=entry,
        feed=cure_words(cure_for(standing.sheet, machine=last_machine()), show=show),
        kept=kept_sums(tag),
        show=show,
    )
    return answer(request, tag, shown=PAGE, context={"list": listed, "error": error}, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/machine", machine, name="machine"),
    path("heads/<str:tag>/machine/<int:operation_id>/sign", machine_sign, name="machine-sign"),
    path("heads/<str:tag>/machine/<int:operation_id>/skip", machine_skip, name="machine-skip"),
]
