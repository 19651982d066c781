"""Sections along and across a deck: the face as it is, and the plane a cut leaves."""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from castworthy.charts.finish import Chart, chart_data, converted, finished
from castworthy.charts.theme import Theme
from castworthy.units import Show

_HEIGHT = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionFigure:
    """Heights along a line [mm], and those of the plane that a cut leaves (empty: no cut)."""

    way_mm: Sequence[float]
    height_mm: Sequence[float]
    plane_mm: Sequence[float]
    words: str
    show: Show


def section_chart(figure: SectionFigure, *, theme: Theme = Theme.PAGE) -> Chart:
    """The face as a line, the plane left by a cut dashed below it."""
    show = figure.show
    along, up = show.unit("mm"), show.unit("mm", difference=True)
    way = converted(tuple(figure.way_mm), unit="mm", to=along)
    rows = [
        {"way": at, "face": face}
        for at, face in zip(way, converted(tuple(figure.height_mm), unit="mm", to=up), strict=True)
    ]
    x = alt.X("way:Q").title(f"{figure.words}, {along}").scale(nice=False, zero=False)
    face = (
        alt.Chart(chart_data(rows))
        .mark_line(color=alt.expr("blue"), strokeWidth=1.8)
        .encode(x=x, y=alt.Y("face:Q").title(f"height, {up}").scale(zero=False))
    )
    if not figure.plane_mm:
        return finished(face, theme=theme, height=_HEIGHT, says=f"Section {figure.words}")
    planes = [
        {"way": at, "plane": plane}
        for at, plane in zip(way, converted(tuple(figure.plane_mm), unit="mm", to=up), strict=True)
    ]
    plane = (
        alt.Chart(chart_data(planes))
        .mark_line(color=alt.expr("ochre"), strokeWidth=2, strokeDash=[6, 3])
        .encode(x=x, y="plane:Q")
    )
    return finished(
        alt.layer(face, plane),
        theme=theme,
        height=_HEIGHT,
        says=f"Section {figure.words} with the plane the cut leaves",
    )
