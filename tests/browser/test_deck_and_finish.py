"""The deck and its finish in a browser: charts drawn, the slider answered, traces taken in."""

from pathlib import Path

import pytest
from playwright.sync_api import expect
from seed import TRACE_HEADS, TRACED_HEAD
from served import DESK, PHONE, Pages

from factories.traces import cusps

BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])


@BOTH
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_the_charts_of_a_trace_are_drawn_in_the_pages_ink(pages: Pages, dark: bool) -> None:
    page = pages.new(sign_in="olive", path=f"/heads/{TRACED_HEAD}/finish", dark=dark)
    for chart in page.locator("[data-chart]").all():
        chart.scroll_into_view_if_needed()
        expect(chart.locator("svg")).to_be_visible()
    lines = page.locator(".chart path[stroke]").evaluate_all(
        "paths => paths.map(each => each.getAttribute('stroke'))"
    )
    blue = page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--blue')")
    assert blue.strip().lower() in {line.lower() for line in lines}


@BOTH
def test_a_trace_is_taken_in_from_a_file(pages: Pages, tmp_path: Path) -> None:
    head = TRACE_HEADS[0 if pages.size == DESK else 1]
    file = tmp_path / "web.csv"
    file.write_bytes(cusps(0.19))
    page = pages.new(sign_in="ana", path=f"/heads/{head}/finish")
    page.get_by_label("Files of the instrument").set_input_files(file)
    page.get_by_label("Traced at").select_option("between 1 and 2")
    page.get_by_role("button", name="Take in and judge").click()
    expect(page.get_by_role("status")).to_contain_text("1 trace taken in and judged.")
    expect(page.locator(".trace__cause")).to_contain_text("marks every 0.0075 in")


@BOTH
def test_the_slider_shows_what_stays_uncut(pages: Pages) -> None:
    page = pages.new(sign_in="olive", path=f"/heads/{TRACED_HEAD}/deck")
    expect(page.locator("#deck-trial")).to_contain_text("cleans the whole face")
    page.get_by_label("Cut over the highest point").fill("0.2")
    expect(page.locator("#deck-trial")).to_contain_text("uncut")
    expect(page.locator(".cw-uncut")).to_be_visible()
    page.locator("[data-chart]").first.scroll_into_view_if_needed()
    expect(page.locator("[data-chart] svg").first).to_be_visible()
