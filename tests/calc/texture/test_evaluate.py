"""One trace from its raw heights to its texture."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.texture.decks import cusps, random_heights
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.texture.evaluate import evaluate
from castworthy.calc.texture.profile import CoreLine, Edition, Ends, Mark, Profile, Texture

MICROINCH_UM = 0.0254


def milled(
    *, length_mm: float = 5.6, feed_mm: float = 0.2, height_um: float = 2.0, rms_um: float = 0.1
) -> Profile:
    count = round(length_mm / 0.001) + 1
    x = np.arange(count) * 0.001
    noise = random_heights(
        np.random.default_rng(5), count=count, spacing_mm=0.001, grain_mm=0.004, rms_um=rms_um
    )
    return Profile(
        spacing_mm=0.001,
        height_um=cusps(x, feed_mm=feed_mm, height_um=height_um) + noise + 2.0 * x,
    )


def texture(profile: Profile, **asked: object) -> Texture:
    found = evaluate(profile, **asked)  # type: ignore[arg-type]
    assert isinstance(found, Texture)
    return found


def test_five_sections_lie_in_the_middle_of_the_trace() -> None:
    found = texture(milled())

    assert found.cutoff_mm == 0.8
    assert found.cutoff_from.startswith("marks every 0.200 mm")
    assert found.sections_count == 5
    assert found.evaluation_length_mm == pytest.approx(4.0)
    assert found.start_mm == pytest.approx(0.8)
    assert len(found.roughness_um) == len(found.waviness_um) == len(found.primary_um) == 4000
    assert found.roughness_um == pytest.approx(found.primary_um - found.waviness_um)
    assert found.warnings == ()


def test_spectrum_peaks_at_the_pitch_and_sums_to_one() -> None:
    found = texture(milled())

    top = int(np.argmax(found.spectrum.share_ratio))
    assert found.spectrum.wavelength_mm[top] == pytest.approx(0.2)
    assert found.spectrum.share_ratio.sum() == pytest.approx(1.0)
    assert (np.diff(found.spectrum.wavelength_mm) < 0.0).all()


def test_material_curve_falls_from_the_top_to_the_bottom() -> None:
    found = texture(milled())

    assert found.material.ratio[[0, -1]].tolist() == [0.0, 1.0]
    assert (np.diff(found.material.height_um) <= 0.0).all()
    assert found.material.height_um[0] - found.material.height_um[-1] == pytest.approx(found.rt_um)


@settings(max_examples=15)
@given(
    shift=st.floats(-500.0, 500.0),
    tilt=st.floats(-50.0, 50.0),
    ends=st.sampled_from(list(Ends)),
    edition=st.sampled_from(list(Edition)),
)
def test_shift_and_tilt_change_nothing(
    shift: float, tilt: float, ends: Ends, edition: Edition
) -> None:
    flat = milled()
    x = np.arange(len(flat.height_um)) * flat.spacing_mm
    moved = Profile(spacing_mm=flat.spacing_mm, height_um=flat.height_um + shift + tilt * x)

    before, after = (texture(p, ends=ends, edition=edition) for p in (flat, moved))

    for name in ("ra_um", "rq_um", "rz_um", "rt_um", "rsm_mm", "rdq", "rk_um", "wa_um", "wt_um"):
        assert getattr(after, name) == pytest.approx(getattr(before, name), rel=1e-6), name


@settings(max_examples=15)
@given(times=st.floats(0.01, 100.0), edition=st.sampled_from(list(Edition)))
def test_heights_scale_and_shape_numbers_stay(times: float, edition: Edition) -> None:
    plain = milled()
    scaled = Profile(spacing_mm=plain.spacing_mm, height_um=times * plain.height_um)

    before, after = (texture(p, cutoff_mm=0.8, edition=edition) for p in (plain, scaled))

    for name in ("ra_um", "rz_um", "rp_um", "rv_um", "rdq", "rk_um", "rpk_um", "rvk_um", "wt_um"):
        assert getattr(after, name) == pytest.approx(times * getattr(before, name), rel=1e-6), name
    for name in ("rsk", "rku", "rsm_mm", "mr1_ratio", "mr2_ratio", "rmr_ratio"):
        assert getattr(after, name) == pytest.approx(getattr(before, name), rel=1e-6), name


@pytest.mark.parametrize("edition", list(Edition))
def test_upside_down_swaps_peaks_and_pits(edition: Edition) -> None:
    plain = milled()
    turned = Profile(spacing_mm=plain.spacing_mm, height_um=-plain.height_um)

    before, after = (texture(p, cutoff_mm=0.8, edition=edition) for p in (plain, turned))

    assert after.rp_um == pytest.approx(before.rv_um)
    assert after.rsk == pytest.approx(-before.rsk)
    assert after.rk_um == pytest.approx(before.rk_um)
    assert after.rpk_um == pytest.approx(before.rvk_um)
    assert after.ra_um == pytest.approx(before.ra_um)


def test_editions_agree_on_ra_and_part_on_rq() -> None:
    new, old = (texture(milled(rms_um=0.6), cutoff_mm=0.8, edition=e) for e in Edition)

    assert new.ra_um == pytest.approx(old.ra_um, rel=1e-12)
    assert new.rz_um == old.rz_um
    # The root of a mean is never below the mean of roots.
    assert new.rq_um >= old.rq_um


def test_regression_keeps_the_ends() -> None:
    short = milled(length_mm=4.0)

    dropped, kept = (texture(short, cutoff_mm=0.8, ends=e) for e in (Ends.DROPPED, Ends.REGRESSION))

    assert (dropped.sections_count, kept.sections_count) == (4, 5)
    assert kept.ra_um == pytest.approx(dropped.ra_um, rel=0.02)
    assert dropped.warnings == ("Only 4 of 5 sections fit the trace; trace 4.8 mm.",)


def test_trace_without_one_section_is_refused_with_the_length_to_trace() -> None:
    found = evaluate(milled(length_mm=1.5), cutoff_mm=0.8)

    assert isinstance(found, Refused)
    assert found.code == "trace-short"
    assert "Trace 4.8 mm" in found.remedy


def test_trace_too_short_for_its_marks_says_so() -> None:
    found = texture(milled(length_mm=4.5, feed_mm=0.6, height_um=8.0))

    assert found.cutoff_mm == 0.8
    assert any("asks for a cut-off of 2.5 mm" in words for words in found.warnings)


def test_cutoff_that_under_reads_a_coarse_feed_says_by_how_much() -> None:
    found = texture(milled(length_mm=8.0, feed_mm=0.6), cutoff_mm=0.8)

    # Half the amplitude is lost at the cut-off: 2^-(0.8 / 0.6)^2 = 29 % (ISO 16610-21, 4.2).
    assert any("every 0.60 mm about 29 % too low; take 2.5 mm" in w for w in found.warnings)


def test_coarse_points_filled_points_and_a_blunt_tip_are_said() -> None:
    plain = milled()
    doubtful = Profile(
        spacing_mm=plain.spacing_mm, height_um=plain.height_um, filled_count=12, tip_um=12.0
    )

    told = texture(doubtful, short_um=2.5).warnings

    assert [words.split()[0] for words in told] == ["Points", "A", "12"]


def test_short_filter_takes_the_finest_off() -> None:
    rough = milled(rms_um=0.5)

    # A grain of 4 um is 25 um from crest to crest, where half the amplitude passes.
    assert texture(rough, short_um=25.0).rdq < 0.6 * texture(rough).rdq


def test_flat_trace_is_refused() -> None:
    found = evaluate(Profile(spacing_mm=0.001, height_um=np.full(5601, 3.7)))

    assert isinstance(found, Refused)
    assert found.code == "trace-flat"


@pytest.mark.parametrize(
    ("profile", "asked"),
    [
        (Profile(spacing_mm=0.0, height_um=np.arange(100.0)), {}),
        (Profile(spacing_mm=0.001, height_um=np.arange(5.0)), {}),
        (Profile(spacing_mm=0.001, height_um=np.full(100, np.nan)), {}),
        (Profile(spacing_mm=0.001, height_um=np.arange(100.0)), {"cutoff_mm": -0.8}),
        (Profile(spacing_mm=0.001, height_um=np.arange(100.0)), {"u_stylus_ratio": -0.1}),
    ],
)
def test_wrong_calls_raise(profile: Profile, asked: dict[str, float]) -> None:
    with pytest.raises(InputError):
        evaluate(profile, **asked)  # type: ignore[arg-type]


def test_uncertainty_is_the_scatter_of_sections_and_the_stylus() -> None:
    found = texture(milled(rms_um=0.5), u_stylus_ratio=0.03)

    ra = np.array(found.section_ra_um)
    # JCGM 100:2008, 4.2.3 and 5.1.2.
    assert found.u_ra_um == pytest.approx(np.hypot(ra.std(ddof=1) / np.sqrt(5), 0.03 * ra.mean()))


def test_rmr_is_read_at_the_depth_asked_for() -> None:
    profile = milled()

    top = texture(profile, rmr_depth_um=-100.0)
    middle = texture(profile)
    bottom = texture(profile, rmr_depth_um=100.0)

    assert (top.rmr_ratio, bottom.rmr_ratio) == (0.0, 1.0)
    assert 0.3 < middle.rmr_ratio < 0.6


def test_core_line_is_said() -> None:
    assert texture(milled(), core_line=CoreLine.LEAST_SQUARES).core_line is CoreLine.LEAST_SQUARES


@pytest.mark.parametrize("edition", list(Edition))
def test_rough_casting_with_rotary_waves_fails_and_resurfaced_passes(edition: Edition) -> None:
    # Common practice, no source: multi-layer steel wants Ra below 25 uin; a fresh casting
    # read 41 and showed rotary waves, resurfaced 21 and none.
    x = np.arange(17_501) * 0.001
    noise = random_heights(
        np.random.default_rng(9), count=len(x), spacing_mm=0.001, grain_mm=0.004, rms_um=0.15
    )
    waves = 3.0 * np.sin(2.0 * np.pi * x / 2.2)
    fresh = cusps(x, feed_mm=0.25, height_um=3.85) + waves + noise
    resurfaced = cusps(x, feed_mm=0.18, height_um=1.95) + noise

    before, after = (
        texture(Profile(spacing_mm=0.001, height_um=z), edition=edition)
        for z in (fresh, resurfaced)
    )

    assert before.ra_um / MICROINCH_UM == pytest.approx(41.0, abs=2.0)
    assert after.ra_um / MICROINCH_UM == pytest.approx(21.0, abs=1.0)
    assert before.ra_um > 25.0 * MICROINCH_UM > after.ra_um
    assert before.made_by.kind is Mark.CHATTER
    assert before.made_by.pitch_mm == pytest.approx(2.2, rel=0.02)
    assert after.made_by.kind is Mark.FEED
    assert before.wt_um > 5.0 > 1.0 > after.wt_um
