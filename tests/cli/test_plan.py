"""``castworthy plan`` on real files: the published keys, the span, the relief."""

import json
from pathlib import Path

import pytest

from castworthy.calc.decision.head import required_sites
from castworthy.sheets.readings import read_readings
from castworthy.sheets.spec import read_sheet
from cli.conftest import EXAMPLES, SHEETS, Run

INCH = 25.4


def answer_of(run: Run, *words: str | Path) -> dict[str, object]:
    result = run("plan", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_the_published_keys(run: Run, t66: list[str | Path]) -> None:
    answer = answer_of(run, *t66)

    assert {
        "feasible",
        "objective",
        "cost",
        "minutes",
        "deck_cut_mm",
        "tilt",
        "valves",
        "after",
        "binding",
        "deck_cut_span_mm",
        "probability",
        "work",
    } <= set(answer)
    assert (answer["feasible"], answer["objective"]) == (True, "cost")
    assert len(answer["valves"]) == 24
    assert {
        "seat_cut_mm",
        "face_cut_mm",
        "tip_grind_mm",
        "shims_mm",
        "new_valve",
        "new_insert",
    } <= set(answer["valves"]["5C"])
    assert {"quantity", "place", "value_mm", "u_mm", "probability"} <= set(answer["after"][0])


def test_the_plan_keeps_every_limit_by_plain_arithmetic(run: Run, t66: list[str | Path]) -> None:
    """Recession after is before, less the deck cut there, plus what the valve sinks (DOMAIN 3)."""
    answer = answer_of(run, *t66)
    sheet = read_sheet(Path(t66[0]).read_text(encoding="utf-8"))
    deck = answer["deck_cut_mm"]
    assert answer["deck_cut_span_mm"][0] <= deck <= answer["deck_cut_span_mm"][1]

    for row in answer["after"]:
        value = row.get("value_mm", row.get("value_um"))
        limit = sheet.limit_for(row["quantity"], place=row["place"])
        if limit is None or row["quantity"] == "finish_ra":
            continue
        assert limit.low is None or value >= limit.low - 1e-6
        assert limit.high is None or value <= limit.high + 1e-6
        if row["quantity"] == "recession":
            valve = answer["valves"][row["place"]]
            taken = row["before_mm"] + valve["seat_cut_mm"] + valve["face_cut_mm"] - value
            assert 0.0 <= taken <= deck + 1e-6


def test_cost_is_minutes_times_labour_plus_parts(run: Run, t66: list[str | Path]) -> None:
    # The example's plan fits six rings of 3.50 and no other part: labour 95 an hour.
    answer = answer_of(run, *t66)

    assert not any(step["parts_mm"] for step in answer["work"])
    labour = answer["minutes"] * 95.0 / 60.0
    assert answer["cost"] == pytest.approx(labour + 6 * 3.50, abs=0.01)
    assert answer["cost"] == pytest.approx(sum(step["cost"] for step in answer["work"]), abs=0.01)


def test_each_objective_is_best_at_its_own(run: Run, t66: list[str | Path]) -> None:
    cost, deck, surest = (
        answer_of(run, *t66, "--objective", objective) for objective in ("cost", "deck", "surest")
    )

    assert cost["cost"] <= min(deck["cost"], surest["cost"]) + 1e-6
    assert deck["deck_cut_mm"] <= min(cost["deck_cut_mm"], surest["deck_cut_mm"]) + 1e-6
    assert surest["smallest_margin"] >= max(cost["smallest_margin"], deck["smallest_margin"]) - 1e-6


def test_another_deck_cut(run: Run, t66: list[str | Path]) -> None:
    held = answer_of(run, *t66, "--deck-cut", "5thou")
    result = run("plan", *t66, "--deck-cut", "0.005")

    assert held["deck_cut_mm"] == pytest.approx(0.005 * INCH, abs=1e-6)
    assert result.exit_code == 2
    assert "'0.005' has no unit; write 0.005 in, 0.005 thou or 0.005 mm." in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_the_readable_page(run: Run, t66: list[str | Path]) -> None:
    result = run("plan", *t66)

    assert result.exit_code == 0
    for part in (
        "Least cost",
        "Before and after",
        "Work, in order",
        "Surface the deck",
        "What the plan rests against",
        "Another deck cut",
        "a qualified machinist have the last word",
    ):
        assert part in result.stdout


def impossible(tmp_path: Path) -> list[str | Path]:
    """The single-cylinder head with a valve far too deep and the deck at its least height."""
    sheet, readings = tmp_path / "sheet.toml", tmp_path / "readings.csv"
    text = (SHEETS / "f14.toml").read_text(encoding="utf-8")
    sheet.write_text(
        "\n".join(line for line in text.splitlines() if not line.startswith(("valve_", "insert =")))
        + "\n",
        encoding="utf-8",
    )
    rows = (EXAMPLES / "f14-readings.csv").read_text(encoding="utf-8")
    readings.write_text(
        rows.replace("recession;1B;4,52", "recession;1B;4,95").replace(
            "head_height;;110,04", "head_height;;109,75"
        ),
        encoding="utf-8",
    )
    return [sheet, readings, "--gauges", EXAMPLES / "f14-gauges.toml"]


def test_no_plan_is_an_answer_with_the_conflict_and_the_way_out(run: Run, tmp_path: Path) -> None:
    answer = answer_of(run, *impossible(tmp_path))
    page = run("plan", *impossible(tmp_path))

    assert answer["feasible"] is False
    assert {"quantity", "place", "bound", "reason"} <= set(answer["conflict"][0])
    assert ("recession", "1B") in {(c["quantity"], c["place"]) for c in answer["conflict"]}
    assert answer["relief"]
    assert page.exit_code == 0
    assert "No work brings every limit in" in page.stdout


def test_a_conforming_head_needs_nothing(run: Run, f14: list[str | Path], tmp_path: Path) -> None:
    readings = tmp_path / "readings.csv"
    rows = Path(f14[1]).read_text(encoding="utf-8")
    readings.write_text(
        rows.replace("recession;1B;4,52", "recession;1B;4,31").replace(
            "finish_ra;;0,92", "finish_ra;;0,52"
        ),
        encoding="utf-8",
    )
    answer = answer_of(run, f14[0], readings, *f14[2:])
    page = run("plan", f14[0], readings, *f14[2:])

    assert (answer["cost"], answer["deck_cut_mm"], answer["work"]) == (0.0, 0.0, [])
    assert "Nothing has to be done" in page.stdout
    judged = run("judge", f14[0], readings, *f14[2:], "--json")
    assert json.loads(judged.stdout)["decision"] == "conforming"


def test_nothing_measured_is_refused(run: Run, tmp_path: Path) -> None:
    readings = tmp_path / "readings.csv"
    readings.write_text("quantity,place,value,side\nheight,H1a,0.1mm,above\n", encoding="utf-8")
    result = run("plan", SHEETS / "t66.toml", readings)

    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr.count("\n") == 1


@pytest.mark.parametrize("code", ["t66", "f14"])
def test_the_examples_measure_all_that_is_asked_for(code: str) -> None:
    sheet = read_sheet((SHEETS / f"{code}.toml").read_text(encoding="utf-8"))
    text = (EXAMPLES / f"{code}-readings.csv").read_text(encoding="utf-8")
    read = {(r.quantity, r.place) for r in read_readings(text, sheet=sheet).readings}

    assert set(required_sites(sheet)) <= read
