"""The office in a browser: writing a sheet both ways, photos, finding a head, every page's fit."""

import re
from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import Page, expect
from seed import BIG_HEAD, READ_HEAD
from served import DESK, PHONE, Pages

TABLET = (768, 1024)
EVERY = pytest.mark.parametrize(
    "pages", [DESK, TABLET, PHONE], indirect=True, ids=["desk", "tablet", "phone"]
)
BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])
IN_OFFICE = (
    "/sheets/",
    "/sheets/new",
    "/sheets/F66/",
    "/sheets/F66/edit",
    "/sheets/F66/difference",
    "/suppliers/",
    "/suppliers/1/",
    "/customers/",
    "/customers/1/",
    "/gauges/",
    "/gauges/1/",
    "/people/",
    "/people/olive/",
    "/search?q=F2",
    f"/heads/{READ_HEAD}/photos",
)


def part(page: Page, name: str):
    return page.locator(f"#part-{name}")


def opened(page: Page, name: str):
    """A part of the form, open; the pattern cards within stay as they are."""
    found = part(page, name)
    if not found.evaluate("part => part.open"):
        found.locator("> summary").press("Enter")
    return found


def lay_out(page: Page, table: str, pattern: str, **figures: str) -> None:
    card = opened(page, table)
    summary = card.locator("details.pattern > summary", has_text=pattern)
    summary.press("Enter")
    inside = card.locator("details.pattern", has=page.get_by_text(pattern, exact=True)).first
    for label, figure in figures.items():
        field = inside.locator(f"[name$='.{label}']")
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(figure)
        else:
            field.fill(figure)
    inside.locator("[data-lay-out]").click()
    expect(card.locator(".sentence")).to_be_visible()


def photo() -> dict[str, object]:
    out = BytesIO()
    Image.new("RGB", (800, 600), "navy").save(out, format="JPEG")
    return {"name": "deck.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


@BOTH
def test_a_sheet_is_written_by_form_with_the_deck_drawn_beside(pages: Pages) -> None:
    code = "OF1" if pages.size == DESK else "OF2"
    pages.expecting("422")
    page = pages.new(sign_in="ana", path="/sheets/")
    page.get_by_role("link", name="Write a sheet").click()
    page.get_by_role("link", name="In inches").click()
    page.get_by_label("Code").fill(code)
    page.get_by_label("Title").fill("Written in a browser")
    lay_out(page, "outline", "A rectangle", length="18", width="8")
    expect(page.locator("#live")).to_contain_text("Reads as a sheet.")
    lay_out(
        page,
        "cylinder",
        "Cylinders in line",
        count="3",
        first_x="4",
        first_y="4",
        pitch="5",
        bore="4",
    )
    lay_out(
        page,
        "valve",
        "The same valves in every cylinder",
        count="4",
        across="1.6",
        along="1.8",
        intake="1.5",
        exhaust="1.4",
    )
    expect(page.locator("#live svg.cw-deck")).to_contain_text("3D")
    lay_out(page, "place", "Height points over the deck", columns="7", rows="3", clear="0.3")
    expect(page.locator("#live")).to_contain_text("3 cylinders, 12 valves")

    limits = opened(page, "limit")
    limits.locator("[name='limit.low']").first.fill("deep")
    expect(page.locator("#live")).to_contain_text("1 thing to mend")
    expect(limits.locator("[name='limit.low']").first).to_have_attribute("aria-invalid", "true")
    page.get_by_label("Code").focus()
    page.locator("#live .findings__one").click()
    expect(limits.locator("[name='limit.low']").first).to_be_focused()
    page.get_by_label("What is new").fill("written at the bench")
    page.get_by_role("button", name=re.compile("^Keep this sheet")).click()
    expect(page.get_by_role("alert").first).to_contain_text("Not kept yet.")
    expect(page.locator("[name='limit.low']").first).to_have_value("deep")
    expect(page.get_by_label("What is new")).to_have_value("written at the bench")
    opened(page, "limit").locator("[name='limit.low']").first.fill("0.030")
    expect(page.locator("#live")).to_contain_text("Reads as a sheet.")
    page.get_by_role("button", name=re.compile("^Keep this sheet")).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Written in a browser")
    expect(page.locator("main")).to_contain_text("written at the bench")
    expect(page.locator("main svg.cw-deck").first).to_contain_text("3D")


def test_rows_by_keyboard_alone(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sheets/new?from=nothing&unit=mm")
    card = opened(page, "stud")
    page.keyboard.press("Tab")
    while page.evaluate("document.activeElement.textContent") != "Add a stud":
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.type("S1")
    for figure in ("10", "12", "14"):
        page.keyboard.press("Tab")
        page.keyboard.type(figure)
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(card.locator("tbody tr")).to_have_count(2)
    page.keyboard.type("S2")
    page.keyboard.press("Tab")
    page.keyboard.type("140")
    expect(card.locator("[data-count]")).to_have_text("2")
    expect(page.locator("#live")).to_contain_text("Reads as a sheet.")
    card.locator("[name='stud.x']").first.focus()
    page.keyboard.press("Enter")
    expect(card.locator("[name='stud.x']").nth(1)).to_be_focused()
    assert page.url.endswith("/sheets/new?from=nothing&unit=mm")
    card.locator("[data-remove-row]").nth(1).press("Enter")
    expect(card.locator("tbody tr")).to_have_count(1)
    expect(card.locator("[data-remove-row]").first).to_be_focused()


def test_form_and_text_stay_in_step(pages: Pages) -> None:
    pages.expecting("422")
    page = pages.new(sign_in="ana", path="/sheets/F66/edit")
    page.get_by_label("Title").fill("Fen 66 as typed")
    page.get_by_role("button", name="Text").click()
    text = page.locator("#sheet-text")
    expect(text).to_have_value(re.compile('title = "Fen 66 as typed"'))
    lines = text.input_value().split("\n")
    wrong = lines.index('name = "3B"') + 3
    assert lines[wrong - 1] == 'kind = "intake"'
    lines[wrong - 1] = 'kind = "sideways"'
    text.fill("\n".join(lines))
    finding = page.locator("#live .findings__one")
    expect(finding).to_contain_text("valve 3B, kind")
    expect(page.locator("[data-code-lines]")).to_contain_text(f"▲ {wrong}")
    finding.click()
    expect(text).to_be_focused()
    marked = text.evaluate("text => text.value.slice(text.selectionStart, text.selectionEnd)")
    assert marked == 'kind = "sideways"'

    lines[wrong - 1] = "kind ="
    text.fill("\n".join(lines))
    expect(finding).to_contain_text(f"line {wrong}")
    expect(page.locator("#live svg.cw-deck")).to_contain_text("3B")
    page.get_by_role("button", name="Form").click()
    expect(page.locator("#panel")).to_contain_text("The form opens once the text reads as TOML")
    expect(page.locator("#sheet-text")).to_have_value(re.compile("kind =\n"))
    lines[wrong - 1] = 'kind = "exhaust"'
    page.locator("#sheet-text").fill("\n".join(lines))
    page.get_by_role("button", name="Form").click()
    expect(page.locator("[name='valve.kind']").nth(9)).to_have_value("exhaust")
    expect(page.get_by_label("Title")).to_have_value("Fen 66 as typed")


def test_what_was_never_kept_is_offered_again(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sheets/new?from=nothing&unit=in")
    page.on("dialog", lambda dialog: dialog.accept())
    page.get_by_label("Title").fill("Half written")
    expect(page.locator("#live [data-live-text]")).to_have_value(re.compile("Half written"))
    page.goto("/sheets/")
    page.goto("/sheets/new?from=nothing&unit=in")
    expect(page.locator("#kept-draft")).to_be_visible()
    page.get_by_role("button", name="Bring them back").click()
    expect(page.locator("#sheet-text")).to_have_value(re.compile("Half written"))
    page.get_by_role("button", name="Form").click()
    expect(page.get_by_label("Title")).to_have_value("Half written")


def test_the_deck_follows_what_is_typed(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sheets/F66/edit")
    title = page.get_by_label("Title")
    for number in range(4):
        title.fill(f"Fen 66, try {number}")
        expect(page.locator("#live [data-live-text]")).to_have_value(re.compile(f"try {number}"))


@BOTH
def test_a_photo_is_taken_and_seen(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=f"/heads/{BIG_HEAD}/photos")
    chosen = "From the camera" if pages.size == PHONE else "From a file"
    page.get_by_label(chosen).set_input_files(photo())
    expect(page.get_by_alt_text("The photo as chosen")).to_be_visible()
    caption = f"Mark, {pages.size[0]}"
    page.get_by_label("Caption").fill(caption)
    page.get_by_role("button", name="Keep the photo").click()
    expect(page.get_by_role("status")).to_contain_text("The photo is kept.")
    small = page.get_by_alt_text(caption)
    expect(small).to_be_visible()
    assert small.evaluate("image => image.decode().then(() => image.naturalWidth)") == 480
    small.click()
    large = page.get_by_alt_text(caption)
    assert large.evaluate("image => image.decode().then(() => image.naturalWidth)") == 800


def test_a_head_is_found_as_one_types(pages: Pages) -> None:
    page = pages.new(sign_in="vera", path="/search")
    page.keyboard.type("F66")
    expect(page.locator("#found")).to_contain_text(BIG_HEAD)
    expect(page.locator("#found")).not_to_contain_text(READ_HEAD)
    page.locator("#q").fill(READ_HEAD.lower())
    expect(page.locator("#found")).to_contain_text(READ_HEAD)
    page.locator("#q").press("Enter")
    page.wait_for_url(f"**/heads/{READ_HEAD}/**")


@EVERY
def test_every_page_fits_and_its_targets_are_large(pages: Pages) -> None:
    page = pages.new(sign_in="olive")
    for path in IN_OFFICE:
        page.goto(path)
        wide = page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        assert wide <= 0, path
        small = page.evaluate(
            """[...document.querySelectorAll('main button, main select, main summary, a.button')]
                 .filter(each => each.checkVisibility())
                 .map(each => [each.textContent.trim(), each.getBoundingClientRect().height])
                 .filter(each => each[1] < 43.5)"""
        )
        assert small == [], path


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_viewer_reads_and_changes_nothing(pages: Pages, dark: bool) -> None:
    pages.expecting("403")
    page = pages.new(sign_in="vera", dark=dark)
    for path in ("/sheets/", "/sheets/F66/", "/suppliers/1/", "/gauges/1/", "/customers/1/"):
        page.goto(path)
        expect(page.locator("main form[method='post']")).to_have_count(0)
    page.goto("/sheets/F66/edit")
    expect(page.locator("main")).to_contain_text("You may look but not change anything.")
    page.goto("/people/")
    expect(page.locator("main")).to_contain_text("Only an owner of the shop may do this.")
