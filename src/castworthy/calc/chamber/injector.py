"""How far an injector's tip stands out of the deck after a cut, and the washers that mend it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.shims import Shim, stack_for


@dataclass(frozen=True, slots=True, kw_only=True)
class InjectorStand:
    """An injector's stand after the cut and with washers added; positive out of the deck."""

    bare_mm: float
    stand_mm: float
    u_stand_mm: float | None
    washers_mm: tuple[float, ...]
    probability: float | None


def injector_stand(
    stand_mm: float,
    *,
    deck_cut_mm: float,
    low_mm: float,
    high_mm: float,
    washers_mm: Sequence[float] = (),
    aim_mm: float | None = None,
    most_count: int = 2,
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
    aim_mm : float or None
        Stand aimed at [mm]; the middle of the limits when ``None``.
    most_count : int
        Most washers under one injector.
    u_stand_mm, u_deck_cut_mm : float or None
        Standard uncertainties of the reading and of the cut [mm].

    Returns
    -------
    InjectorStand or Refused
        ``Refused`` where no washers bring it in.

    Raises
    ------
    InputError
        If the cut is negative or the limits are crossed.

    References
    ----------
    Plane geometry: stand + cut - washers.  JCGM 106:2012, 7.2.

    """
    if not deck_cut_mm >= 0.0:
        raise InputError(f"A deck cut is 0 or more, got {deck_cut_mm:.4f} mm.")
    bare = stand_mm + deck_cut_mm
    aim = (low_mm + high_mm) / 2.0 if aim_mm is None else aim_mm
    stack = stack_for(
        bare - aim,
        shims=[Shim(thickness_mm=each) for each in washers_mm],
        low_mm=bare - high_mm,
        high_mm=bare - low_mm,
        most_count=most_count,
    )
    if isinstance(stack, Refused):
        return Refused(
            code="no-washers",
            reason=(
                f"The injector would stand {bare:.3f} mm and no washers bring it between "
                f"{low_mm:.3f} and {high_mm:.3f} mm."
            ),
            remedy="Get another washer, or renew the sleeve it seats in.",
        )
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
