"""What a person must know before believing a texture: whole sentences."""

from castworthy.calc.texture.cutoff import CUTOFFS, SECTIONS_COUNT
from castworthy.calc.texture.length import Choice, Span
from castworthy.calc.texture.profile import Profile

UNDER_READ_RATIO = 2.5
"""Marks farther apart than the cut-off over this lose more than 1 % of their height; said
where the cut-off is not the table's own for these marks."""

POINTS_PER_SHORT_COUNT = 5
"""Points in one short cut-off (ISO 3274:1996, table 1: 0.5 um for 2.5 um)."""


def cautions(
    profile: Profile,
    *,
    choice: Choice,
    laid: Span,
    short_um: float | None,
    marks_mm: float | None,
) -> tuple[str, ...]:
    """Sentences about what makes the figures of one trace doubtful.

    Parameters
    ----------
    profile : Profile
        The trace.
    choice : Choice
        The cut-off taken.
    laid : Span
        The sections evaluated.
    short_um : float or None
        Short cut-off [um].
    marks_mm : float or None
        Pitch of the marks [mm].

    Returns
    -------
    tuple of str
        Empty where there is nothing to say.

    References
    ----------
    ISO 4288:1996, 4.4 and 7.2; ISO 3274:1996, table 1; ISO 16610-21:2011, 4.2.

    """
    told = (
        _too_short(laid, choice=choice),
        _under_read(marks_mm, choice=choice),
        _too_coarse(profile, short_um=short_um),
        _tip(profile, cutoff_mm=choice.cutoff_mm),
        _filled(profile),
    )
    return tuple(sentence for sentence in told if sentence)


def _too_short(laid: Span, *, choice: Choice) -> str:
    if choice.wanted_mm is not None:
        return (
            f"The surface asks for a cut-off of {choice.wanted_mm:g} mm, the trace holds only "
            f"{choice.cutoff_mm:g} mm; trace {choice.wanted_mm * (SECTIONS_COUNT + 1):g} mm."
        )
    if laid.sections_count < SECTIONS_COUNT:
        words = "section fits" if laid.sections_count == 1 else "sections fit"
        return (
            f"Only {laid.sections_count} of {SECTIONS_COUNT} {words} the trace; "
            f"trace {choice.cutoff_mm * (SECTIONS_COUNT + 1):g} mm."
        )
    return ""


def _under_read(marks_mm: float | None, *, choice: Choice) -> str:
    if marks_mm is None or choice.by_table or marks_mm <= choice.cutoff_mm / UNDER_READ_RATIO:
        return ""
    lost = 2.0 ** -((choice.cutoff_mm / marks_mm) ** 2)
    wanted = next(
        (row.cutoff_mm for row in CUTOFFS if row.cutoff_mm >= UNDER_READ_RATIO * marks_mm), 8.0
    )
    return (
        f"A cut-off of {choice.cutoff_mm:g} mm reads marks every {marks_mm:.2f} mm about "
        f"{lost:.0%} too low; take {wanted:g} mm.".replace("%", " %")
    )


def _too_coarse(profile: Profile, *, short_um: float | None) -> str:
    if short_um is None or profile.spacing_mm * 1000.0 <= short_um / POINTS_PER_SHORT_COUNT + 1e-9:
        return ""
    return (
        f"Points {profile.spacing_mm * 1000.0:.2g} µm apart are too coarse for a short cut-off of "
        f"{short_um:g} µm, which wants {short_um / POINTS_PER_SHORT_COUNT:g} µm; trace slower."
    )


def _tip(profile: Profile, *, cutoff_mm: float) -> str:
    row = next((row for row in CUTOFFS if row.cutoff_mm >= cutoff_mm), CUTOFFS[-1])
    if profile.tip_um is None or profile.tip_um <= row.tip_um:
        return ""
    return (
        f"A tip of {profile.tip_um:g} µm bridges the finest pits; "
        f"at a cut-off of {cutoff_mm:g} mm use {row.tip_um:g} µm or less."
    )


def _filled(profile: Profile) -> str:
    if not profile.filled_count:
        return ""
    share = profile.filled_count / len(profile.height_um)
    return (
        f"{profile.filled_count} points ({share:.1%}) were missing and filled from their "
        "neighbours; clean the surface and trace again if it matters.".replace("%", " %")
    )
