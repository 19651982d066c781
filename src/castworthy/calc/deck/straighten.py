"""Whether a bowed head is straightened before it is cut."""

from dataclasses import dataclass

from castworthy.calc.errors import InputError
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Straighten:
    """The advice: ``shim_mm`` goes under each end when the head is bolted to the plate."""

    first: bool
    shim_mm: float
    sentence: str


def straighten_first(
    bow_mm: float, *, straighten_above_mm: float | None, overhead_cam: bool, show: Show
) -> Straighten:
    """Whether to straighten a head before surfacing it.

    Surfacing trues the gasket face and leaves the cam bores bent, so a head that carries its cam
    is straightened first when it is bowed past what its sheet says.

    Parameters
    ----------
    bow_mm
        how far the face is out of flat, its sign of no account [mm], scalar
    straighten_above_mm
        the sheet's bound [mm]; ``None`` when it gives none
    overhead_cam
        whether the cam runs in the head
    show
        the units of the sentence

    Returns
    -------
    Straighten
        the advice, with shims of half the bow for the ends

    Raises
    ------
    InputError
        If the bound is negative.

    References
    ----------
    Common practice, no source (end shims of about half the bow, slow cooling).

    """
    if straighten_above_mm is not None and straighten_above_mm < 0:
        raise InputError(f"A bow to straighten above is not negative, got {straighten_above_mm:g}.")
    bow = abs(bow_mm)
    said = show.value(bow, suffix="mm", difference=True)
    if not overhead_cam:
        return _no("No cam runs in this head: it is cut as it is.")
    if straighten_above_mm is None:
        return _no(f"The sheet says no bow to straighten above; this head is bowed by {said}.")
    bound = show.value(straighten_above_mm, suffix="mm", difference=True)
    if bow <= straighten_above_mm:
        return _no(f"A bow of {said} may be cut as it is: the sheet straightens above {bound}.")
    shim = show.value(bow / 2, suffix="mm", difference=True)
    return Straighten(
        first=True,
        shim_mm=bow / 2,
        sentence=(
            f"Straighten before surfacing: the bow of {said} is past {bound}, and cutting trues "
            f"the face, not the cam bores. Start with about {shim} of shim under each end; "
            "measure again afterwards."
        ),
    )


def _no(sentence: str) -> Straighten:
    return Straighten(first=False, shim_mm=0.0, sentence=sentence)
