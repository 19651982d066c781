"""A port logged in a browser: six readings typed, the curve comes, it is kept, the port passed."""

import json
import re
import shutil
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Locator, Page, expect
from seed import LEAK_HEADS
from served import DESK, PHONE, Pages, Server, serve

BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])
SHOWN = "25.8", "25.8", "25.7", "25.7", "25.7", "25.6"


def port(pages: Pages, place: str) -> Page:
    head = LEAK_HEADS[0 if pages.size == DESK else 1]
    page = pages.new(sign_in="ana", path=f"/heads/{head}/prove")
    page.locator(f"#port-{place}").get_by_role("link", name="Log it").click()
    expect(page.get_by_role("heading", name=f"Vacuum of {place}")).to_be_visible()
    return page


def read(page: Page, *figures: str, touch: bool = False) -> None:
    for figure in figures:
        page.get_by_label("Gauge now").fill(figure)
        if touch:
            page.get_by_role("button", name="Take it").tap()
        else:
            page.keyboard.press("Enter")
        page.wait_for_timeout(250)


def test_a_wrong_figure_is_read_out_with_its_field(pages: Pages) -> None:
    page = port(pages, "1B")
    read(page, "25.8", "25.7", "25.6")
    volume = page.get_by_label("Port and line, cm³")
    volume.fill("abc")
    expect(page.locator("#leak-said")).to_contain_text("'abc' is no number")
    expect(volume).to_have_attribute("aria-invalid", "true")
    expect(volume).to_have_attribute("aria-describedby", "id_volume_helptext leak-said")
    volume.fill("240")
    expect(page.locator("#leak-said")).to_have_text("")
    expect(volume).not_to_have_attribute("aria-invalid", "true")
    expect(volume).to_have_attribute("aria-describedby", "id_volume_helptext")
    page.get_by_role("button", name="Start over").click()


def curve(page: Page) -> Locator:
    """The curve of the chart that this size shows."""
    return page.locator(".leak__chart:visible .cw-ahead")


@BOTH
def test_six_readings_are_a_test(pages: Pages) -> None:
    page = port(pages, "1A")
    page.get_by_label("Port and line, cm³").fill("240")
    page.get_by_label("The pump's own reading today").fill("26.5")
    page.get_by_text("Hold, air and temperature").click()
    page.get_by_label("Judged after, seconds").fill("4")
    read(page, *SHOWN, touch=pages.size == PHONE)
    expect(curve(page)).to_be_visible()
    expect(page.locator("#leak-answer")).to_contain_text("The port seals")
    expect(page.locator(".leak__chart:visible .cw-reading")).to_have_count(6)
    page.get_by_role("button", name="Keep as this port's test").click()
    expect(page.get_by_role("status").first).to_contain_text("1A is kept: The port seals")
    expect(page.locator("#leak-answer")).to_contain_text("passed")
    expect(page.get_by_label("Every reading")).to_have_value("")
    page.get_by_role("link", name="Prove").first.click()
    expect(page.locator("#port-1A")).to_contain_text("holds: 25.")
    expect(page.locator("#port-1A")).to_contain_text("logged")


@BOTH
def test_nothing_typed_is_lost(pages: Pages) -> None:
    page = port(pages, "1B")
    read(page, "26", "25.9")
    read(page, "many")
    expect(page.get_by_text("“many” is no vacuum and was not taken")).to_be_visible()
    expect(page.get_by_label("Gauge now")).to_have_value("many")
    read(page, "25.8")
    expect(curve(page)).to_be_visible()
    lines = page.get_by_label("Every reading")
    typed = lines.input_value()
    assert len(typed.splitlines()) == 3
    lines.fill(typed + "\n0.1 25.7")
    expect(page.locator("#leak-said")).to_contain_text("the time must grow from line to line")
    expect(curve(page)).to_be_visible()
    page.reload()
    expect(lines).to_have_value(typed + "\n0.1 25.7")
    pages.expecting("422")
    page.get_by_role("button", name="Keep as this port's test").click()
    expect(page.locator("#leak-said")).to_contain_text("still empty")
    expect(lines).to_have_value(typed + "\n0.1 25.7")
    page.get_by_role("button", name="Start over").click()
    expect(lines).to_have_value("")
    page.get_by_role("button", name="Bring the readings back").click()
    expect(lines).to_have_value(typed + "\n0.1 25.7")
    expect(page.locator("#leak-said")).to_contain_text("the time must grow")


@BOTH
def test_the_last_reading_is_taken_back(pages: Pages) -> None:
    page = port(pages, "2A")
    read(page, "26", "2.59")
    lines, gauge = page.get_by_label("Every reading"), page.get_by_label("Gauge now")
    typed = lines.input_value()
    page.get_by_role("button", name="Take back the last").click()
    expect(gauge).to_have_value("2.59")
    expect(lines).to_have_value("0.0 26")
    expect(page.locator("#tap-clock")).to_contain_text("keeps its time")
    page.wait_for_timeout(900)
    read(page, "25.9")
    assert lines.input_value() == typed.replace("2.59", "25.9")
    page.keyboard.press("ArrowUp")
    expect(gauge).to_have_value("25.9")
    read(page, "")
    expect(lines).to_have_value("0.0 26")
    read(page, "25.8")
    assert float(lines.input_value().splitlines()[1].split()[0]) > 1.0
    expect(page.locator("#leak-answer")).to_contain_text("2 of 3 readings")


def test_a_browser_that_fills_the_lines_itself_takes_nothing_away(pages: Pages) -> None:
    """Chromium may bring the lines back on its own, before the page does: the figures come too."""
    page = port(pages, "2A")
    page.evaluate("localStorage.clear()")
    page.reload()
    page.get_by_label("Port and line, cm³").fill("240")
    read(page, "26", "25.9")
    typed = page.get_by_label("Every reading").input_value()
    page.add_init_script(
        "document.addEventListener('readystatechange', () => {"
        " const lines = document.querySelector('[name=readings]');"
        f" if (lines && document.readyState === 'interactive') lines.value = {json.dumps(typed)};"
        "})"
    )
    page.reload()
    expect(page.get_by_label("Every reading")).to_have_value(typed)
    expect(page.get_by_label("Port and line, cm³")).to_have_value("240")


@BOTH
def test_a_slip_of_the_decimal_point_is_not_taken(pages: Pages) -> None:
    page = port(pages, "2A")
    page.evaluate("localStorage.clear()")
    page.reload()
    read(page, "26", "258")
    expect(page.locator("#tap-said")).to_contain_text("258 inHg is deeper than any air allows")
    expect(page.get_by_label("Every reading")).to_have_value("0.0 26")
    expect(page.get_by_label("Gauge now")).to_have_value("258")
    expect(page.locator("#leak-answer")).to_contain_text("1 of 3 readings")


@BOTH
def test_the_server_dies_while_a_port_is_logged(
    pages: Pages, server: Server, tmp_path: Path
) -> None:
    """Killed without a word in mid-log; every reading taken is there when it is back."""
    folder = tmp_path / "record"
    shutil.copytree(server.environment["CASTWORTHY_DATA"], folder)
    with serve(folder) as first:
        door = int(first.address.rpartition(":")[2])
        pages.address = first.address
        page = port(pages, "2B")
        page.get_by_label("Port and line, cm³").fill("240")
        page.get_by_label("The pump's own reading today").fill("26.5")
        read(page, "26.0", "26.0", "25.9")
        expect(curve(page)).to_be_visible()
        pages.expecting(
            "ERR_CONNECTION_REFUSED", "ERR_EMPTY_RESPONSE", "ERR_CONNECTION_RESET", "htmx"
        )
        first.kill()
        read(page, "25.9", "25.9")
        expect(page.locator("#say")).to_contain_text("What you typed is still here")
    typed = page.get_by_label("Every reading").input_value()
    assert [line.split()[1] for line in typed.splitlines()] == [
        "26.0",
        "26.0",
        "25.9",
        "25.9",
        "25.9",
    ]
    with serve(folder, port=door):
        page.reload()
        expect(page.get_by_label("Every reading")).to_have_value(typed)
        expect(page.get_by_label("Port and line, cm³")).to_have_value("240")
        expect(page.get_by_label("The pump's own reading today")).to_have_value("26.5")
        expect(curve(page)).to_be_visible()
        read(page, "25.8")
        page.get_by_text("Hold, air and temperature").click()
        page.get_by_label("Judged after, seconds").fill("4")
        page.get_by_role("button", name="Keep as this port's test").click()
        expect(page.get_by_role("status").first).to_contain_text("2B is kept")
        expect(page.get_by_label("Every reading")).to_have_value("")


@BOTH
def test_a_file_of_a_logger_is_drawn(pages: Pages, tmp_path: Path) -> None:
    file = tmp_path / "port.csv"
    file.write_text("t_s,p_kpa\n" + "\n".join(f"{t},{14 + 0.02 * t:.2f}" for t in range(0, 40, 2)))
    page = port(pages, "2B")
    page.get_by_label("Or the file of a logger").set_input_files(file)
    expect(curve(page).or_(page.locator(".leak__chart:visible .cw-fit")).first).to_be_visible()
    expect(page.get_by_label("Every reading")).to_have_value(file.read_text())
    read(page, "25")
    expect(page.get_by_text("start over before the gauge is typed live")).to_be_visible()


@BOTH
def test_a_tap_on_the_deck_places_a_crack_and_its_photo(pages: Pages, tmp_path: Path) -> None:
    shot = tmp_path / "crack.jpg"
    Image.new("RGB", (800, 600), "grey").save(shot)
    head = LEAK_HEADS[0 if pages.size == DESK else 1]
    page = pages.new(sign_in="ana", path=f"/heads/{head}/prove")
    card = page.locator("#crack")
    deck = card.locator("[data-crack-map] svg").first
    deck.scroll_into_view_if_needed()
    name = deck.get_by_text("2B", exact=True)
    name.click()
    where, what = card.get_by_label("Where", exact=True), card.get_by_label("What", exact=True)
    expect(where).to_have_value("2B exhaust seat")
    expect(what).to_be_focused()
    what.fill("14 mm long")
    card.locator("[data-crack-file]").set_input_files(shot)
    expect(card.locator(".crack-photo__seen img")).to_be_visible()
    expect(card.get_by_label("or one already kept")).to_contain_text("2B exhaust seat: 14 mm long")
    deck.click(position={"x": 1, "y": 1})  # beside the deck: no place
    expect(where).to_have_count(1)
    box = deck.bounding_box()
    assert box is not None
    deck.click(position={"x": box["width"] / 2, "y": box["height"] * 0.4})
    expect(where.nth(1)).to_have_value(re.compile(r"^6\.\d\d, [34]\.\d\d$"))
    what.nth(1).fill("pores")
    card.get_by_role("button", name="Record the crack check").click()
    expect(card.locator(".crack-list li")).to_have_count(2)
    expect(card.locator(".crack-list li").first).to_contain_text("2B exhaust seat: 14 mm long")
    expect(card.locator(".crack-list li").first.get_by_role("img")).to_be_visible()
    expect(card.locator("[data-crack-map] .cw-mark")).to_have_count(2)
    page.get_by_role("link", name="History").click()
    expect(page.get_by_role("heading", name="Cracks found")).to_be_visible()
