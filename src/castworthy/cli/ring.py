"""``castworthy ring``: a sealing ring in its groove, its lands, its joint and its drawing."""

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import click
import numpy as np
from rich.table import Table
from rich.text import Text

from castworthy.calc.head import HeadSheet, Limit, WorkRules
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.sealing.groove import (
    FILING_MM,
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
from castworthy.calc.sealing.joint import Joint, joint_of, joint_sentence
from castworthy.calc.sealing.lands import Land, RingLands, deck_left_mm, land_sentence, lands_of
from castworthy.calc.sealing.tolerances import (
    RingShares,
    Spread,
    Stack,
    Tolerances,
    draw_rings,
    stack_of,
)
from castworthy.calc.sealing.wire import PRACTICES, Ring, WireList, rings_of, wire_list
from castworthy.cli.answers import refused_answer
from castworthy.cli.files import read_text
from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.cli.page import bullets, page
from castworthy.cli.ring_read import (
    Ends,
    ReadRing,
    print_read,
    read_answer,
    read_ring,
    ring_read_options,
    stand_cautions,
)
from castworthy.cli.typed import Typed, answer_options
from castworthy.sheets.spec import read_sheet, sheet_unit
from castworthy.units import Show, UnitError, read_value

RINGS_COUNT = 1_000_000
SEED = 20_261
"""Where the draws start, so that the same question has the same answer."""

_FILE = click.Path(path_type=Path, dir_okay=False)
_LENGTH = Typed("mm", least=0.0)

Span = tuple[float, float]
Answer = dict[str, Any]


class Between(click.ParamType):
    """Two lengths with their units and two dots between them: ``0.20mm..0.25mm``."""

    name = "LOW..HIGH"

    def convert(
        self, value: str | Span, param: click.Parameter | None, ctx: click.Context | None
    ) -> Span:
        """Both ends [mm]."""
        if isinstance(value, tuple):
            return value
        ends = value.split("..")
        if len(ends) != 2:
            self.fail(f"{value!r} is no range; write it as 0.20mm..0.25mm.", param, ctx)
        try:
            low, high = (read_value(end, suffix="mm").value for end in ends)
        except UnitError as fault:
            self.fail(str(fault), param, ctx)
        if low > high:
            self.fail(f"{value!r} starts above its end; write the low stand first.", param, ctx)
        return low, high


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The rings on a head: wire, lands and joints of every cylinder."""

    sheet: HeadSheet
    rings: tuple[Ring, ...]
    wire: WireList
    lands: tuple[RingLands, ...]
    joints: tuple[Joint | Refused, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """All that is known of a ring."""

    groove: Groove
    design: GrooveDesign | None
    fit: RingFit
    stack: Stack
    shares: RingShares
    stand_mm: Ends | None
    lengths_mm: Span
    deck_left_mm: float | None
    placed: Placed | None
    read: ReadRing


def _length(name: str, help_: str, **more: Any) -> Callable[[Callable[..., None]], Any]:
    field = f"{name.removeprefix('--').replace('-', '_')}_mm"
    return click.option(name, field, type=_LENGTH, help=help_, **more)


@click.command("ring")
@_length("--wire", "Diameter of the wire, as 0.045in.", required=True)
@_length("--depth", "Depth of the groove; left out with --width, both are worked out.")
@_length("--width", "Width of the groove.")
@_length("--diameter", "Diameter of the groove's centreline.", required=True)
@_length("--press", "Press wanted, to work the groove out: needs --stand.")
@_length("--tol-wire", "Tolerance of the wire, either way.", default="0mm", show_default=True)
@_length("--tol-depth", "Tolerance of the depth, either way.", default="0mm", show_default=True)
@_length("--tol-width", "Tolerance of the width, either way.", default="0mm", show_default=True)
@click.option(
    "--spread",
    type=click.Choice([each.value for each in Spread]),
    default=Spread.NORMAL.value,
    show_default=True,
    help="How sizes lie within their tolerance.",
)
@click.option(
    "--stand",
    "stand_mm",
    type=Between(),
    help="Stand allowed, as 0.20mm..0.25mm; else the sheet's own.",
)
@_length("--gap", "Gap left between the ends.", default="0mm", show_default=True)
@_length("--filing", "Wire filed off both ends.", default=f"{FILING_MM}mm", show_default=True)
@click.option("--sheet", type=_FILE, help="Spec sheet (TOML): lands and joints on its deck.")
@_length("--insert-wall", "How far a seat insert reaches past its valve.", default="0mm")
@_length("--fire-ring", "Diameter of the gasket's own fire ring.")
@_length("--thickness", "Thickness of the deck at the groove.")
@ring_read_options
@click.option("--dxf", type=_FILE, help="Write a drawing of deck, grooves and joints here.")
@answer_options(units=None, says="Units to show; else the sheet's own, else thou.")
def ring_command(*, sheet: Path | None, dxf: Path | None, as_json: bool, **asked: Any) -> None:
    """Work out a sealing ring: press, stand, tolerances, lands, joint and wire.

    A sheet gives the deck; a drawing (--dxf) needs it.
    """
    if dxf is not None and sheet is None:
        raise InputRefusedError("A drawing needs the deck: name its spec sheet with --sheet.")
    text = "" if sheet is None else read_text(sheet)
    head = read_sheet(text, file=str(sheet)) if sheet else None
    unit = "mm" if head and sheet_unit(text) == "mm" else "thou"
    show = Show(length=asked["show"] or unit)
    found = _work_out(asked, head=head)
    if isinstance(found, Refused):
        if as_json:
            _write_json(refused_answer(found))
        raise InputRefusedError(found.sentence, code=REFUSED)
    if dxf is not None and found.placed is not None:
        _draw(found, placed=found.placed, file=dxf, show=show)
    if as_json:
        _write_json(_answer(found, show=show))
    else:
        _print(found, show=show)


def _work_out(asked: dict[str, Any], *, head: HeadSheet | None) -> Found | Refused:
    limit = _limit_of(asked["stand_mm"], head=head)
    stand = None if limit is None else (limit.low, limit.high)
    design = _design(asked, stand=stand)
    if isinstance(design, Refused):
        return design
    groove = Groove(
        wire_mm=asked["wire_mm"],
        depth_mm=design.depth_mm if design else asked["depth_mm"],
        width_mm=design.width_mm if design else asked["width_mm"],
        diameter_mm=asked["diameter_mm"],
    )
    limits = {} if stand is None else {"stand_low_mm": stand[0], "stand_high_mm": stand[1]}
    tolerances = Tolerances(
        wire_mm=asked["tol_wire_mm"],
        depth_mm=asked["tol_depth_mm"],
        width_mm=asked["tol_width_mm"],
    )
    read = read_ring(groove, asked=asked, limit=limit, work=head.work if head else WorkRules())
    if isinstance(read, Refused):
        return read
    thickness, ends = asked["thickness_mm"], {"gap_mm": asked["gap_mm"]}
    return Found(
        groove=groove,
        design=design,
        fit=fit_of(groove),
        stack=stack_of(groove, tolerances=tolerances, **limits),
        shares=draw_rings(
            groove,
            tolerances=tolerances,
            rng=np.random.default_rng(SEED),
            rings_count=RINGS_COUNT,
            spread=Spread(asked["spread"]),
            **limits,
        ),
        stand_mm=stand,
        lengths_mm=(
            ring_length_mm(groove.diameter_mm, **ends),
            cut_length_mm(groove.diameter_mm, filing_mm=asked["filing_mm"], **ends),
        ),
        deck_left_mm=None
        if thickness is None
        else deck_left_mm(thickness_mm=thickness, depth_mm=groove.depth_mm),
        placed=None if head is None else _placed(head, groove=groove, asked=asked),
        read=read,
    )


def _limit_of(stand_mm: Span | None, *, head: HeadSheet | None) -> Limit | None:
    """The stand that is asked for, or that a sheet allows."""
    if stand_mm is not None:
        return Limit(quantity=Quantity.RING_STAND, low=stand_mm[0], high=stand_mm[1])
    return None if head is None else head.limit_for(Quantity.RING_STAND)


def _design(asked: dict[str, Any], *, stand: Ends | None) -> GrooveDesign | Refused | None:
    """The groove for a wanted press and stand, where depth and width are not given."""
    given = [asked[name] is not None for name in ("depth_mm", "width_mm")]
    if all(given):
        return None
    low, high = stand or (None, None)
    if any(given) or asked["press_mm"] is None or low is None or high is None:
        raise InputRefusedError(
            "Give the groove's --depth and --width, or leave both out and give the --press and "
            "--stand wanted."
        )
    return groove_for(
        Wanted(
            wire_mm=asked["wire_mm"],
            stand_low_mm=low,
            stand_high_mm=high,
            press_mm=asked["press_mm"],
            tol_wire_mm=asked["tol_wire_mm"],
        )
    )


def _placed(head: HeadSheet, *, groove: Groove, asked: dict[str, Any]) -> Placed:
    rings = rings_of(head, diameter_mm=groove.diameter_mm, width_mm=groove.width_mm)
    lands = lands_of(
        head,
        rings=rings,
        insert_wall_mm=asked["insert_wall_mm"],
        fire_ring_diameter_mm=asked["fire_ring_mm"],
    )
    return Placed(
        sheet=head,
        rings=rings,
        wire=wire_list(rings, gap_mm=asked["gap_mm"], filing_mm=asked["filing_mm"]),
        lands=lands,
        joints=tuple(
            joint_of(ring, sheet=head, lands=own) for ring, own in zip(rings, lands, strict=True)
        ),
    )


def _draw(found: Found, *, placed: Placed, file: Path, show: Show) -> None:
    from castworthy.reports.drawing import DeckDrawing, deck_dxf

    groove = found.groove
    wire, depth, width, round_ = (
        show.value(size, suffix="mm")
        for size in (groove.wire_mm, groove.depth_mm, groove.width_mm, groove.diameter_mm)
    )
    written = deck_dxf(
        DeckDrawing(
            sheet=placed.sheet,
            rings=placed.rings,
            joints=tuple(each for each in placed.joints if isinstance(each, Joint)),
            notes=(f"Wire {wire}; groove {depth} deep, {width} wide, centreline {round_} across.",),
            metric=show.metric,
        )
    )
    try:
        file.write_bytes(written)
    except OSError as fault:
        raise InputRefusedError(
            f"{file}: the drawing cannot be written "
            f"({(fault.strerror or 'no reason given').lower()})."
        ) from fault


def _cautions(found: Found, *, show: Show) -> list[str]:
    said = list(fit_cautions(found.groove, show=show))
    if found.stand_mm is not None:
        said += stand_cautions(found.fit, stand_mm=found.stand_mm, show=show)
    if found.deck_left_mm is not None and found.deck_left_mm <= 0.0:
        said.append("The groove breaks through the deck.")
    return said


def _write_json(answer: Answer) -> None:
    click.echo(json.dumps(answer, indent=2, ensure_ascii=False))


def _answer(found: Found, *, show: Show) -> Answer:
    judged = found.stand_mm is not None
    stack = {key: span for key, span in asdict(found.stack).items() if key.endswith("_mm")}
    answer: Answer = {
        **asdict(found.groove),
        **asdict(found.fit),
        "ring_length_mm": found.lengths_mm[0],
        "cut_length_mm": found.lengths_mm[1],
        **stack,
        "stand_allowed_mm": found.stand_mm,
        "within_probability": found.shares.within_probability if judged else None,
        "sure_probability": found.shares.sure_probability if judged else None,
        "held_probability": found.shares.held_probability,
        "rings_count": found.shares.rings_count,
        "deck_left_mm": found.deck_left_mm,
        "design": None
        if found.design is None
        else asdict(found.design) | {"sentence": design_sentence(found.design, show=show)},
        **read_answer(found.read, show=show),
        "cautions": _cautions(found, show=show),
    }
    return answer if found.placed is None else answer | _placed_answer(found.placed, show=show)


def _placed_answer(placed: Placed, *, show: Show) -> Answer:
    return {
        "sheet": placed.sheet.code,
        "wire_list": asdict(placed.wire) | {"rings_count": placed.wire.rings_count},
        "lands": [
            {
                "cylinder": each.cylinder,
                "smallest": _land(each.smallest),
                "fire_ring_mm": each.fire_ring_mm,
                "lands": [_land(land) for land in each.lands],
                "sentence": land_sentence(each, show=show),
            }
            for each in placed.lands
        ],
        "joints": [
            _joint(joint, cylinder=ring.cylinder, show=show)
            for ring, joint in zip(placed.rings, placed.joints, strict=True)
        ],
    }


def _land(land: Land) -> Answer:
    return {**asdict(land), "to": land.to.value, "called": land.called}


def _joint(joint: Joint | Refused, *, cylinder: str, show: Show) -> Answer:
    if isinstance(joint, Refused):
        return {"cylinder": cylinder} | refused_answer(joint)
    answer = asdict(joint)
    del answer["narrow"]
    return answer | {
        "clock": joint.clock,
        "narrow": [_land(land) for land in joint.narrow],
        "sentence": joint_sentence(joint, show=show),
    }


def _print(found: Found, *, show: Show) -> None:
    out = page()
    fit = found.fit
    press, stand = (_fine(size, show) for size in (fit.press_mm, fit.stand_mm))
    out.print(Text(f"Press {press}, stand {stand}.", style="bold"))
    if found.design is not None:
        out.print(Text(design_sentence(found.design, show=show)))
    out.print()
    out.print(_table(found, show=show))
    placed = found.placed
    if placed is not None:
        total = show.value(placed.wire.total_mm, suffix="mm")
        out.print(Text(f"Wire for {placed.wire.rings_count} rings with cuts: {total}"))
        bullets(out, "Lands", [land_sentence(each, show=show) for each in placed.lands])
        bullets(
            out,
            "Joints",
            [
                each.sentence if isinstance(each, Refused) else joint_sentence(each, show=show)
                for each in placed.joints
            ],
        )
    print_read(out, found.read, show=show)
    bullets(out, "Mind", _cautions(found, show=show))
    bullets(out, "As the trade does it", PRACTICES)


def _table(found: Found, *, show: Show) -> Table:
    fit, stack, shares = found.fit, found.stack, found.shares
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    for name, size, worst, rss in (
        ("Press", fit.press_mm, stack.press_worst_mm, stack.press_rss_mm),
        ("Stand", fit.stand_mm, stack.stand_worst_mm, stack.stand_rss_mm),
    ):
        spans = f"{_span(worst, show)} at worst, {_span(rss, show)} by root-sum-square"
        table.add_row(name, _fine(size, show), spans)
    upper = f"{_span(stack.stand_upper_worst_mm, show)} at worst"
    table.add_row("Stand, metal all upward", _fine(fit.stand_upper_mm, show), upper)
    table.add_row("Groove filled", f"{100.0 * fit.fill_ratio:.1f} %")
    if found.stand_mm is not None:
        sure = f"{100.0 * shares.sure_probability:.2f} % if the pressed metal all flows up"
        table.add_row("Rings inside", f"{100.0 * shares.within_probability:.2f} %", sure)
    finished, cut = (show.value(length, suffix="mm") for length in found.lengths_mm)
    table.add_row("Cut the wire to", cut, f"finished {finished}")
    if found.deck_left_mm is not None:
        table.add_row("Deck under the groove", show.value(found.deck_left_mm, suffix="mm"))
    return table


def _fine(size_mm: float, show: Show) -> str:
    return show.value(size_mm, suffix="mm", difference=True)


def _span(span: Span, show: Show) -> str:
    low, high = span
    return f"{show.number(low, suffix='mm', difference=True)} to {_fine(high, show)}"
