"""A surface trace in three charts: profile, material ratio, spectrum.  One drawing serves page
and paper; colours are parameters that a page fills from its own (light or dark) and paper in black.
"""

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import altair as alt
import vl_convert

from castworthy.calc.texture.drawn import Drawn
from castworthy.charts.theme import Theme
from castworthy.units import Show
from castworthy.units.factors import convert

Chart = dict[str, Any]

_COLOURS: dict[Theme, dict[str, str]] = {
    Theme.PAGE: {
        "ink": "#1C2430",
        "soft": "#5D6673",
        "rule": "#D8D3C5",
        "blue": "#1D4F91",
        "ochre": "#B57A12",
    },
    Theme.PRINT: {
        "ink": "#000000",
        "soft": "#4A4A4A",
        "rule": "#BDBDBD",
        "blue": "#000000",
        "ochre": "#000000",
    },
}
_FONT = "B612, DejaVu Sans, sans-serif"
_HEIGHT, _LOW_HEIGHT = 190, 170


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceFigure:
    """What the charts of one trace show: its curves, the pitch named, the reader's units."""

    drawn: Drawn
    pitch_mm: float | None
    show: Show

    @property
    def along(self) -> str:
        """Unit along the trace."""
        return self.show.unit("mm")

    @property
    def up(self) -> str:
        """Unit of heights."""
        return self.show.unit("um")

    def along_of(self, values_mm: tuple[float, ...]) -> list[float]:
        """Lengths in the reader's unit."""
        return converted(values_mm, unit="mm", to=self.along)

    def up_of(self, values_um: tuple[float, ...]) -> list[float]:
        """Heights in the reader's unit."""
        return converted(values_um, unit="µm", to=self.up)


def profile_chart(figure: TraceFigure, *, theme: Theme = Theme.PAGE) -> Chart:
    """The profile with its waviness line and the evaluation sections.

    On a page it is dragged and stretched along the trace.
    """
    drawn = figure.drawn
    x = figure.along_of(drawn.x_mm)
    rows = [
        {"x": at, "profile": profile, "waviness": waviness}
        for at, profile, waviness in zip(
            x, figure.up_of(drawn.primary_um), figure.up_of(drawn.waviness_um), strict=True
        )
    ]
    sections = [{"x": at} for at in figure.along_of(drawn.section_mm)]
    along = alt.X("x:Q").title(f"along the trace, {figure.along}").scale(nice=False, zero=False)
    base = alt.Chart(chart_data(rows)).encode(x=along)
    walls = (
        alt.Chart(chart_data(sections))
        .mark_rule(color=alt.expr("rule"), strokeWidth=1)
        .encode(x="x:Q")
    )
    profile = base.mark_line(color=alt.expr("blue"), strokeWidth=0.9).encode(
        y=alt.Y("profile:Q").title(f"height, {figure.up}").scale(zero=False)
    )
    waviness = base.mark_line(
        color=alt.expr("ochre"), strokeWidth=2.2, strokeDash=[6, 3], clip=True
    ).encode(y="waviness:Q")
    layered = alt.layer(walls, profile, waviness)
    if theme is Theme.PAGE:
        layered = layered.add_params(
            alt.selection_interval(bind="scales", encodings=["x"], name="stretch")
        )
    return finished(layered, theme=theme, height=_HEIGHT, says="Profile and waviness line")


def ratio_chart(figure: TraceFigure, *, theme: Theme = Theme.PAGE) -> Chart:
    """Height against the share of material at or above it."""
    rows = [
        {"share": 100.0 * share, "height": height}
        for share, height in zip(
            figure.drawn.material_ratio, figure.up_of(figure.drawn.material_um), strict=True
        )
    ]
    chart = (
        alt.Chart(chart_data(rows))
        .mark_line(color=alt.expr("blue"), strokeWidth=1.8)
        .encode(
            x=alt.X("share:Q").title("material, %").scale(domain=[0, 100], nice=False),
            y=alt.Y("height:Q").title(f"height, {figure.up}"),
            order="share:Q",
            tooltip=[
                alt.Tooltip("share:Q", format=".0f", title="material, %"),
                alt.Tooltip("height:Q", format=".3~g", title=f"height, {figure.up}"),
            ],
        )
    )
    return finished(chart, theme=theme, height=_LOW_HEIGHT, says="Material-ratio curve")


def spectrum_chart(figure: TraceFigure, *, theme: Theme = Theme.PAGE) -> Chart:
    """Share of the roughness by wavelength, with the pitch of the marks named."""
    drawn = figure.drawn
    rows = [
        {"wavelength": at, "share": 100.0 * share}
        for at, share in zip(figure.along_of(drawn.wavelength_mm), drawn.power_ratio, strict=True)
        if at > 0.0
    ]
    lines = (
        alt.Chart(chart_data(rows))
        .mark_line(color=alt.expr("blue"), strokeWidth=1.3)
        .encode(
            x=alt.X("wavelength:Q")
            .title(f"wavelength, {figure.along}")
            .scale(type="log", nice=False),
            y=alt.Y("share:Q").title("share of the roughness, %"),
            order="wavelength:Q",
        )
    )
    if figure.pitch_mm is None:
        return finished(lines, theme=theme, height=_LOW_HEIGHT, says="Spectrum, no pitch")
    (at,) = figure.along_of((figure.pitch_mm,))
    named = figure.show.value(figure.pitch_mm, suffix="mm")
    mark = alt.Chart(chart_data([{"wavelength": at, "words": f"marks every {named}"}]))
    rule = mark.mark_rule(color=alt.expr("ochre"), strokeDash=[4, 3]).encode(x="wavelength:Q")
    words = mark.mark_text(
        align="left", dx=5, dy=8, baseline="top", color=alt.expr("ink"), fontWeight="bold"
    ).encode(x="wavelength:Q", y=alt.value(0), text="words:N")
    layered = alt.layer(lines, rule, words)
    return finished(layered, theme=theme, height=_LOW_HEIGHT, says=f"Spectrum: marks every {named}")


def chart_svg(chart: Chart, *, width_px: int = 620, height_px: int = 150) -> str:
    """A chart as SVG for paper, drawn on this machine."""
    _fonts()
    return str(vl_convert.vegalite_to_svg({**chart, "width": width_px, "height": height_px}))


@cache
def _fonts() -> None:
    vl_convert.register_font_directory(str(files("castworthy.reports") / "fonts"))


def chart_data(rows: list[dict[str, Any]]) -> Any:
    """Rows as the data of a chart."""
    return alt.Data(values=rows)  # type: ignore[no-untyped-call]


def finished(chart: Any, *, theme: Theme, height: int, says: str) -> Chart:
    """A chart with the inks of its theme, as wide as its place."""
    colours = _COLOURS[theme]
    finished: Chart = (
        chart.properties(
            width="container", height=height, background="transparent", description=says
        )
        .add_params(*(alt.param(name=name, value=value) for name, value in colours.items()))
        .configure(font=_FONT)
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=alt.expr("soft"),
            titleColor=alt.expr("soft"),
            domainColor=alt.expr("soft"),
            tickColor=alt.expr("soft"),
            gridColor=alt.expr("rule"),
            gridOpacity=0.6,
            labelFontSize=12,
            titleFontSize=12,
            titleFontWeight="normal",
            tickCount=6,
        )
        .to_dict()
    )
    return finished


def converted(values: tuple[float, ...], *, unit: str, to: str) -> list[float]:
    """Values of one unit as numbers of another."""
    suffix = "um" if unit == "µm" else "mm"
    factor = convert(1.0, unit=unit, suffix=suffix) / convert(1.0, unit=to, suffix=suffix)
    return [float(f"{value * factor:.5g}") for value in values]
