"""``castworthy trace``: surface traces evaluated, and what made the surface."""

import json
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

import click
import numpy as np
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.table import Table
from rich.text import Text

from castworthy.calc.outcome import Refused
from castworthy.calc.texture.evaluate import evaluate
from castworthy.calc.texture.profile import (
    Edition,
    Ends,
    MaterialRatio,
    Profile,
    Spectrum,
    Texture,
)
from castworthy.cli.answers import refused_answer
from castworthy.cli.measured import Found, found_in, read_measured
from castworthy.cli.outcome import BAD_INPUT, REFUSED, InputRefusedError
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.traces import read_traces
from castworthy.units import Show

_MANY = 8
_SHOWN = 5
_NONE = np.empty(0)
_ROWS = (
    ("Ra", "ra_um", "um"),
    ("Rq", "rq_um", "um"),
    ("Rz", "rz_um", "um"),
    ("Rt", "rt_um", "um"),
    ("Rp", "rp_um", "um"),
    ("Rv", "rv_um", "um"),
    ("Rsk", "rsk", ""),
    ("Rku", "rku", ""),
    ("RSm", "rsm_mm", "mm"),
    ("Rdq", "rdq", ""),
    ("Rk", "rk_um", "um"),
    ("Rpk", "rpk_um", "um"),
    ("Rvk", "rvk_um", "um"),
    ("Mr1", "mr1_ratio", "ratio"),
    ("Mr2", "mr2_ratio", "ratio"),
    ("Wa", "wa_um", "um"),
    ("Wt", "wt_um", "um"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Setting:
    """How every trace is evaluated."""

    edition: Edition
    cutoff_mm: float | None
    short_um: float | None
    ends: Ends
    feed_set_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Evaluated:
    """One profile of a file with what was found in it, its curves left away."""

    name: str
    notes: tuple[str, ...]
    texture: Texture | Refused


@dataclass(slots=True, kw_only=True)
class _Answers:
    """What came of all files: answers, sentences on bad files, files that are no traces."""

    evaluated: list[_Evaluated] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    left_out: dict[Path, list[str]] = field(default_factory=dict)


@click.command("trace")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--cutoff",
    "cutoff_mm",
    type=Typed("mm", least=0.001),
    help="Cut-off, as 0.8mm; else by the standard's tables.",
)
@click.option(
    "--short",
    "short_um",
    type=Typed("um", least=0.001),
    help="Short cut-off, as 2.5um; else none.",
)
@click.option(
    "--edition",
    type=click.Choice([edition.value for edition in Edition]),
    default=Edition.ISO_21920_2021.value,
    show_default=True,
    help="2021: ISO 21920-2; 1997: ISO 4287.",
)
@click.option(
    "--ends",
    type=click.Choice([ends.value for ends in Ends]),
    default=Ends.DROPPED.value,
    show_default=True,
    help="What happens where half a filter window is missing.",
)
@click.option(
    "--feed",
    "feed_set_mm",
    type=Typed("mm", least=0.0001),
    help="Feed a turn the machine was set to, as 0.11mm.",
)
@answer_options(units="mm", says="Units to show: µm with mm, µin with in or thou.")
def trace_command(
    *,
    files: tuple[Path, ...],
    cutoff_mm: float | None,
    short_um: float | None,
    edition: str,
    ends: str,
    feed_set_mm: float | None,
    as_json: bool,
    show: str,
) -> None:
    """Evaluate surface traces: roughness, waviness, material ratio, and what made the surface.

    FILES are X3P, SDF or CSV (x_mm,z_um) traces, or folders of them: in a folder every file
    that is a trace by its content is read. A surface gives profiles across the lay.
    """
    setting = _Setting(
        edition=Edition(edition),
        cutoff_mm=cutoff_mm,
        short_um=short_um,
        ends=Ends(ends),
        feed_set_mm=feed_set_mm,
    )
    answers = _answers(list(found_in(files)), setting=setting)
    _tell(answers.evaluated, as_json=as_json, show=Show(length=show))
    _leave(answers, files=files)


def _answers(found: list[Found], *, setting: _Setting) -> _Answers:
    answers = _Answers()
    with _progress(len(found)) as tick:
        for each in found:
            try:
                answers.evaluated += _evaluate(each.path, setting=setting)
            except InstrumentError as fault:
                if each.folder is not None and fault.foreign:
                    answers.left_out.setdefault(each.folder, []).append(each.path.name)
                else:
                    answers.faults.append(str(fault))
            except InputRefusedError as fault:
                answers.faults.append(str(fault))
            tick()
    return answers


def _evaluate(path: Path, *, setting: _Setting) -> list[_Evaluated]:
    read = read_traces(read_measured(path), file=str(path))
    return [
        _Evaluated(
            name=profile.name or str(path),
            notes=read.notes,
            texture=_without_curves(_texture(profile, setting=setting)),
        )
        for profile in read.profiles
    ]


def _texture(profile: Profile, *, setting: _Setting) -> Texture | Refused:
    return evaluate(
        profile,
        edition=setting.edition,
        cutoff_mm=setting.cutoff_mm,
        short_um=setting.short_um,
        ends=setting.ends,
        feed_set_mm=setting.feed_set_mm,
    )


def _without_curves(texture: Texture | Refused) -> Texture | Refused:
    """The figures alone: a thousand traces are held at once."""
    if isinstance(texture, Refused):
        return texture
    return replace(
        texture,
        primary_um=_NONE,
        roughness_um=_NONE,
        waviness_um=_NONE,
        material=MaterialRatio(height_um=_NONE, ratio=_NONE),
        spectrum=Spectrum(wavelength_mm=_NONE, share_ratio=_NONE),
    )


def trace_answer(texture: Texture) -> dict[str, Any]:
    """The JSON of one evaluated trace."""
    answer = {key: getattr(texture, key) for _, key, _ in _ROWS}
    made_by = asdict(texture.made_by)
    return {
        **answer,
        "rmr_ratio": texture.rmr_ratio,
        "rmr_depth_um": texture.rmr_depth_um,
        "u_ra_um": texture.u_ra_um,
        "u_rz_um": texture.u_rz_um,
        "section_ra_um": list(texture.section_ra_um),
        "section_rz_um": list(texture.section_rz_um),
        "edition": texture.edition.value,
        "ends": texture.ends.value,
        "cutoff_mm": texture.cutoff_mm,
        "cutoff_from": texture.cutoff_from,
        "short_um": texture.short_um,
        "evaluation_length_mm": texture.evaluation_length_mm,
        "sections_count": texture.sections_count,
        "made_by": {**made_by, "kind": str(made_by["kind"])},
        "warnings": list(texture.warnings),
    }


def _tell(found: list[_Evaluated], *, as_json: bool, show: Show) -> None:
    if as_json and found:
        answers = [_json(each) for each in found]
        told = answers[0] if len(answers) == 1 else answers
        click.echo(json.dumps(told, indent=2, ensure_ascii=False))
    elif not as_json:
        for each in found:
            if isinstance(each.texture, Texture):
                _print(each, texture=each.texture, show=show)


def _json(each: _Evaluated) -> dict[str, Any]:
    named = {"file": each.name, "notes": list(each.notes)}
    if isinstance(each.texture, Refused):
        return {**named, **refused_answer(each.texture)}
    return {**named, **trace_answer(each.texture)}


def _print(each: _Evaluated, *, texture: Texture, show: Show) -> None:
    out = page()
    out.print(Text(each.name, style="bold"))
    sections = f"{texture.sections_count} section{'' if texture.sections_count == 1 else 's'}"
    standard = "ISO 21920-2:2021" if texture.edition is Edition.ISO_21920_2021 else "ISO 4287:1997"
    out.print(
        Text(
            f"{standard}, cut-off {texture.cutoff_mm:g} mm ({texture.cutoff_from}), {sections}, "
            f"ends {texture.ends.value}",
            style="dim",
        )
    )
    out.print(_table(texture, show=show))
    out.print(Text(texture.made_by.sentence, style="bold"))
    bullets(out, "Mind", texture.warnings)
    bullets(out, "Note", each.notes)
    out.print()


def _table(texture: Texture, *, show: Show) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 3, 0, 0))
    for _ in range(3):
        table.add_column()
        table.add_column(justify="right")
    cells = [(name, _figure(texture, key, suffix, show=show)) for name, key, suffix in _ROWS]
    for start in range(0, len(cells), 3):
        table.add_row(*(text for cell in cells[start : start + 3] for text in cell))
    return table


def _figure(texture: Texture, key: str, suffix: str, *, show: Show) -> str:
    value = getattr(texture, key)
    if value is None:
        return "none"
    if suffix == "um":
        digits = 3 if show.metric else 1
        said = show.value(value, suffix="um", digits=digits)
        if key != "ra_um":
            return said
        return f"{said} ± {show.number(2 * texture.u_ra_um, suffix='um', digits=digits)}"
    if suffix == "mm":
        return show.value(value, suffix="mm")
    return f"{100 * value:.1f} %" if suffix == "ratio" else f"{value:.3f}"


def _progress(count: int) -> AbstractContextManager[Callable[[], None]]:
    """A bar on the error side where many files are read by a person."""
    console = Console(stderr=True)
    if count < _MANY or not console.is_terminal:
        return nullcontext(lambda: None)
    return _Bar(count, console=console)


class _Bar:
    """A progress bar whose context gives the tick."""

    def __init__(self, count: int, *, console: Console) -> None:
        self._progress = Progress(
            TextColumn("Reading traces"), BarColumn(), MofNCompleteColumn(), console=console
        )
        self._task = self._progress.add_task("", total=count)

    def __enter__(self) -> Callable[[], None]:
        self._progress.start()
        return lambda: self._progress.advance(self._task)

    def __exit__(self, *_: object) -> None:
        self._progress.stop()


def _leave(answers: _Answers, *, files: tuple[Path, ...]) -> None:
    """Bad files first, then traces that cannot be judged; nothing when all went well."""
    for folder, names in answers.left_out.items():
        said = (
            "1 file is no trace and was"
            if len(names) == 1
            else f"{len(names)} files are no traces and were"
        )
        shown = ", ".join(names[:_SHOWN]) + (" ..." if len(names) > _SHOWN else "")
        click.echo(f"{folder}: {said} left out: {shown}.", err=True)
    if answers.faults:
        raise InputRefusedError("\n".join(answers.faults), code=BAD_INPUT)
    if not answers.evaluated:
        raise InputRefusedError(
            f"{', '.join(map(str, files))}: there is no trace file in here; X3P, SDF and CSV "
            "files are looked for."
        )
    refused = [
        f"{each.name}: {each.texture.sentence}"
        for each in answers.evaluated
        if isinstance(each.texture, Refused)
    ]
    if refused:
        raise InputRefusedError("\n".join(refused), code=REFUSED)
