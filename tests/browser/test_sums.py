"""The sums in a browser: the index, and answers that appear while one types."""

import re

import pytest
from playwright.sync_api import expect
from seed import READ_HEAD, SUM_HEAD
from served import DESK, PHONE, Pages

BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])


@BOTH
def test_the_index_leads_to_a_sum(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums")
    expect(page.get_by_role("heading", level=2)).to_have_count(7)
    page.get_by_role("link", name="Ring in its groove").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ring in its groove")
    page.get_by_role("link", name="Show an example").click()
    # 47 - 44 and 47 - 38 thou, by hand.
    expect(page.locator(".sum__word")).to_have_text(
        "The wire is pressed 3.0 thou and stands 9.0 thou above the deck."
    )
    expect(page.locator("svg.sum__drawing")).to_be_visible()


@BOTH
def test_a_seat_answers_while_it_is_typed(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/seat")
    word = page.locator(".sum__word")
    expect(word).to_have_text("Still to type: How much.")
    page.get_by_label("How much").press_sequentially("0.010")
    # 30/45/60 and 0.010 in gives 0.0528 in wider (plane geometry, 5.278 times).
    expect(word).to_have_text("Sunk 10.0 thou, the seat is 52.8 thou wider.")
    expect(word).to_be_in_viewport()
    expect(page).to_have_url(re.compile(r"cut=0\.010"))
    page.reload()
    expect(word).to_have_text("Sunk 10.0 thou, the seat is 52.8 thou wider.")
    assert page.evaluate("performance.getEntriesByType('navigation')[0].type") == "reload"


@BOTH
def test_a_wrong_figure_is_told_at_its_field_and_mended(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/seat")
    pages.expecting("422")
    field = page.get_by_label("How much")
    field.press_sequentially("12 psi")
    expect(page.locator("#cut-error")).to_contain_text("length is wanted")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_value("12 psi")
    field.fill("10 thou")
    expect(page.locator("#cut-error")).to_be_empty()
    expect(field).not_to_have_attribute("aria-invalid", "true")
    expect(page.locator(".sum__word")).to_contain_text("52.8 thou wider")


@BOTH
def test_a_unit_that_has_only_begun_is_waited_for(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/seat")
    page.get_by_label("How much").fill("10 tho")
    expect(page.locator("#cut-error")).to_be_empty()
    expect(page.locator(".sum__word")).to_have_text("Still to type: How much.")


@BOTH
def test_only_what_counts_is_asked(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/clamp")
    expect(page.get_by_label("Torque", exact=True)).to_be_visible()
    expect(page.get_by_label("Angle from snug")).to_be_hidden()
    page.get_by_role("radio", name="angle").check()
    expect(page.get_by_label("Angle from snug")).to_be_visible()
    expect(page.get_by_label("Torque", exact=True)).to_be_hidden()
    expect(page.locator(".sum__word")).to_contain_text("angle from snug")


def test_pasted_readings_draw_their_curve(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/leak")
    page.get_by_label("Seconds and vacuum").fill("0 25.0\n10 24.3\n20 23.6\n30 22.9")
    expect(page.locator(".sum__svg--wide .cw-reading")).to_have_count(4)
    expect(page.locator(".sum__svg--wide .cw-fit")).to_be_visible()
    expect(page.locator(".sum__card")).to_contain_text("Type the volume of port and line")


def test_the_bench_leads_to_its_sum(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=f"/heads/{READ_HEAD}/measure?quantity=seat_width&place=2B")
    page.locator("#readings tr[data-place='1B']").click()
    page.locator("#entry").get_by_role("link", name="Seat cut").click()
    expect(page.locator(".sum__beside")).to_contain_text(f"Filled from {READ_HEAD} 1B")
    page.locator(".sum__places").get_by_role("link", name="1A").click()
    expect(page.locator(".sum__places [aria-current]")).to_have_text("1A")


def test_without_scripts_a_sum_is_sent_and_answered(pages: Pages) -> None:
    page = pages.new(sign_in="ana")
    context = pages.browser.new_context(
        base_url=pages.address,
        java_script_enabled=False,
        storage_state=page.context.storage_state(),
    )
    pages.contexts.append(context)
    plain = context.new_page()
    plain.goto("/sums/seat")
    plain.get_by_label("How much").fill("10 thou")
    plain.get_by_role("button", name="Work it out").click()
    expect(plain.locator(".sum__word")).to_have_text("Sunk 10.0 thou, the seat is 52.8 thou wider.")
    expect(plain.get_by_label("How much")).to_have_value("10 thou")


@BOTH
def test_a_sum_is_kept_worked_again_and_taken_back(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/seat")
    page.get_by_label("How much").fill("8 thou" if pages.size == DESK else "7 thou")
    expect(page.locator("#choose-typed [name=cut]")).to_have_count(1)
    page.get_by_label("Head beside it").fill(READ_HEAD)
    page.keyboard.press("Enter")
    expect(page.locator(".sum__beside")).to_contain_text(READ_HEAD)
    page.get_by_label("Note").fill("before the cut")
    page.get_by_label("Seat", exact=True).fill("46")
    expect(page.locator(".sum__keeping [name=seat]")).to_have_value("46")
    expect(page.get_by_label("Note")).to_have_value("before the cut")
    page.get_by_role("button", name=f"Keep with {READ_HEAD}").press("Enter")
    line = page.locator(".sum__kept")
    expect(line).to_contain_text(f"Kept with {READ_HEAD} by Ana Reed")
    expect(line).to_be_in_viewport()
    page.get_by_label("How much").fill("9 thou")
    expect(page.get_by_role("button", name="Keep with")).to_be_visible()
    page.locator(".past__row").first.get_by_role("link", name="Work it again").click()
    expect(line).to_contain_text("before the cut")
    page.get_by_text("Take it back").first.press("Enter")
    page.get_by_label("Why it does not count").fill("that was another head")
    page.keyboard.press("Enter")
    expect(page.locator(".past__row").first).to_contain_text("that was another head")
    expect(page.get_by_label("Seat", exact=True)).to_have_value("46")


def test_an_unknown_tag_is_told_and_the_figures_stay(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/seat")
    page.get_by_label("How much").fill("8 thou")
    expect(page.locator("#choose-typed [name=cut]")).to_have_count(1)
    pages.expecting("404")
    page.get_by_label("Head beside it").fill("F2-99")
    page.keyboard.press("Enter")
    expect(page.locator("#choose-error")).to_contain_text("There is no head 'F2-99'")
    expect(page.get_by_label("How much")).to_have_value("8 thou")


def test_a_clearance_is_taken_in_as_a_reading(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=f"/sums/guide?head={SUM_HEAD}&place=2B")
    page.get_by_label("Guide", exact=True).fill("0.3148\n0.3145")
    page.get_by_label("Stem", exact=True).fill("0.3120\n0.3121")
    # Widest guide less thinnest stem, by hand.
    page.get_by_role("link", name="guide clearance of 2B, 0.0028 in").click()
    expect(page.locator("#typed")).to_have_value("0.0028")
    expect(page.locator("#said")).to_contain_text("comes from a sum")
    expect(page.locator("#place-name")).to_contain_text("2B")
    page.locator("#typed").press("Enter")
    expect(page.locator("#readings tr[data-place='2B']")).to_contain_text("0.0028")
    expect(page.locator("#said")).not_to_contain_text("comes from a sum")


def test_what_stands_in_the_fields_is_kept_before_its_answer_came(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=f"/sums/seat?head={READ_HEAD}&place=1B&cut=0.004")
    page.route(re.compile(r"cut=0\.007"), lambda _never: None)
    page.get_by_label("How much").fill("0.007")
    page.get_by_role("button", name=f"Keep with {READ_HEAD}, 1B").click(no_wait_after=True)
    page.wait_for_timeout(800)
    other = pages.new(sign_in="ana", path=f"/heads/{READ_HEAD}/history")
    expect(other.locator("main")).to_contain_text("Sunk 7.0 thou")


def test_what_stands_in_the_fields_goes_along_to_a_head_before_its_answer_came(
    pages: Pages,
) -> None:
    page = pages.new(sign_in="ana", path="/sums/seat")
    page.route(re.compile(r"cut=0\.007&"), lambda _never: None, times=1)
    page.get_by_label("How much").fill("0.007")
    page.get_by_label("Head beside it").fill(READ_HEAD)
    page.get_by_role("button", name="Fill from it").click()
    expect(page.locator(".sum__beside")).to_contain_text(READ_HEAD)
    expect(page.get_by_label("How much")).to_have_value("0.007")
