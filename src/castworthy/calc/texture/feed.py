"""How to cut a finish: the feed for a wanted Ra, from the ideal cusp and the shop's own traces."""

from dataclasses import dataclass
from math import exp, log, sqrt

from scipy.special import stdtrit

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.texture.cusp import cusp, ideal_feed_mm

NOSES_MM = (0.4, 0.8, 1.2, 1.6, 6.35)
"""Insert radii a shop can buy for a fly cutter (common practice, no source)."""

FEWEST_TRACES_COUNT = 3
SAME_NOSE_RATIO = 0.01
SAME_FEED_RATIO = 0.01
COVERAGE_PROBABILITY = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedTrace:
    """One deck cut on this machine: the feed per revolution and the Ra it read."""

    feed_mm: float
    ra_um: float
    nose_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedOption:
    """The ideal feed for the wanted Ra with another insert radius."""

    nose_mm: float
    feed_mm: float
    ideal_rt_um: float
    table_mm_per_min: float | None
    pass_min: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedAdvice:
    """The feed to set, and how well it is known.

    ``interval_um`` is the 95 % prediction interval of the next deck's Ra at ``feed_mm``, only
    where the shop's own traces carry it; ``exponent`` is then the power of the feed that Ra
    follows (2 for the ideal cusp).  ``too_smooth`` says that the wanted Ra, or the low end
    of the interval, lies below the gasket's low limit.
    """

    feed_mm: float
    nose_mm: float
    ra_um: float
    ideal_feed_mm: float
    ideal_rt_um: float
    table_mm_per_min: float | None
    pass_min: float | None
    interval_um: tuple[float, float] | None
    exponent: float | None
    from_traces_count: int
    too_smooth: bool
    options: tuple[FeedOption, ...]
    sentence: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """Straight line through log Ra against log feed, by least squares."""

    a: float
    b: float
    s: float
    n: int
    middle: float
    spread: float

    def feed_mm(self, ra_um: float) -> float:
        return exp((log(ra_um) - self.a) / self.b)

    def interval_um(self, feed_mm: float) -> tuple[float, float]:
        x = log(feed_mm)
        t = float(stdtrit(self.n - 2, 0.5 + COVERAGE_PROBABILITY / 2.0))
        half = t * self.s * sqrt(1.0 + 1.0 / self.n + (x - self.middle) ** 2 / self.spread)
        centre = self.a + self.b * x
        return exp(centre - half), exp(min(centre + half, 700.0))


def feed_for(
    ra_um: float,
    *,
    nose_mm: float,
    turning_rpm: float | None = None,
    length_mm: float | None = None,
    traces: tuple[FeedTrace, ...] = (),
    low_ra_um: float | None = None,
) -> FeedAdvice | Refused:
    """Feed per revolution for a wanted Ra, single lowest insert.

    With at least three traces at more than one feed, cut with this insert radius, log Ra is
    regressed on log feed and the feed read off that line; otherwise the exact cusp gives it.

    Parameters
    ----------
    ra_um : float
        Ra wanted [um], > 0.
    nose_mm : float
        Radius of the insert [mm], > 0.
    turning_rpm : float or None
        Speed of the cutter [1/min]; gives the table speed.
    length_mm : float or None
        Length of the pass, run-in and run-out included [mm]; gives its minutes.
    traces : tuple of FeedTrace
        This shop's decks on this machine; those cut with another known radius are left out.
    low_ra_um : float or None
        Lowest Ra the gasket takes [um].

    Returns
    -------
    FeedAdvice or Refused
        ``Refused`` where the feed would be wider than the insert's radius.

    Raises
    ------
    InputError
        If a figure is not positive.

    References
    ----------
    Exact arc (:func:`castworthy.calc.texture.cusp.cusp`); prediction interval of simple
    linear regression with Student's t, n - 2 degrees of freedom (textbook).

    """
    _check(ra_um, nose_mm=nose_mm, turning_rpm=turning_rpm, length_mm=length_mm, traces=traces)
    ideal = ideal_feed_mm(ra_um=ra_um, nose_mm=nose_mm)
    usable = tuple(trace for trace in traces if _same_nose(trace, nose_mm=nose_mm))
    line, doubt = _line(usable)
    feed = ideal if line is None else line.feed_mm(ra_um)
    if ideal is None or feed is None or feed > nose_mm:
        return Refused(
            code="feed-too-wide",
            reason=(
                f"Ra {ra_um:.3g} µm would take a feed wider than the {nose_mm:g} mm radius of "
                "the insert."
            ),
            remedy="Take a larger insert or a finer Ra.",
        )
    interval = line.interval_um(feed) if line else None
    table, minutes = _pace(feed, turning_rpm=turning_rpm, length_mm=length_mm)
    lowest = interval[0] if interval else ra_um
    return FeedAdvice(
        feed_mm=feed,
        nose_mm=nose_mm,
        ra_um=ra_um,
        ideal_feed_mm=ideal,
        ideal_rt_um=cusp(feed_mm=feed, nose_mm=nose_mm).rt_um,
        table_mm_per_min=table,
        pass_min=minutes,
        interval_um=interval,
        exponent=line.b if line else None,
        from_traces_count=line.n if line else 0,
        too_smooth=low_ra_um is not None and lowest < low_ra_um,
        options=_options(ra_um, turning_rpm=turning_rpm, length_mm=length_mm),
        sentence=_sentence(feed, ra_um=ra_um, table=table, minutes=minutes),
        cautions=tuple(
            words
            for words in (
                doubt,
                _far_words(feed, usable) if line else "",
                _smooth_words(ra_um, lowest=lowest, low_ra_um=low_ra_um),
            )
            if words
        ),
    )


def _check(
    ra_um: float,
    *,
    nose_mm: float,
    turning_rpm: float | None,
    length_mm: float | None,
    traces: tuple[FeedTrace, ...],
) -> None:
    for name, value in {
        "ra_um": ra_um,
        "nose_mm": nose_mm,
        "turning_rpm": turning_rpm,
        "length_mm": length_mm,
        "feed of a trace": min((trace.feed_mm for trace in traces), default=None),
        "Ra of a trace": min((trace.ra_um for trace in traces), default=None),
    }.items():
        if value is not None and not value > 0.0:
            raise InputError(f"{name} must be above zero (got {value}); check the figure.")


def _same_nose(trace: FeedTrace, *, nose_mm: float) -> bool:
    return trace.nose_mm is None or abs(trace.nose_mm / nose_mm - 1.0) < SAME_NOSE_RATIO


def _line(traces: tuple[FeedTrace, ...]) -> tuple[_Line | None, str]:
    """The line, or why there is none."""
    n = len(traces)
    if n < FEWEST_TRACES_COUNT:
        return None, (
            f"The shop's own traces cannot say yet: {n} of {FEWEST_TRACES_COUNT} with this "
            "insert. This is the ideal cusp; a real cut reads 1.5 to 2 times rougher, more with "
            "a worn insert. Trace the next decks."
        )
    x = [log(trace.feed_mm) for trace in traces]
    y = [log(trace.ra_um) for trace in traces]
    if max(x) - min(x) < SAME_FEED_RATIO:
        return None, (
            f"The shop's {n} traces were all cut at one feed, so they cannot say what another "
            "does; this is the ideal cusp. Cut one at another feed."
        )
    middle, level = sum(x) / n, sum(y) / n
    spread = sum((v - middle) ** 2 for v in x)
    b = sum((v - middle) * (w - level) for v, w in zip(x, y, strict=True)) / spread
    if b <= 0.0:
        return None, (
            f"In the shop's {n} traces the finish does not get rougher with the feed, so "
            "something else makes it (a worn insert, chatter); this is the ideal cusp."
        )
    a = level - b * middle
    left = sum((w - a - b * v) ** 2 for v, w in zip(x, y, strict=True))
    s = sqrt(left / (n - 2))
    return _Line(a=a, b=b, s=s, n=n, middle=middle, spread=spread), ""


def _pace(
    feed: float, *, turning_rpm: float | None, length_mm: float | None
) -> tuple[float | None, float | None]:
    """Table speed and minutes of the pass."""
    if turning_rpm is None:
        return None, None
    table = feed * turning_rpm
    return table, None if length_mm is None else length_mm / table


def _options(
    ra_um: float, *, turning_rpm: float | None, length_mm: float | None
) -> tuple[FeedOption, ...]:
    options = []
    for nose in NOSES_MM:
        feed = ideal_feed_mm(ra_um=ra_um, nose_mm=nose)
        if feed is None:
            continue
        table, minutes = _pace(feed, turning_rpm=turning_rpm, length_mm=length_mm)
        options.append(
            FeedOption(
                nose_mm=nose,
                feed_mm=feed,
                ideal_rt_um=cusp(feed_mm=feed, nose_mm=nose).rt_um,
                table_mm_per_min=table,
                pass_min=minutes,
            )
        )
    return tuple(options)


def _sentence(feed: float, *, ra_um: float, table: float | None, minutes: float | None) -> str:
    told = f"Feed {feed:.3f} mm per revolution for Ra {ra_um:.3g} µm"
    if table is not None:
        told += f": table {table:.0f} mm/min"
    if minutes is not None:
        told += f", {minutes:.1f} min for the pass"
    return f"{told}."


def _far_words(feed: float, traces: tuple[FeedTrace, ...]) -> str:
    low, high = min(t.feed_mm for t in traces), max(t.feed_mm for t in traces)
    if low <= feed <= high:
        return ""
    return (
        f"The shop's traces run from {low:.3f} to {high:.3f} mm per revolution; {feed:.3f} mm "
        "lies outside, so cut and trace one deck before trusting it."
    )


def _smooth_words(ra_um: float, *, lowest: float, low_ra_um: float | None) -> str:
    if low_ra_um is None or lowest >= low_ra_um:
        return ""
    if ra_um < low_ra_um:
        return (
            f"Ra {ra_um:.3g} µm is too smooth: the gasket wants {low_ra_um:.3g} µm or more to be "
            "held. Aim higher."
        )
    return (
        f"The next deck may read as low as {lowest:.3g} µm, too smooth for a gasket that wants "
        f"{low_ra_um:.3g} µm or more. Aim higher."
    )
