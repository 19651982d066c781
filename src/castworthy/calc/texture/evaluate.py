"""From a raw trace to its texture: line off, filtered, cut into sections, evaluated."""

from dataclasses import dataclass, fields
from math import isfinite
from typing import Any

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.texture import material
from castworthy.calc.texture.cautions import cautions
from castworthy.calc.texture.cutoff import SECTIONS_COUNT
from castworthy.calc.texture.filtering import levelled, mean_line
from castworthy.calc.texture.heights import Heights, heights, u_of_mean_um
from castworthy.calc.texture.length import FEWEST_POINTS_COUNT, Choice, Span, choose, span
from castworthy.calc.texture.made_by import made_by
from castworthy.calc.texture.marks import find_repeats, spectrum, thinned
from castworthy.calc.texture.profile import CoreLine, Edition, Ends, MadeBy, Profile, Texture
from castworthy.calc.texture.spacing import mean_element_mm, rms_slope

U_STYLUS_RATIO = 0.02
"""Relative standard uncertainty of a shop instrument's gain: it is set on a roughness standard
certified to about 4 % (coverage factor 2).  Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What the caller asked for."""

    edition: Edition
    short_um: float | None
    ends: Ends
    u_stylus_ratio: float
    rmr_depth_um: float
    core_line: CoreLine


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Curves:
    """The trace, its mean line and what is left, over the evaluation length."""

    spacing_mm: float
    primary_um: NDArray[np.float64]
    waviness_um: NDArray[np.float64]
    roughness_um: NDArray[np.float64]


def evaluate(
    profile: Profile,
    *,
    edition: Edition = Edition.ISO_21920_2021,
    cutoff_mm: float | None = None,
    short_um: float | None = None,
    ends: Ends = Ends.DROPPED,
    feed_set_mm: float | None = None,
    u_stylus_ratio: float = U_STYLUS_RATIO,
    rmr_depth_um: float | None = None,
    core_line: CoreLine = CoreLine.SECANT,
) -> Texture | Refused:
    """Evaluate one trace.

    The least-squares line comes off, then the short filter where asked, then the Gaussian
    cut-off; the evaluation length is five sections of one cut-off from the middle of the
    trace, fewer where it is short (said in the warnings).

    Parameters
    ----------
    profile : Profile
        The trace, ``height_um`` of shape (n,).
    edition : Edition
        Whose definitions.
    cutoff_mm : float or None
        Cut-off [mm]; ``None`` takes the tables': by the spacing of the marks where they
        repeat, else by Ra, tried until Ra and its row agree.
    short_um : float or None
        Short cut-off [um]; ``None`` filters nothing.
    ends : Ends
        Half a cut-off dropped at each end, or a regression filter so that none is.
    feed_set_mm : float or None
        Feed per revolution the machine was set to [mm].
    u_stylus_ratio : float
        Relative standard uncertainty of the instrument's gain [-].
    rmr_depth_um : float or None
        Depth below the mean line at which Rmr is read [um], negative above it; ``None``
        reads at the mean line.
    core_line : CoreLine
        How the straight line of the Rk family is laid.

    Returns
    -------
    Texture or Refused
        ``Refused`` where not one section fits, or the trace shows no height at all.

    Raises
    ------
    InputError
        If a length is not positive, a height is not finite or an uncertainty is negative.

    References
    ----------
    ISO 21920-2:2021, ISO 21920-3:2021; ISO 4287:1997, ISO 4288:1996; ISO 16610-21:2011;
    ISO 13565-2:1996.

    """
    _check(profile)
    _check_lengths(cutoff_mm=cutoff_mm, short_um=short_um, feed_set_mm=feed_set_mm)
    if not u_stylus_ratio >= 0.0:
        raise InputError(f"u_stylus_ratio is zero or more (got {u_stylus_ratio}).")
    z = levelled(profile.height_um)
    if _is_flat(z, height_um=profile.height_um):
        return _REFUSED_FLAT
    thin = thinned(z, spacing_mm=profile.spacing_mm)
    found = find_repeats(thin, cutoff_mm=cutoff_mm)
    choice = choose(thin, marks=found.marks, cutoff_mm=cutoff_mm, ends=ends)
    laid = span(len(z), spacing_mm=profile.spacing_mm, cutoff_mm=choice.cutoff_mm, ends=ends)
    if laid is None:
        return _refused_short(profile, cutoff_mm=choice.cutoff_mm, ends=ends)
    asked = _Asked(
        edition=edition,
        short_um=short_um,
        ends=ends,
        u_stylus_ratio=u_stylus_ratio,
        rmr_depth_um=0.0 if rmr_depth_um is None else rmr_depth_um,
        core_line=core_line,
    )
    return _texture(
        _curves(profile, z=z, cutoff_mm=choice.cutoff_mm, laid=laid, asked=asked),
        asked=asked,
        choice=choice,
        laid=laid,
        told=made_by(found, feed_set_mm=feed_set_mm),
        warnings=cautions(
            profile,
            choice=choice,
            laid=laid,
            short_um=short_um,
            marks_mm=found.marks.pitch_mm if found.marks else None,
        ),
    )


def _curves(
    profile: Profile, *, z: NDArray[np.float64], cutoff_mm: float, laid: Span, asked: _Asked
) -> _Curves:
    dx = profile.spacing_mm
    primary = z
    if asked.short_um is not None:
        primary = mean_line(
            z, spacing_mm=dx, cutoff_mm=asked.short_um / 1000.0, ends=Ends.REGRESSION
        )
    line = mean_line(primary, spacing_mm=dx, cutoff_mm=cutoff_mm, ends=asked.ends)
    inside, waviness = primary[laid.inside], line[laid.inside]
    return _Curves(
        spacing_mm=dx, primary_um=inside, waviness_um=waviness, roughness_um=inside - waviness
    )


def _texture(
    curves: _Curves,
    *,
    asked: _Asked,
    choice: Choice,
    laid: Span,
    told: MadeBy,
    warnings: tuple[str, ...],
) -> Texture:
    dx, roughness = curves.spacing_mm, curves.roughness_um
    sections = roughness.reshape(laid.sections_count, laid.points_count)
    high = heights(sections, edition=asked.edition)
    down = material.falling(roughness)
    core = material.core(down, core_line=asked.core_line)
    wave = curves.waviness_um - curves.waviness_um.mean()
    return Texture(
        **_settings(asked, choice=choice, laid=laid, spacing_mm=dx),
        **_figures(high),
        **_figures(core),
        rsm_mm=mean_element_mm(sections, spacing_mm=dx, edition=asked.edition),
        rdq=rms_slope(roughness, spacing_mm=dx),
        rmr_ratio=material.material_ratio(down, level_um=-asked.rmr_depth_um),
        wa_um=float(np.abs(wave).mean()),
        wt_um=float(wave.max() - wave.min()),
        u_ra_um=u_of_mean_um(high.section_ra_um, u_stylus_ratio=asked.u_stylus_ratio),
        u_rz_um=u_of_mean_um(high.section_rz_um, u_stylus_ratio=asked.u_stylus_ratio),
        primary_um=curves.primary_um,
        roughness_um=roughness,
        waviness_um=curves.waviness_um,
        material=material.curve(down),
        spectrum=spectrum(thinned(roughness, spacing_mm=dx)),
        made_by=told,
        warnings=warnings,
    )


def _settings(asked: _Asked, *, choice: Choice, laid: Span, spacing_mm: float) -> dict[str, Any]:
    """What was asked for and what the trace got, under the names of the result."""
    return {
        "edition": asked.edition,
        "ends": asked.ends,
        "short_um": asked.short_um,
        "rmr_depth_um": asked.rmr_depth_um,
        "core_line": asked.core_line,
        "cutoff_mm": choice.cutoff_mm,
        "cutoff_from": choice.reason,
        "section_mm": laid.points_count * spacing_mm,
        "sections_count": laid.sections_count,
        "evaluation_length_mm": laid.points_count * laid.sections_count * spacing_mm,
        "start_mm": laid.first_count * spacing_mm,
        "spacing_mm": spacing_mm,
    }


def _figures(found: Heights | material.Core) -> dict[str, Any]:
    return {field.name: getattr(found, field.name) for field in fields(found)}


def _check(profile: Profile) -> None:
    z = profile.height_um
    if z.ndim != 1 or len(z) < FEWEST_POINTS_COUNT:
        raise InputError(
            f"A trace is one row of at least {FEWEST_POINTS_COUNT} heights (got shape {z.shape})."
        )
    if not (isfinite(profile.spacing_mm) and profile.spacing_mm > 0.0):
        raise InputError(
            f"The spacing of the points must be above 0 mm (got {profile.spacing_mm}); "
            "check the file's unit."
        )
    if not np.isfinite(z).all():
        raise InputError(
            "A height of the trace is no number; fill short gaps and cut the trace at long ones."
        )


def _check_lengths(**lengths: float | None) -> None:
    for name, value in lengths.items():
        if value is not None and not (isfinite(value) and value > 0.0):
            raise InputError(f"{name} must be above zero (got {value}); leave it out if unknown.")


def _is_flat(z: NDArray[np.float64], *, height_um: NDArray[np.float64]) -> bool:
    """Whether nothing but the rounding of the heights is left above the line."""
    return bool(np.abs(z).max() <= 1e-9 * np.abs(height_um).max())


_REFUSED_FLAT = Refused(
    code="trace-flat",
    reason="The trace shows no height at all.",
    remedy="See that the stylus touched the surface and trace again.",
)


def _refused_short(profile: Profile, *, cutoff_mm: float, ends: Ends) -> Refused:
    if round(cutoff_mm / profile.spacing_mm) < FEWEST_POINTS_COUNT:
        return Refused(
            code="trace-coarse",
            reason=(
                f"Points {profile.spacing_mm:g} mm apart leave fewer than {FEWEST_POINTS_COUNT} "
                f"in a cut-off of {cutoff_mm:g} mm."
            ),
            remedy="Trace slower, or check the unit of the spacing.",
        )
    wanted = cutoff_mm * (SECTIONS_COUNT + (1 if ends is Ends.DROPPED else 0))
    return Refused(
        code="trace-short",
        reason=(
            f"The trace of {profile.length_mm:.3g} mm does not hold one section at a cut-off "
            f"of {cutoff_mm:g} mm."
        ),
        remedy=f"Trace {wanted:g} mm, or take a shorter cut-off.",
    )
