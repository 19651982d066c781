"""What charts of one quantity against another share: the frame, its axes, words on its lines."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import floor, log10

from castworthy.charts.scale import Scale, factor_of, ticks
from castworthy.charts.svg import camel, clean, element, number, path, text
from castworthy.charts.theme import INKS, Ink, Theme
from castworthy.units.show import Show

TOP, BOTTOM = 24.0, 40.0
SIZE = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where the two quantities stand; ``foot`` is the level of the lower axis."""

    along: Scale
    up: Scale
    foot: float

    def x(self, value: float) -> float:
        """How far along a value stands."""
        return self.along.at(value)

    def y(self, value: float) -> float:
        """How far down the page a value stands."""
        return self.foot - self.up.at(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One axis: its quantity's suffix, the ticks' least distance [px], what stands at its end.

    ``label`` tells a tick, with as many decimals as tell two apart where there is none;
    ``usual_digits`` are those where it has a single tick.
    """

    suffix: str
    closest_px: float
    end: str
    label: Callable[[float], str] | None = None
    usual_digits: int = 1

    def told(self, values: Sequence[float], *, show: Show) -> list[str]:
        """The words of the ticks."""
        if self.label is not None:
            return [self.label(value) for value in values]
        digits = self._digits(values, show=show)
        return [show.number(value, suffix=self.suffix, digits=digits) for value in values]

    def _digits(self, values: Sequence[float], *, show: Show) -> int:
        if len(values) < 2:
            return self.usual_digits
        step = (values[1] - values[0]) / float(factor_of(self.suffix, show=show))
        return max(0, -floor(log10(step) + 1e-9))


def canvas(
    *parts: str, about: str, hook: str, width_px: float, height_px: float, theme: Theme
) -> str:
    """The whole drawing, named ``about`` for who cannot see it."""
    return camel(
        "svg",
        element("title", clean(about)),
        *parts,
        view_box=f"0 0 {number(width_px)} {number(height_px)}",
        xmlns="http://www.w3.org/2000/svg",
        class_=hook,
        width=width_px,
        height=height_px if theme is Theme.PRINT else None,
        role="img",
        aria_label=about,
        font_family=INKS[theme].font,
        focusable="false",
    )


def axes(frame: Frame, *, up: Axis, along: Axis, show: Show, ink: Ink) -> str:
    """Levels across the drawing, ticks below it, and the words of both."""
    left, right = frame.along.left, frame.along.right
    lines, words = [], []
    levels = [v for v, _ in ticks(frame.up, suffix=up.suffix, show=show, closest=up.closest_px)]
    for value, said in zip(levels, up.told(levels, show=show), strict=True):
        y = frame.y(value)
        lines.append(path((left, y), (right, y)))
        words.append(word(said, x=left - 7.0, y=y + 4.0, ink=ink, anchor="end"))
    steps = [
        v for v, _ in ticks(frame.along, suffix=along.suffix, show=show, closest=along.closest_px)
    ]
    for value, said in zip(steps, along.told(steps, show=show), strict=True):
        x = frame.x(value)
        lines.append(path((x, frame.foot), (x, frame.foot + 5.0)))
        words.append(word(said, x=x, y=frame.foot + 18.0, ink=ink))
    words.append(word(up.end, x=left - 7.0, y=13.0, ink=ink, anchor="end"))
    words.append(word(along.end, x=right, y=frame.foot + 34.0, ink=ink, anchor="end"))
    return element(
        "g",
        element("path", d="".join(lines), stroke=ink.rule, stroke_width=1.0, fill="none"),
        *words,
        class_="cw-axes",
    )


def word(words: str, *, x: float, y: float, ink: Ink, anchor: str = "middle") -> str:
    """Words of an axis or a key."""
    return text(words, x=x, y=y, size=SIZE, fill=ink.soft, anchor=anchor)


def level(frame: Frame, *, y: float) -> str:
    """The path of a level line across the drawing."""
    return path((frame.along.left, y), (frame.along.right, y))


def beside(words: str, *, y: float, frame: Frame, ink: Ink) -> str:
    """Words on a level line, at its left end, on the ground of the card."""
    return text(
        words,
        x=frame.along.left + 6.0,
        y=min(y, frame.foot - 3.0),
        size=SIZE,
        fill=ink.soft,
        anchor="start",
        stroke=ink.card,
        stroke_width=3.0,
        stroke_linejoin="round",
        paint_order="stroke",
    )


def whisker(*, x: float, up: float, down: float, ink: Ink) -> str:
    """The spread of an uncertain value."""
    line = path((x, up), (x, down)) + path((x - 5.0, up), (x + 5.0, up))
    line += path((x - 5.0, down), (x + 5.0, down))
    return element("path", d=line, stroke=ink.ink, stroke_width=1.6, class_="cw-whisker")


def bold(said: str, *, x: float, y: float, ink: Ink) -> str:
    """The figure a chart is about, bold on the ground of the card."""
    return text(
        said,
        x=x,
        y=y,
        size=SIZE + 1.0,
        fill=ink.ink,
        weight="700",
        stroke=ink.card,
        stroke_width=3.0,
        stroke_linejoin="round",
        paint_order="stroke",
    )
