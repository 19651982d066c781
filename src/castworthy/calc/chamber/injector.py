"""How far an injector's tip stands out of the deck after a cut, and the washers that mend it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.shims import Shim, stack_for

MOST_WASHERS_COUNT = 2
"""Washers under one injector.  Common practice, no source: every joint more may blow by."""

PRACTICES = (
    "Read it with the injector clamped down on its washer to the maker's torque.",
    "Clean the seat in its sleeve: a crumb of the old washer lifts the tip.",
    "Fit a new washer every time; a used one has taken its set and may blow by.",
)
"""How a stand is read and kept.  Common practice, no source."""

CAUTION = (
    "A tip that stands out too far meets the piston or wets its bowl off the mark; the maker's "
    "manual says where it may stand."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class InjectorStand:
    """An injector's stand after the cut and with its washers; positive out of the deck.

    ``bare_mm`` is the stand with no washer of ``washers_mm`` in.
    """

    bare_mm: float
    stand_mm: float
    u_stand_mm: float | None
    washers_mm: tuple[float, ...]
    probability: float | None


def bare_stand_mm(stand_mm: float, *, deck_cut_mm: float, fitted_mm: Sequence[float] = ()) -> float:
    """Stand of an injector after a deck cut, the washers fitted now taken out.

    Parameters
    ----------
    stand_mm : float
        Stand before [mm], positive out of the deck.
    deck_cut_mm : float
        Stock taken at the injector [mm], not negative.
    fitted_mm : sequence of float
        Washers under it when it was read [mm], above 0.

    Returns
    -------
    float
        stand + cut + washers [mm].

    Raises
    ------
    InputError
        If the cut is negative or a washer is not thicker than 0.

    References
    ----------
    Plane geometry.

    """
    if not deck_cut_mm >= 0.0:
        raise InputError(f"A deck cut is 0 or more, got {deck_cut_mm:.4f} mm.")
    if not all(each > 0.0 for each in fitted_mm):
        raise InputError(f"A washer is thicker than 0, got {min(fitted_mm):.4f} mm.")
    return stand_mm + deck_cut_mm + sum(fitted_mm)


def injector_stand(
    stand_mm: float,
    *,
    deck_cut_mm: float,
    low_mm: float,
    high_mm: float,
    washers_mm: Sequence[float] = (),
    fitted_mm: Sequence[float] = (),
    aim_mm: float | None = None,
    most_count: int = MOST_WASHERS_COUNT,
    u_stand_mm: float | None = None,
    u_deck_cut_mm: float | None = None,
) -> InjectorStand | Refused:
    """Stand of an injector after a deck cut, with the fewest washers that bring it in.

    Parameters
    ----------
    stand_mm : float
        Stand before [mm], positive out of the deck.
    deck_cut_mm : float
        Stock taken at the injector [mm], not negative.
    low_mm, high_mm : float
        Limits of the stand [mm].
    washers_mm : sequence of float
        Thicknesses of washers that may be added [mm].
    fitted_mm : sequence of float
        Washers under it when it was read [mm].  They come out and may go in again; as the
        injector seals on one, at least one goes in.
    aim_mm : float or None
        Stand aimed at [mm]; the middle of the limits when ``None``.
    most_count : int
        Most washers under one injector.
    u_stand_mm, u_deck_cut_mm : float or None
        Standard uncertainties of the reading and of the cut [mm].

    Returns
    -------
    InjectorStand or Refused
        ``Refused`` where no washers bring it in: code "too-low" where it stands too little
        with the fewest it can have, "no-washers" otherwise.

    Raises
    ------
    InputError
        If the cut is negative, a washer is not thicker than 0, or the limits are crossed.

    References
    ----------
    Plane geometry: stand + cut + washers taken out - washers put in.  JCGM 106:2012, 7.2.

    """
    bare = bare_stand_mm(stand_mm, deck_cut_mm=deck_cut_mm, fitted_mm=fitted_mm)
    aim = (low_mm + high_mm) / 2.0 if aim_mm is None else aim_mm
    offered = sorted({*washers_mm, *fitted_mm})
    fewest = 1 if fitted_mm else 0
    stack = stack_for(
        bare - aim,
        shims=[Shim(thickness_mm=each) for each in offered],
        low_mm=bare - high_mm,
        high_mm=bare - low_mm,
        most_count=max(most_count, fewest),
        least_count=fewest,
    )
    if isinstance(stack, Refused):
        highest = bare - (offered[0] if fewest else 0.0)
        return _refused(bare, highest=highest, low=low_mm, high=high_mm)
    after = bare - stack.thickness_mm
    u = None
    if u_stand_mm is not None or u_deck_cut_mm is not None:
        u = hypot(u_stand_mm or 0.0, u_deck_cut_mm or 0.0)
    return InjectorStand(
        bare_mm=bare,
        stand_mm=after,
        u_stand_mm=u,
        washers_mm=tuple(shim.thickness_mm for shim in stack.shims),
        probability=None
        if u is None
        else conformance_probability(after, u=u, low=low_mm, high=high_mm),
    )


def _refused(bare: float, *, highest: float, low: float, high: float) -> Refused:
    if highest < low:
        return Refused(
            code="too-low",
            reason=(
                f"The injector would stand {highest:.3f} mm at the most and {low:.3f} mm is asked; "
                "a washer only takes it further in."
            ),
            remedy="Get a thinner washer, or look at its sleeve and its seat.",
        )
    return Refused(
        code="no-washers",
        reason=(
            f"The injector would stand {bare:.3f} mm and no washers bring it between "
            f"{low:.3f} and {high:.3f} mm."
        ),
        remedy="Get another washer, or renew the sleeve it seats in.",
    )
