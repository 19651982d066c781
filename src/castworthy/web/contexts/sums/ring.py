"""A sealing ring in its groove: press, stand, tolerances, the wire to cut; or the groove for it."""

from collections.abc import Mapping

import numpy as np

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.sealing.groove import (
    Groove,
    GrooveDesign,
    RingFit,
    Wanted,
    cut_length_mm,
    design_sentence,
    fit_cautions,
    fit_of,
    groove_for,
    ring_length_mm,
)
from castworthy.calc.sealing.lands import deck_left_mm
from castworthy.calc.sealing.tolerances import RingShares, Stack, Tolerances, draw_rings, stack_of
from castworthy.calc.sealing.wire import PRACTICES
from castworthy.records.cautions import CUTTING
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.ring_words import stand_cautions
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
    span,
)
from castworthy.web.contexts.sums.picture import ring_picture

_RINGS_COUNT = 100_000
_SEED = 20_261
"""Where the draws start, so that the same question has the same answer."""

Limits = tuple[float | None, float | None]


def _work(given: Given) -> Answer:
    limits = given.maybe("low"), given.maybe("high")
    design = _design(given)
    if isinstance(design, Refused):
        return Answer(headline=design.sentence, tone="outside")
    groove = _groove(given, design=design)
    fit = fit_of(groove)
    stack, shares = _spread(given, groove=groove, limits=limits)
    show = given.show
    said = f"The wire is pressed {cut(fit.press_mm, show)} and stands {cut(fit.stand_mm, show)}"
    faults = fit_cautions(groove, show=show)
    return Answer(
        headline=f"{said} above the deck." if fit.stand_mm >= 0.0 else f"{said}.",
        tone=_tone(fit, limits=limits, faults=bool(faults)),
        rows=(
            *_fit_rows(given, fit=fit, stack=stack, shares=shares, limits=limits),
            *_wire_rows(given, groove=groove),
        ),
        sentences=() if design is None else (design_sentence(design, show=show),),
        cautions=(*faults, *stand_cautions(fit, ends_mm=limits, show=show)),
        svg=ring_picture(groove, fit=fit, show=show),
    )


def _design(given: Given) -> GrooveDesign | Refused | None:
    if given.word("way") == "groove":
        return None
    try:
        return groove_for(
            Wanted(
                wire_mm=given.number("wire"),
                stand_low_mm=given.number("low"),
                stand_high_mm=given.number("high"),
                press_mm=given.number("press"),
                tol_wire_mm=given.maybe("tol_wire") or 0.0,
            )
        )
    except InputError as fault:
        raise SumFault(str(fault), field="high") from fault


def _groove(given: Given, *, design: GrooveDesign | None) -> Groove:
    try:
        return Groove(
            wire_mm=given.number("wire"),
            depth_mm=given.number("depth") if design is None else design.depth_mm,
            width_mm=given.number("width") if design is None else design.width_mm,
            diameter_mm=given.number("diameter"),
        )
    except InputError as fault:
        raise SumFault(str(fault), field="diameter") from fault


def _spread(given: Given, *, groove: Groove, limits: Limits) -> tuple[Stack, RingShares]:
    tolerances = Tolerances(
        wire_mm=given.maybe("tol_wire") or 0.0,
        depth_mm=given.maybe("tol_depth") or 0.0,
        width_mm=given.maybe("tol_width") or 0.0,
    )
    low, high = limits
    try:
        stack = stack_of(groove, tolerances=tolerances, stand_low_mm=low, stand_high_mm=high)
        shares = draw_rings(
            groove,
            tolerances=tolerances,
            rng=np.random.default_rng(_SEED),
            rings_count=_RINGS_COUNT,
            stand_low_mm=low,
            stand_high_mm=high,
        )
    except InputError as fault:
        field = "high" if low is not None and high is not None and low > high else "tol_wire"
        raise SumFault(str(fault), field=field) from fault
    return stack, shares


def _tone(fit: RingFit, *, limits: Limits, faults: bool) -> str:
    low, high = limits
    if (low is not None and fit.stand_mm < low - 1e-6) or (
        high is not None and fit.stand_mm > high + 1e-6
    ):
        return "outside"
    if faults:
        return "close"
    return "plain" if low is None and high is None else "inside"


def _fit_rows(
    given: Given, *, fit: RingFit, stack: Stack, shares: RingShares, limits: Limits
) -> list[Row]:
    show = given.show
    loose = any(given.maybe(name) for name in ("tol_wire", "tol_depth", "tol_width"))

    def ends(worst: tuple[float, float], rss: tuple[float, float]) -> str:
        return (
            f"{span(worst, show)} at worst, {span(rss, show)} by root-sum-square" if loose else ""
        )

    rows = [
        Row(
            label="Press",
            value=cut(fit.press_mm, show),
            note=ends(stack.press_worst_mm, stack.press_rss_mm),
        ),
        Row(
            label="Stand",
            value=cut(fit.stand_mm, show),
            note=ends(stack.stand_worst_mm, stack.stand_rss_mm),
        ),
        Row(
            label="if the pressed metal all flows up",
            value=cut(fit.stand_upper_mm, show),
            inset=True,
        ),
        Row(label="Groove filled", value=f"{100.0 * fit.fill_ratio:.0f} %"),
    ]
    if loose and limits != (None, None):
        rows.append(
            Row(
                label="Rings inside",
                value=f"{100.0 * shares.within_probability:.1f} %",
                note=f"{100.0 * shares.sure_probability:.1f} % if the pressed metal all flows up",
            )
        )
    return rows


def _wire_rows(given: Given, *, groove: Groove) -> list[Row]:
    show = given.show
    gap = given.maybe("gap") or 0.0
    finished = ring_length_mm(groove.diameter_mm, gap_mm=gap)
    long = cut_length_mm(groove.diameter_mm, gap_mm=gap, filing_mm=given.maybe("filing") or 0.0)
    rows = []
    if given.word("way") == "design":
        rows += [
            Row(label="Groove depth", value=size(groove.depth_mm, show)),
            Row(label="Groove width", value=size(groove.width_mm, show)),
        ]
    rows.append(
        Row(
            label="Cut the wire to",
            value=size(long, show),
            note=f"{size(finished, show)} once filed",
        )
    )
    thickness = given.maybe("thickness")
    if thickness is not None:
        left = deck_left_mm(thickness_mm=thickness, depth_mm=groove.depth_mm)
        rows.append(Row(label="Deck left under the groove", value=size(left, show)))
    return rows


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    ring, limit = head.sheet.ring, head.sheet.limit_for(Quantity.RING_STAND)
    found: dict[str, Usual | None] = {}
    if limit is not None:
        found |= {"low": limit.low, "high": limit.high}
    if ring is None:
        return found
    return found | {
        "wire": ring.wire_mm,
        "depth": ring.groove_depth_mm,
        "width": ring.groove_width_mm,
        "diameter": ring.groove_diameter_mm,
        "tol_wire": ring.tol_wire_mm or None,
        "tol_depth": ring.tol_depth_mm or None,
        "tol_width": ring.tol_width_mm or None,
    }


def _tolerance(name: str, label: str) -> Field:
    return Field(name=name, label=label, suffix="mm", most=1.0, from_least=True, optional=True)


RING = Sum(
    name="ring",
    title="Ring in its groove",
    group="Ring",
    says="Press, stand and spread of a sealing wire, the length to cut; or the groove to cut.",
    parts=(
        Part(
            title="Wire and groove",
            fields=(
                Field(
                    name="way",
                    label="Work out",
                    choices=(("groove", "the ring"), ("design", "the groove")),
                ),
                Field(name="wire", label="Wire", suffix="mm", most=6.0),
                Field(name="depth", label="Groove depth", suffix="mm", most=6.0, when=("groove",)),
                Field(name="width", label="Groove width", suffix="mm", most=6.0, when=("groove",)),
                Field(
                    name="press",
                    label="Press wanted",
                    suffix="mm",
                    most=2.0,
                    from_least=True,
                    when=("design",),
                ),
                Field(
                    name="diameter",
                    label="Groove diameter",
                    suffix="mm",
                    most=400.0,
                    hint="Of its centreline.",
                ),
            ),
        ),
        Part(
            title="Stand asked for",
            fields=(
                Field(
                    name="low",
                    label="Least stand",
                    suffix="mm",
                    most=3.0,
                    from_least=True,
                    optional=True,
                ),
                Field(name="high", label="Most stand", suffix="mm", most=3.0, optional=True),
            ),
        ),
        Part(
            title="Tolerances, either way",
            across=3,
            fields=(
                _tolerance("tol_wire", "Wire"),
                _tolerance("tol_depth", "Depth"),
                _tolerance("tol_width", "Width"),
            ),
        ),
        Part(
            title="Ends and deck",
            folded=True,
            fields=(
                Field(
                    name="gap",
                    label="Gap between the ends",
                    suffix="mm",
                    most=10.0,
                    from_least=True,
                    optional=True,
                    usual=0.0,
                ),
                Field(
                    name="filing",
                    label="Filed off both",
                    suffix="mm",
                    most=10.0,
                    from_least=True,
                    optional=True,
                    usual=("0.020", "0.5"),
                ),
                Field(
                    name="thickness", label="Deck thickness", suffix="mm", most=100.0, optional=True
                ),
            ),
        ),
    ),
    work=_work,
    example={
        "wire": ("0.0470", "1.2"),
        "depth": ("0.0380", "0.97"),
        "width": ("0.0440", "1.11"),
        "diameter": ("4.6460", "118"),
        "low": ("0.0080", "0.2"),
        "high": ("0.0100", "0.26"),
        "tol_wire": ("0.0005", "0.01"),
        "tol_depth": ("0.0005", "0.01"),
        "tol_width": ("0.0005", "0.01"),
    },
    prefill=_prefill,
    practices=PRACTICES,
    cautions=(CUTTING,),
    steps=("plan", "machine", "ring"),
    operations=(
        OperationKind.RING_GROOVE,
        OperationKind.RING,
    ),
    measured=(Quantity.RING_STAND,),
)
