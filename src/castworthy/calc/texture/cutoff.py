"""Which cut-off a surface asks for, by the tables of the standards."""

from dataclasses import dataclass
from math import inf

from castworthy.calc.errors import InputError
from castworthy.calc.texture.profile import Edition

SECTIONS_COUNT = 5
"""Sections in the evaluation length unless the trace is too short."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutoffRow:
    """One row of the tables: the cut-off and the largest values it is meant for.

    ``short_um`` is the short cut-off that goes with it, ``tip_um`` the stylus radius.
    """

    cutoff_mm: float
    short_um: float
    tip_um: float
    ra_high_um: float
    rz_1996_high_um: float
    rz_2021_high_um: float
    spacing_high_mm: float


def _row(*figures: float) -> CutoffRow:
    names = (
        "cutoff_mm",
        "short_um",
        "tip_um",
        "ra_high_um",
        "rz_1996_high_um",
        "rz_2021_high_um",
        "spacing_high_mm",
    )
    return CutoffRow(**dict(zip(names, figures, strict=True)))


CUTOFFS: tuple[CutoffRow, ...] = (
    _row(0.08, 2.5, 2.0, 0.02, 0.1, 0.16, 0.04),
    _row(0.25, 2.5, 2.0, 0.1, 0.5, 0.8, 0.13),
    _row(0.8, 2.5, 5.0, 2.0, 10.0, 16.0, 0.4),
    _row(2.5, 8.0, 5.0, 10.0, 50.0, 80.0, 1.3),
    _row(8.0, 25.0, 10.0, inf, inf, inf, inf),
)
"""ISO 4288:1996 tables 1 to 3 and ISO 21920-3:2021 (height bounds); ISO 3274:1996 table 1
(short cut-off and tip; 5 um is allowed at 0.8 mm where Rz is above 3 um)."""


def cutoff_for_ra(ra_um: float) -> CutoffRow:
    """Row of the tables for a roughness Ra; both editions agree.

    Parameters
    ----------
    ra_um : float
        Arithmetical mean deviation [um], >= 0.

    Returns
    -------
    CutoffRow
        The shortest cut-off whose upper bound is not below ``ra_um``.

    Raises
    ------
    InputError
        If ``ra_um`` is negative or not a number.

    References
    ----------
    ISO 4288:1996, table 1; ISO 21920-3:2021, 4.4.3.

    """
    _check(ra_um, name="Ra")
    return next(row for row in CUTOFFS if ra_um <= row.ra_high_um)


def cutoff_for_rz(rz_um: float, *, edition: Edition) -> CutoffRow:
    """Row of the tables for a height Rz; the editions differ.

    Parameters
    ----------
    rz_um : float
        Maximum height per section [um], >= 0.
    edition : Edition
        Whose bounds.

    Returns
    -------
    CutoffRow
        The shortest cut-off whose upper bound is not below ``rz_um``.

    Raises
    ------
    InputError
        If ``rz_um`` is negative or not a number.

    References
    ----------
    ISO 4288:1996, table 2; ISO 21920-3:2021, 4.4.3.

    """
    _check(rz_um, name="Rz")
    if edition is Edition.ISO_4287_1997:
        return next(row for row in CUTOFFS if rz_um <= row.rz_1996_high_um)
    return next(row for row in CUTOFFS if rz_um <= row.rz_2021_high_um)


def cutoff_for_spacing(spacing_mm: float) -> CutoffRow:
    """Row of the table for marks that repeat.

    Parameters
    ----------
    spacing_mm : float
        Spacing of the marks, RSm [mm], > 0.

    Returns
    -------
    CutoffRow
        The shortest cut-off whose upper bound is not below ``spacing_mm``.

    Raises
    ------
    InputError
        If ``spacing_mm`` is negative or not a number.

    References
    ----------
    ISO 4288:1996, table 3.  ISO 21920-3:2021 makes no difference between surfaces that
    repeat and those that don't; it takes the height of the drawing's limit for both.

    """
    _check(spacing_mm, name="The spacing of the marks")
    return next(row for row in CUTOFFS if spacing_mm <= row.spacing_high_mm)


def _check(value: float, *, name: str) -> None:
    if not value >= 0.0:
        raise InputError(f"{name} is zero or more (got {value}); check the sign and the unit.")
