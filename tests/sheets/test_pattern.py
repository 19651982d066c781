"""Patterns laid out in a draft.  Common practice, no source; the figures are plain sums."""

import pytest

from castworthy.sheets.draft import Draft
from castworthy.sheets.pattern import (
    Grid,
    PatternError,
    cylinders_in_line,
    heights_in_outline,
    rectangle,
    studs_in_grid,
    thickness_in_grid,
    valves_copied,
    valves_in_cylinders,
)


def six() -> Draft:
    plain = rectangle(Draft(unit="in"), length="33", width="9").draft
    return cylinders_in_line(
        plain, count="6", first_x="3.0", first_y="4.5", pitch="5.1", bore="4.2"
    ).draft


def test_a_pitch_adds_up_without_a_tail_of_nines() -> None:
    rows = six().table("cylinder")

    assert [row["x"] for row in rows] == ["3", "8.1", "13.2", "18.3", "23.4", "28.5"]
    assert [row["name"] for row in rows] == list("123456")


def test_figures_in_another_unit_are_taken_into_the_sheets_own() -> None:
    draft = rectangle(Draft(unit="in"), length="254 mm", width="127 mm").draft

    assert draft.table("outline")[2] == {"x": "10", "y": "5"}


def test_bores_that_run_into_each_other_are_refused() -> None:
    with pytest.raises(PatternError, match="run into each other") as caught:
        cylinders_in_line(
            Draft(unit="mm"), count="2", first_x="0", first_y="0", pitch="80", bore="90"
        )

    assert caught.value.field == "pitch"


def test_four_valves_a_cylinder_stand_round_its_middle() -> None:
    laid = valves_in_cylinders(
        six(), count="4", across="1.6", along="1.8", intake="1.5", exhaust="1.4"
    )

    rows = laid.draft.table("valve")
    assert len(rows) == 24
    assert laid.sentence == "24 valves laid out."
    assert (rows[4]["name"], rows[4]["x"], rows[4]["y"]) == ("2A", "7.3", "5.4")
    assert (rows[7]["name"], rows[7]["kind"], rows[7]["head_diameter"]) == (
        "2D",
        "exhaust",
        "1.4",
    )


def test_valves_want_cylinders_first() -> None:
    with pytest.raises(PatternError, match="cylinders first"):
        valves_in_cylinders(Draft(), count="2", across="1", along="", intake="1", exhaust="1")


def test_a_hand_made_pattern_is_copied_with_its_names() -> None:
    draft = six().with_rows(
        "valve",
        [
            {"name": "1A", "cylinder": "1", "kind": "intake", "x": "2.5", "y": "4", "tilt": "3"},
            {"name": "1E", "cylinder": "1", "kind": "exhaust", "x": "3.75", "y": "5"},
        ],
    )

    rows = valves_copied(draft, cylinder="1").draft.table("valve")

    assert len(rows) == 12
    assert (rows[2]["name"], rows[2]["x"], rows[2]["y"], rows[2]["tilt"]) == (
        "2A",
        "7.6",
        "4",
        "3",
    )
    assert rows[-1]["cylinder"] == "6"


def test_copying_from_a_cylinder_without_valves_is_refused() -> None:
    with pytest.raises(PatternError, match="no valves to copy"):
        valves_copied(six(), cylinder="3")


def test_studs_are_added_with_free_names() -> None:
    grid = Grid(columns="7", rows="2", first_x="0.5", first_y="0.5", pitch_x="5.1", pitch_y="8")
    once = studs_in_grid(six(), grid=grid, diameter="0.6").draft

    twice = studs_in_grid(once, grid=grid, diameter="0.6")

    names = [row["name"] for row in twice.draft.table("stud")]
    assert len(set(names)) == 28
    assert twice.sentence == "14 studs added."


def test_height_points_keep_clear_of_bores_and_edges() -> None:
    laid = heights_in_outline(six(), columns="13", rows="5", clear="0.25")

    rows = [row for row in laid.draft.table("place") if row["kind"] == "height"]
    spots = [(float(row["x"]), float(row["y"])) for row in rows]
    cylinders = [(float(row["x"]), float(row["y"])) for row in six().table("cylinder")]
    assert 0 < len(rows) < 65
    assert f"{65 - len(rows)} left out" in laid.sentence
    assert all(0.25 <= x <= 32.75 and 0.25 <= y <= 8.75 for x, y in spots)
    assert all(
        (x - cx) ** 2 + (y - cy) ** 2 >= (2.1 + 0.25) ** 2 - 1e-4
        for x, y in spots
        for cx, cy in cylinders
    )


def test_height_points_replace_height_points_only() -> None:
    grid = Grid(columns="2", rows="1", first_x="1", first_y="1", pitch_x="5", pitch_y="")
    draft = thickness_in_grid(six(), grid=grid).draft
    once = heights_in_outline(draft, columns="5", rows="3", clear="0.2").draft

    twice = heights_in_outline(once, columns="5", rows="3", clear="0.2").draft

    assert twice == once
    assert [row["name"] for row in twice.table("place")][:2] == ["T1", "T2"]


def test_an_outline_that_is_no_rectangle_keeps_its_points_inside() -> None:
    corners = [{"x": x, "y": y} for x, y in (("0", "0"), ("10", "0"), ("0", "10"))]
    draft = Draft(unit="mm").with_rows("outline", corners)

    rows = heights_in_outline(draft, columns="5", rows="5", clear="0.5").draft.table("place")

    assert rows
    assert all(float(row["x"]) + float(row["y"]) < 10 for row in rows)


@pytest.mark.parametrize(
    ("count", "told"),
    [("", "Nothing is no count"), ("two", "two is no count"), ("9999999", "no count from 1 to")],
)
def test_a_count_that_is_none(count: str, told: str) -> None:
    with pytest.raises(PatternError, match=told) as caught:
        cylinders_in_line(
            Draft(unit="in"), count=count, first_x="1", first_y="1", pitch="5", bore="4"
        )

    assert caught.value.field == "count"


def test_too_many_points_are_refused_before_they_are_made() -> None:
    with pytest.raises(PatternError, match="too many"):
        heights_in_outline(six(), columns="100", rows="20", clear="0.1")


def test_a_missing_figure_names_its_field() -> None:
    with pytest.raises(PatternError, match="missing") as caught:
        rectangle(Draft(unit="in"), length="", width="9")

    assert caught.value.field == "length"
