"""How far an injector stands out of the deck after a cut, and the washers it takes."""

from collections.abc import Mapping

from castworthy.calc.chamber.injector import (
    CAUTION,
    PRACTICES,
    InjectorStand,
    bare_stand_mm,
    injector_stand,
)
from castworthy.calc.decision.figure import FigureJudged, judge_figure
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show
from castworthy.units.phrase import listed
from castworthy.web.contexts.sums.form import (
    ONE_READING,
    Answer,
    Field,
    Given,
    Part,
    Sum,
    SumFault,
    Usual,
    cut,
    size,
    typed_lengths,
    uncertainty,
)
from castworthy.web.contexts.sums.verdicts import sure_rows, tone_of

_MOST_STAND_MM, _MOST_WASHERS = 25.0, 4
_SIDES = (("above", "above the deck"), ("below", "below it"))


def _injector(given: Given) -> Answer:
    show = given.show
    stand = given.number("stand")
    if given.word("side") == "below":
        stand = -stand
    low, high = given.number("low"), given.number("high")
    if low > high:
        raise SumFault(
            f"The least stand is no more than the most (got {size(low, show)} and "
            f"{size(high, show)}).",
            field="high",
        )
    off, fitted = given.maybe("deck_cut") or 0.0, given.several("fitted")
    found = _stand_of(given, stand=stand, limits=(low, high))
    bare = bare_stand_mm(stand, deck_cut_mm=off, fitted_mm=fitted)
    rows = (
        Row(label="Stands now", value=_stands(stand, show)),
        *_cut_rows(stand, off_mm=off, show=show),
        *_bare_rows(bare, fitted=bool(fitted), show=show),
    )
    if isinstance(found, Refused):
        return Answer(
            headline=_none_words(found, bare=bare, limits=(low, high), given=given),
            tone="outside",
            rows=rows,
            sentences=(found.remedy,),
        )
    judged = judge_figure(found.stand_mm, u=found.u_stand_mm, low=low, high=high)
    return Answer(
        headline=f"{_fit_words(found, given=given)}: the tip "
        f"{'then stands' if found.washers_mm or off else 'stands'} "
        f"{_stands(found.stand_mm, show)}.",
        tone=tone_of(judged),
        rows=(*rows, *_then_rows(found, judged=judged, limits=(low, high), show=show)),
        sentences=_as_before(found, fitted=fitted),
        cautions=_close_words(judged),
    )


def _stand_of(
    given: Given, *, stand: float, limits: tuple[float, float]
) -> InjectorStand | Refused:
    try:
        return injector_stand(
            stand,
            deck_cut_mm=given.maybe("deck_cut") or 0.0,
            low_mm=limits[0],
            high_mm=limits[1],
            washers_mm=given.several("washers"),
            fitted_mm=given.several("fitted"),
            aim_mm=given.maybe("aim"),
            most_count=int(given.number("most")),
            u_stand_mm=given.maybe("u_stand"),
            u_deck_cut_mm=given.maybe("u_cut"),
        )
    except InputError as fault:
        raise SumFault(str(fault), field="washers") from fault


def _stands(stand_mm: float, show: Show) -> str:
    """A stand with its side: ``0.0354 in above the deck``."""
    if abs(stand_mm) < 1e-6:
        return "flush with the deck"
    side = "above" if stand_mm > 0.0 else "below"
    return f"{size(abs(stand_mm), show)} {side} the deck"


def _asked(limits: tuple[float, float], show: Show) -> str:
    low, high = limits
    return f"{show.number(low, suffix='mm')} to {size(high, show)}"


def _cut_rows(stand: float, *, off_mm: float, show: Show) -> tuple[Row, ...]:
    if not off_mm:
        return ()
    note = f"{cut(off_mm, show)} off the deck brings it out by as much"
    return (Row(label="After the cut", value=_stands(stand + off_mm, show), note=note),)


def _bare_rows(bare: float, *, fitted: bool, show: Show) -> tuple[Row, ...]:
    if not fitted:
        return ()
    return (Row(label="With no washer at all", value=_stands(bare, show)),)


def _fit_words(found: InjectorStand, *, given: Given) -> str:
    if not found.washers_mm:
        return "No washer is needed"
    words = [size(each, given.show) for each in found.washers_mm]
    many = "a washer of" if len(words) == 1 else "washers of"
    added = "" if given.several("fitted") else "add "
    said = f"{many} {listed(words)}"
    return f"{added}{said}".capitalize() if added else f"Fit {said}"


def _as_before(found: InjectorStand, *, fitted: tuple[float, ...]) -> tuple[str, ...]:
    if fitted and sorted(found.washers_mm) == sorted(fitted):
        return ("That is as thick as what is under it now: a new washer of the same size.",)
    return ()


def _none_words(found: Refused, *, bare: float, limits: tuple[float, float], given: Given) -> str:
    show = given.show
    if found.code == "too-low":
        return (
            f"No washer brings it in: it stands too far in, {_stands(limits[0], show)} is the "
            "least, and a washer only takes it further."
        )
    with_none = "with no washer at all" if given.several("fitted") else "as it is"
    return (
        f"No washer brings it to {_asked(limits, show)}: {with_none} it would stand "
        f"{_stands(bare, show)}."
    )


def _then_rows(
    found: InjectorStand, *, judged: FigureJudged, limits: tuple[float, float], show: Show
) -> tuple[Row, ...]:
    then = Row(
        label="Stands then",
        value=_stands(found.stand_mm, show),
        note=f"asked: {_asked(limits, show)}",
    )
    u = cut(found.u_stand_mm or 0.0, show)
    return (then, *sure_rows(judged, note=f"standard uncertainty {u}"))


def _close_words(judged: FigureJudged) -> tuple[str, ...]:
    if tone_of(judged) != "close":
        return ()
    return (
        "Too close to call with this gauge: read it again once the deck is cut and the washer is "
        "in.",
    )


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    cylinder = head.cylinder
    if cylinder is None:
        return {}
    key = Quantity.INJECTOR_PROTRUSION, cylinder.name
    stand, limit = head.read.get(key), head.sheet.limit_for(key[0], place=cylinder.name)
    found: dict[str, Usual | None] = {
        "washers": typed_lengths(head.sheet.work.washers_mm),
        "most": float(min(head.sheet.work.most_washers_count, _MOST_WASHERS)),
        "deck_cut": head.planned_cut_mm,
        "u_cut": head.sheet.work.u_deck_cut_mm if head.planned_cut_mm else None,
        "u_stand": head.u.get(key),
    }
    if stand is not None:
        found |= {"side": "below" if stand < 0.0 else "above", "stand": abs(stand)}
    if limit is not None:
        found |= {"low": limit.low, "high": limit.high, "aim": limit.aim}
    return found


def _limit(name: str, label: str, *, optional: bool = False, hint: str = "") -> Field:
    return Field(
        name=name,
        label=label,
        suffix="mm",
        least=-_MOST_STAND_MM,
        most=_MOST_STAND_MM,
        optional=optional,
        hint=hint,
    )


INJECTOR = Sum(
    name="injector",
    title="Injector and washers",
    group="Chamber",
    says="How far an injector stands out after a cut, and the washers that bring it in.",
    parts=(
        Part(
            title="The injector",
            fields=(
                Field(name="side", label="Its tip stands", choices=_SIDES),
                Field(
                    name="stand", label="How far", suffix="mm", most=_MOST_STAND_MM, from_least=True
                ),
                Field(
                    name="deck_cut",
                    label="Off the deck",
                    suffix="mm",
                    most=6.35,
                    from_least=True,
                    optional=True,
                    hint="Brings it out.",
                ),
            ),
        ),
        Part(
            title="What is asked",
            across=3,
            fields=(
                _limit("low", "Least stand", hint="A minus: below."),
                _limit("high", "Most stand"),
                _limit("aim", "Aimed at", optional=True),
            ),
        ),
        Part(
            title="Washers",
            fields=(
                Field(
                    name="fitted",
                    label="Under it when it was read",
                    suffix="mm",
                    several=True,
                    optional=True,
                    most=10.0,
                    hint="They come out; left empty, washers are added to what is there.",
                ),
                Field(
                    name="washers",
                    label="In the shop's drawer",
                    suffix="mm",
                    several=True,
                    optional=True,
                    most=10.0,
                    hint="Thicknesses, a space between them.",
                ),
                Field(
                    name="most",
                    label="Most washers under it",
                    suffix="count",
                    usual=2.0,
                    least=1.0,
                    from_least=True,
                    most=float(_MOST_WASHERS),
                    whole=True,
                ),
            ),
        ),
        Part(
            title="How sure the figures are",
            folded=True,
            fields=(
                uncertainty("u_stand", "the stand", hint=ONE_READING),
                uncertainty("u_cut", "the cut"),
            ),
        ),
    ),
    work=_injector,
    example={
        "side": "above",
        "stand": ("0.0715", "1.81"),
        "deck_cut": ("0.0060", "0.15"),
        "low": ("0.0630", "1.6"),
        "high": ("0.0730", "1.85"),
        "fitted": ("0.0590", "1.5"),
        "washers": ("0.0590 0.0690 0.0790", "1.5 1.75 2.0"),
        "u_stand": ("0.0004", "0.01"),
        "u_cut": ("0.0002", "0.005"),
    },
    prefill=_prefill,
    practices=PRACTICES,
    cautions=(CAUTION,),
    steps=("plan", "machine", "assemble"),
    operations=(OperationKind.WASHER,),
    measured=(Quantity.INJECTOR_PROTRUSION,),
)
