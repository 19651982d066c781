"""Everything at once: the form, its uncertainty, refusals and questions."""

import numpy as np
import pytest

from calc.deck.faces import grid, heights, rough
from castworthy.calc.deck.cleanup import clean_up_level
from castworthy.calc.deck.flatness import least_squares, minimum_zone
from castworthy.calc.deck.form import DeckForm, Heights
from castworthy.calc.deck.survey import form_of
from castworthy.calc.deck.uncertainty import draw_flatness, flatness_uncertainty
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.units import Show

THOU = Show(length="thou")
U, V = np.meshgrid(np.linspace(-1, 1, 13), np.linspace(-1, 1, 5), indexing="ij")


def bowed(*, noise_mm: float = 0.0) -> Heights:
    """A face of 720 by 240 mm, hollow by 60 µm, twisted by 10."""
    noise = np.random.default_rng(4).normal(0, noise_mm, U.shape) if noise_mm else 0.0
    z = 0.06 * U**2 + 0.005 * U * V + noise
    return heights(360 + 360 * U.ravel(), 120 + 120 * V.ravel(), z.ravel())


def form(face: Heights, **more: object) -> DeckForm:
    found = form_of(face, **{"windows_mm": (150.0,), "largest_tilt_ratio": 2e-4, **more})
    assert isinstance(found, DeckForm)
    return found


def test_the_parts_agree_with_their_doors() -> None:
    face = bowed(noise_mm=0.001)
    found = form(face, u_height_mm=0.001, show=THOU)

    assert found.points_count == 65
    assert found.flatness_um == minimum_zone(face).flatness_um
    assert found.flatness_least_squares_um == least_squares(face).flatness_um
    assert found.u_flatness_um == flatness_uncertainty(face, u_height_mm=0.001)
    assert found.cleanup_level.cut_mm == clean_up_level(face).cut_mm
    assert 3 <= len(found.contacts_mm) <= 4
    assert found.local[0].window_mm == 150.0
    assert found.shape.sentence.startswith("Bowed: 2.4 thou low in the middle along the length")
    assert found.warnings == ()
    assert form(face).u_flatness_um is None


def test_first_order_agrees_with_monte_carlo() -> None:
    """A face whose contacts stand clear: the form is a hundred times the error of a height."""
    rng = np.random.default_rng(11)
    z = rng.uniform(-0.05, 0.05, 25)
    face = heights(np.tile(np.arange(5) * 100, 5), np.repeat(np.arange(5) * 60, 5), z)
    draws = draw_flatness(face, u_height_mm=2e-4, draws_count=2000, generator=rng)

    # 2,000 draws know their standard deviation to 1 / sqrt(2 * 2000), 1.6 %; three of those.
    first = flatness_uncertainty(face, u_height_mm=2e-4)
    assert draws.u_flatness_um == pytest.approx(first, rel=0.05)
    assert abs(draws.raised_um) < 0.1 * first


def test_errors_raise_the_flatness_of_a_flat_face() -> None:
    flat = grid(np.zeros((7, 5)))
    draws = draw_flatness(
        flat, u_height_mm=0.001, draws_count=200, generator=np.random.default_rng(2)
    )

    # The range of 35 normal errors is 4.2 of their deviation on average (table value from
    # memory); a plane fitted to them takes some of it away.
    assert 3.0 < draws.raised_um < 4.2


def test_the_simplest_uncertainty_by_hand() -> None:
    # By hand: two high corners against two low ones share one half each: u = u_z.
    assert flatness_uncertainty(grid([[0.01, 0], [0, 0.01]]), u_height_mm=0.002) == pytest.approx(
        2.0
    )


def test_wrong_uncertainties() -> None:
    face = bowed()
    with pytest.raises(InputError, match="not negative"):
        flatness_uncertainty(face, u_height_mm=-0.001)
    with pytest.raises(InputError, match="two draws or more"):
        draw_flatness(face, u_height_mm=0.1, draws_count=1, generator=np.random.default_rng(1))


@pytest.mark.parametrize(
    ("face", "code", "sentence"),
    [
        (
            heights([0, 1, 2], [0, 1, 0], [0, 0, 0]),
            "too-few-points",
            "Flatness cannot be judged from 3 heights. Measure four points or more, spread over "
            "the face.",
        ),
        (
            heights([], [], []),
            "too-few-points",
            "Flatness cannot be judged from 0 heights. Measure four points or more, spread over "
            "the face.",
        ),
        (
            heights([0, 120.5, 200, 300], [0, 50.25, 100, 150], [0, np.nan, 0, np.inf]),
            "not-a-number",
            "Flatness cannot be judged: the point at 120.5, 50.25 mm and 1 more holds no number. "
            "Measure it again, or take it out.",
        ),
        (
            heights([0, np.nan, 200, 300], [0, 50, 100, 0], [0, 0, 0, 0]),
            "not-a-number",
            "Flatness cannot be judged: point 2 holds no number. Measure it again, or take it out.",
        ),
        (
            heights([0, 100, 200, 300], [0, 50, 100, 150], [0, 1, 2, 3]),
            "points-in-line",
            "Flatness cannot be judged: all points lie in one line. Measure on both sides of it as "
            "well.",
        ),
        (
            heights([5, 5, 5, 5], [7, 7, 7, 7], [0, 0, 0, 0]),
            "points-in-line",
            "Flatness cannot be judged: all points lie in one line. Measure on both sides of it as "
            "well.",
        ),
        (
            heights([0, 120, 200, 120, 0], [0, 40, 0, 40, 90], [0, 0.012, 0, 0.03, 0]),
            "heights-disagree",
            "The place 120, 40 mm has two heights, 0.012 mm and 0.030 mm. Keep the right one, or "
            "measure it again.",
        ),
    ],
)
def test_refusals(face: Heights, code: str, sentence: str) -> None:
    found = form_of(face, windows_mm=(), largest_tilt_ratio=0.0)

    assert isinstance(found, Refused)
    assert (found.code, found.sentence) == (code, sentence)


def test_the_same_height_twice_is_taken() -> None:
    face = bowed()
    twice = heights(*(np.append(v, v[3]) for v in (face.x_mm, face.y_mm, face.z_mm)))

    assert form(twice).flatness_um == pytest.approx(form(face).flatness_um)


@pytest.mark.parametrize(
    ("factor", "cause"),
    [
        (10.0, "was a decimal slipped?"),
        (100.0, "was a decimal slipped?"),
        (25.4, "were inches and millimetres mixed?"),
    ],
)
def test_one_point_off_by_a_decimal_is_asked_about(factor: float, cause: str) -> None:
    face = bowed(noise_mm=0.0005)
    z = face.z_mm.copy()
    at = int(np.argmax(z))
    z[at] *= factor
    asked = form(heights(face.x_mm, face.y_mm, z)).warnings[0]

    x, y = face.x_mm[at], face.y_mm[at]
    assert asked.startswith(f"Point at {x:g}, {y:g} mm stands ")
    assert asked.endswith(f"times further off than its neighbours: {cause}")


def test_a_point_off_for_no_known_cause_is_not_asked_about() -> None:
    face = bowed(noise_mm=0.0005)
    z = face.z_mm + 0.4
    z[20] += 0.03

    assert form(heights(face.x_mm, face.y_mm, z)).warnings == ()


@pytest.mark.parametrize("seed", range(10))
def test_an_honest_face_is_not_asked_about(seed: int) -> None:
    assert form(rough(60, seed=seed)).warnings == ()


def test_places_in_inches_and_heights_in_thou_are_asked_about() -> None:
    face = bowed(noise_mm=0.0005)
    inches = heights(face.x_mm / 25.4, face.y_mm / 25.4, face.z_mm)
    thou = heights(face.x_mm, face.y_mm, face.z_mm / 0.0254 + 10)

    assert "The points span only 28.346 mm by 9.449 mm: are the places in mm, not in inches?" in (
        form(inches).warnings
    )
    assert any(
        text.startswith("The face is out of flat by") and "not in thou?" in text
        for text in form(heights(thou.x_mm, thou.y_mm, 3 * thou.z_mm)).warnings
    )


def test_a_dense_scan_is_surveyed() -> None:
    found = form(rough(30_000, seed=3))

    assert found.points_count == 30_000
    assert found.local[0].flatness_um < found.flatness_um <= found.flatness_least_squares_um
