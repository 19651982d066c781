"""A sealing ring in words, the same on the page and on paper."""

from collections.abc import Iterable

from castworthy.calc.outcome import Refused
from castworthy.calc.sealing.groove import RingFit, fit_cautions
from castworthy.calc.sealing.joint import Joint, joint_sentence
from castworthy.calc.sealing.lands import Land, land_sentence
from castworthy.calc.sealing.ring_readings import after_deck_cut, deck_cut_sentence
from castworthy.records.lookups.ring import CylinderRing, PlacedRing, RingDesign, RingPage
from castworthy.units import Show
from castworthy.units.phrase import listed

PRACTICE = (
    "A stainless wire about 40 thou thick is held by about 3 thou of press and stands 8 to 9 thou "
    "above the deck."
)
"""What the trade sets a ring to.  Common practice, no source."""

_ALLOWANCE_MM = 1e-6


def small(size_mm: float, *, show: Show) -> str:
    """A small length with its unit: thou for people who read inches."""
    return show.value(size_mm, suffix="mm", difference=True)


def span_words(span_mm: tuple[float, float], *, show: Show) -> str:
    """A span of small lengths."""
    low, high = span_mm
    return f"{show.number(low, suffix='mm', difference=True)} to {small(high, show=show)}"


def share_words(probability: float) -> str:
    """A share of drawn rings, never rounded up to all or down to none."""
    if probability >= 1.0:
        return "all of them"
    if probability <= 0.0:
        return "none of them"
    if probability < 0.001:
        return "under 0.1 %"
    return "better than 99.9 %" if probability > 0.999 else f"{100.0 * probability:.1f} %"


def wire_words(length_mm: float, *, show: Show) -> str:
    """A length of wire with its unit, as fine as it is cut."""
    return show.value(length_mm, suffix="mm", digits=1 if show.metric else 2)


def fit_sentence(design: RingDesign, *, show: Show) -> str:
    """How the sheet's wire sits in its groove."""
    fit = design.fit
    return (
        f"The wire is pressed {small(fit.press_mm, show=show)} and stands "
        f"{small(fit.stand_mm, show=show)} above the deck, up to "
        f"{small(fit.stand_upper_mm, show=show)} if the pressed metal all flows up."
    )


def fit_lines(design: RingDesign, *, show: Show) -> tuple[tuple[str, str, str], ...]:
    """Name, figure and note of everything the tolerances leave of the fit."""
    fit, stack = design.fit, design.stack
    either = _tolerances(design)

    def spans(worst_mm: tuple[float, float], rss_mm: tuple[float, float]) -> str:
        if not either:
            return ""
        worst, rss = (span_words(each, show=show) for each in (worst_mm, rss_mm))
        return f"{worst} at worst, {rss} by root-sum-square"

    upper = span_words(stack.stand_upper_worst_mm, show=show)
    return (
        (
            "Press",
            small(fit.press_mm, show=show),
            spans(stack.press_worst_mm, stack.press_rss_mm),
        ),
        (
            "Stand",
            small(fit.stand_mm, show=show),
            spans(stack.stand_worst_mm, stack.stand_rss_mm),
        ),
        (
            "Stand, metal all upward",
            small(fit.stand_upper_mm, show=show),
            f"{upper} at worst" if either else "",
        ),
        ("Groove filled", f"{100.0 * fit.fill_ratio:.0f} %", ""),
    )


def share_sentence(page: RingPage) -> str:
    """How many rings of the sheet's tolerances stand inside; empty where nothing is asked."""
    design = page.design
    if design is None or page.limit is None or not _tolerances(design):
        return ""
    shares = design.shares
    inside = share_words(shares.within_probability)
    sure = share_words(shares.sure_probability)
    return (
        f"Of {shares.rings_count:,} rings drawn within the tolerances, {inside} stand inside the "
        f"limits; {sure} if the pressed metal all flows up."
    ).replace(",", " ", 1)


def design_cautions(page: RingPage, *, show: Show) -> tuple[str, ...]:
    """What is wrong with the sheet's ring, each in a sentence."""
    design = page.design
    if design is None:
        return ()
    said = fit_cautions(design.groove, show=show)
    if page.limit is None:
        return tuple(said)
    ends_mm = page.limit.low, page.limit.high
    return (*said, *stand_cautions(design.fit, ends_mm=ends_mm, show=show))


def stand_cautions(
    fit: RingFit, *, ends_mm: tuple[float | None, float | None], show: Show
) -> tuple[str, ...]:
    """What is wrong with how high a wire stands; an end that is ``None`` is not asked for."""
    low, high = ends_mm
    if high is not None and fit.stand_mm > high + _ALLOWANCE_MM:
        return (
            f"The stand is {small(fit.stand_mm - high, show=show)} more than allowed: cut the "
            "groove deeper by as much.",
        )
    if low is not None and fit.stand_mm < low - _ALLOWANCE_MM:
        return (
            f"The stand is {small(low - fit.stand_mm, show=show)} less than asked: cut the "
            "groove shallower by as much.",
        )
    if high is not None and fit.stand_upper_mm > high + _ALLOWANCE_MM:
        return (
            f"If the pressed wire flows upward it stands up to "
            f"{small(fit.stand_upper_mm, show=show)}, past what is allowed: fit one ring and "
            "measure it before the rest are cut.",
        )
    return ()


def cut_sentences(page: RingPage, *, show: Show) -> tuple[str, ...]:
    """Where the deck was cut after a groove, and what a planned cut will do to it."""
    return (*_cut_since(page, show=show), *_cut_planned(page, show=show))


def _cut_since(page: RingPage, *, show: Show) -> Iterable[str]:
    """One sentence for all cylinders that lost the same."""
    alike: dict[tuple[float, bool], list[str]] = {}
    for each in page.cylinders:
        if each.deck_cut_mm > _ALLOWANCE_MM:
            alike.setdefault((each.deck_cut_mm, each.grooved), []).append(each.cylinder)
    for (cut_mm, grooved), names in alike.items():
        by = small(cut_mm, show=show)
        whole = len(names) == len(page.cylinders)
        some = "every cylinder" if whole else f"cylinder {listed(names)}"
        had = "" if grooved else ", if it was there before,"
        yield (
            f"The deck was cut by {by} since. The groove of {some}{had} is now shallower by {by}"
            f"{_left(page, cut_mm=cut_mm, show=show)}: recut it by {by} and fit a new ring."
        )


def _left(page: RingPage, *, cut_mm: float, show: Show) -> str:
    if page.design is None:
        return ""
    cut = after_deck_cut(page.design.groove, deck_cut_mm=cut_mm)
    if cut.depth_mm <= _ALLOWANCE_MM:
        return ", so that nothing is left of it"
    depth = show.value(cut.depth_mm, suffix="mm")
    return f", {depth} deep, where the wire would stand {small(cut.stand_mm, show=show)}"


def _cut_planned(page: RingPage, *, show: Show) -> Iterable[str]:
    if page.planned_cut_mm is None or page.design is None:
        return
    if any(each.grooved for each in page.cylinders):
        cut = after_deck_cut(page.design.groove, deck_cut_mm=page.planned_cut_mm)
        if sentence := deck_cut_sentence(cut, show=show):
            yield f"Planned: {sentence[:1].lower()}{sentence[1:]}"
    else:
        by = small(page.planned_cut_mm, show=show)
        yield f"A deck cut of {by} is planned: cut the grooves after it."


def joint_words(placed: PlacedRing, *, show: Show) -> str:
    """Where the joint goes and why, or why it has no place."""
    joint = placed.joint
    if isinstance(joint, Refused):
        return joint.sentence
    said = joint_sentence(joint, show=show).partition(": ")[2]
    return f"{said[:1].upper()}{said[1:]}"


def joint_clock(placed: PlacedRing) -> str:
    """The joint as on a clock's face with its angle, empty where it has no place."""
    if not isinstance(placed.joint, Joint):
        return ""
    return f"{placed.joint.clock}, {placed.joint.angle_deg:.0f}°"


def land_words(placed: PlacedRing, *, show: Show) -> str:
    """The narrowest land of a ring in a sentence."""
    return land_sentence(placed.lands, show=show)


def land_line(land: Land, *, show: Show) -> tuple[str, str]:
    """What a land leads to, and how wide it is."""
    return land.called, show.value(land.land_mm, suffix="mm")


def left_words(placed: PlacedRing, *, show: Show) -> str:
    """The deck left under a groove, empty where no thickness near it was read."""
    if placed.deck_left_mm is None:
        return ""
    if placed.deck_left_mm <= 0.0:
        return f"none: it breaks through by the thickness at {placed.thickness_place}"
    left = show.value(placed.deck_left_mm, suffix="mm")
    return f"{left}, by the thickness at {placed.thickness_place}"


def read_words(ring: CylinderRing) -> str:
    """The six stands as they were read, empty where they were not."""
    last = None if ring.standing is None else ring.standing.last
    if last is None:
        return ""
    return last.why if last.alone and last.why else f"{last.typed} {last.unit}, one place only"


def _tolerances(design: RingDesign) -> bool:
    spec = design.spec
    return max(spec.tol_wire_mm, spec.tol_depth_mm, spec.tol_width_mm) > 0.0
