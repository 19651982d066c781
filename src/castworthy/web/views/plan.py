"""The plan page: choices side by side, another deck cut tried, letting a head go."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.heads import return_to_shop, scrap, send_back
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.people import shop
from castworthy.records.lookups.plan import plan_page
from castworthy.records.standing import standing_of
from castworthy.records.trial import try_deck_cut
from castworthy.units import UnitError, read_value
from castworthy.web.answers import UNPROCESSABLE, HeadPage, answer, partial
from castworthy.web.contexts.before_after import STILL
from castworthy.web.contexts.plan_cards import AWAY
from castworthy.web.contexts.plan_page import PlanRequest, plan_page_of
from castworthy.web.contexts.plan_trial import trial_of
from castworthy.web.forms.leave import ReasonForm
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in, machinist, may_work

PAGE = HeadPage(step="plan", page="castworthy/plan/page.html", part="castworthy/plan/body.html")
_DEEPEST_MM = 6.35


@require_safe
@anyone_signed_in
def plan(request: HttpRequest, tag: str) -> HttpResponse:
    """The plans of a head."""
    return _show(request, tag)


@require_safe
@anyone_signed_in
def plan_look(request: HttpRequest, tag: str) -> HttpResponse:
    """One choice, for a page that is open."""
    if not partial(request):
        return _show(request, tag)
    context = _context(request, tag)
    return render(request, "castworthy/plan/shown.html", context)


@require_safe
@anyone_signed_in
def plan_fold(request: HttpRequest, tag: str) -> HttpResponse:
    """The bars behind one fold of a plan."""
    if not partial(request):
        return _show(request, tag)
    context = _context(request, tag)
    shown = context["page"].shown
    bars = shown.bars if shown is not None else None
    fold = request.GET.get("fold", "")
    folded = {
        "rows": bars.folded(fold) if bars and fold != STILL else (),
        "groups": bars.unmoved if bars and fold == STILL else (),
    }
    return render(request, "castworthy/plan/folded.html", folded)


@require_safe
@anyone_signed_in
def plan_try(request: HttpRequest, tag: str) -> HttpResponse:
    """What another deck cut would do; nothing is stored."""
    show = show_for(request)
    unit = show.unit("mm", difference=True)
    typed = request.GET.get("depth", "")
    if not typed.strip():
        sentence = f"The deck cut is empty; enter one in {unit}."
        return _tried(request, {"error": sentence}, status=UNPROCESSABLE)
    try:
        depth_mm = read_value(typed, suffix="mm", bare_unit=unit).value
    except UnitError as error:
        return _tried(request, {"error": str(error)}, status=UNPROCESSABLE)
    if not 0.0 <= depth_mm <= _DEEPEST_MM:
        most = show.value(_DEEPEST_MM, suffix="mm", difference=True)
        sentence = f"A deck cut is between nothing and {most}; type one in {unit}."
        return _tried(request, {"error": sentence}, status=UNPROCESSABLE)
    tried = try_deck_cut(tag, depth_mm=depth_mm)
    trial = trial_of(tried.answer, depth_mm=depth_mm, currency=shop().currency, show=show)
    return _tried(request, {"trial": trial})


@require_POST
@machinist
def plan_make(request: HttpRequest, tag: str) -> HttpResponse:
    """Work the plans out."""
    return _did(request, tag, lambda: make_plans(tag=tag, by=request.user))


@require_POST
@machinist
def plan_choose(request: HttpRequest, tag: str, plan_id: int) -> HttpResponse:
    """Take one plan on; its work becomes the list at the machine."""
    return _did(request, tag, lambda: choose_plan(plan_id=plan_id, by=request.user))


@require_POST
@machinist
def plan_away(request: HttpRequest, tag: str, deed: str) -> HttpResponse:
    """Send a head back or scrap it, with the reason."""
    let_go = scrap if deed == "scrap" else send_back
    return _reasoned(request, tag, lambda why: let_go(tag=tag, note=why, by=request.user))


@require_POST
@machinist
def plan_return(request: HttpRequest, tag: str) -> HttpResponse:
    """Take a head back into the shop."""
    return _reasoned(request, tag, lambda why: return_to_shop(tag=tag, note=why, by=request.user))


def _reasoned(request: HttpRequest, tag: str, deed: Callable[[str], Any]) -> HttpResponse:
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _show(request, tag, look=AWAY, form=form, status=UNPROCESSABLE)
    return _did(request, tag, lambda: deed(form.cleaned_data["reason"]), look=AWAY, form=form)


def _did(
    request: HttpRequest,
    tag: str,
    deed: Callable[[], Any],
    *,
    look: str = "",
    form: ReasonForm | None = None,
) -> HttpResponse:
    try:
        deed()
    except DeedRefused as refused:
        return _show(
            request, tag, look=look, form=form, error=refused.sentence, status=UNPROCESSABLE
        )
    return _show(request, tag, look=look) if partial(request) else redirect(PAGE.step, tag)


def _show(
    request: HttpRequest,
    tag: str,
    *,
    look: str = "",
    form: ReasonForm | None = None,
    error: str = "",
    status: int = 200,
) -> HttpResponse:
    context = _context(request, tag, look=look, form=form) | {"error": error}
    return answer(request, tag, shown=PAGE, context=context, status=status)


def _context(
    request: HttpRequest, tag: str, *, look: str = "", form: ReasonForm | None = None
) -> dict[str, Any]:
    page = plan_page_of(
        plan_page(tag),
        head=head_facts(tag),
        standing=standing_of(tag),
        asked=PlanRequest(
            look=look or request.GET.get("look", ""),
            fold=request.GET.get("fold", ""),
            currency=shop().currency,
            show=show_for(request),
        ),
    )
    return head_frame(request, tag, PAGE.step) | {
        "page": page,
        "away_form": form or ReasonForm(),
        "may_return": may_work(request.user),
    }


def _tried(request: HttpRequest, context: dict[str, Any], *, status: int = 200) -> HttpResponse:
    return render(request, "castworthy/plan/trial.html", context, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/plan", plan, name="plan"),
    path("heads/<str:tag>/plan/look", plan_look, name="plan-look"),
    path("heads/<str:tag>/plan/fold", plan_fold, name="plan-fold"),
    path("heads/<str:tag>/plan/try", plan_try, name="plan-try"),
    path("heads/<str:tag>/plan/make", plan_make, name="plan-make"),
    path("heads/<str:tag>/plan/choose/<int:plan_id>", plan_choose, name="plan-choose"),
    path("heads/<str:tag>/plan/return", plan_return, name="plan-return"),
    path("heads/<str:tag>/plan/<str:deed>", plan_away, name="plan-away"),
]
