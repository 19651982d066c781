"""The bench in a browser: keyboard alone, touch alone, a slip, a dropped link."""

import re
import time

import pytest
from playwright.sync_api import Page, expect
from seed import BENCH_HEADS, BIG_HEAD, READ_HEAD
from served import DESK, PHONE, Pages

BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])


def bench(tag: str, quantity: str = "recession") -> str:
    return f"/heads/{tag}/measure?quantity={quantity}"


def row(page: Page, place: str):
    return page.locator(f'#readings tr[data-place="{place}"]')


def ringed(page: Page) -> str:
    return page.locator("#readings tr.is-next").get_attribute("data-place") or ""


def waiting_count(page: Page) -> int:
    return page.evaluate("castworthy.queue.entries().length")


@BOTH
def test_a_gauge_that_types_walks_the_places(pages: Pages) -> None:
    tag = BENCH_HEADS[0] if pages.size == DESK else BENCH_HEADS[1]
    page = pages.new(sign_in="ana", path=bench(tag))
    page.locator("#typed").focus()
    for place, typed in (("1A", "0.0390"), ("1B", "0.0427"), ("2A", "0.0493")):
        assert ringed(page) == place
        page.keyboard.type(typed)
        page.keyboard.press("Enter")
    expect(row(page, "1A")).to_contain_text("inside")
    expect(row(page, "2A")).to_contain_text("past the deep limit")
    expect(page.locator("#said")).to_contain_text("2A is too deep by 2.8 thou.")
    expect(page.locator("#said")).to_contain_text(re.compile(r"Taking \d\.\d thou off the deck"))
    expect(page.locator("#place-name")).to_have_text("2B exhaust")
    expect(page.locator("#typed")).to_be_focused()
    expect(page.locator("#typed")).to_have_value("")
    expect(page.locator("#run-sheet [aria-current]")).to_contain_text("3 / 4")
    expect(page.locator("#head-steps [aria-current]")).to_contain_text("3 of 7")
    assert page.evaluate("performance.getEntriesByType('navigation').length") == 1
    page.reload()
    expect(row(page, "1B")).to_contain_text("0.0427")


def test_readings_typed_while_an_answer_is_on_its_way_are_kept(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=bench(BENCH_HEADS[2]))

    def slowly(route) -> None:
        time.sleep(0.4)
        route.continue_()

    page.route("**/measure/record", slowly)
    page.locator("#typed").focus()
    page.keyboard.type("0.0390\n0.0391\n0.0392\n0.0393\n")
    expect(row(page, "2B")).to_contain_text("0.0393")
    for place, figure in (("1A", "0.0390"), ("1B", "0.0391"), ("2A", "0.0392"), ("2B", "0.0393")):
        expect(row(page, place).locator(".reading__value > span").first).to_have_text(figure)
    expect(row(page, "2B")).to_contain_text("inside")
    assert waiting_count(page) == 0


@BOTH
def test_a_dropped_link_keeps_readings_and_sends_them_later(pages: Pages) -> None:
    tag = BENCH_HEADS[3] if pages.size == DESK else BENCH_HEADS[4]
    page = pages.new(sign_in="ana", path=bench(tag))
    pages.expecting("measure/record", "ERR_INTERNET_DISCONNECTED")
    page.context.set_offline(True)
    page.locator("#typed").fill("0.0390")
    page.keyboard.press("Enter")
    page.locator("#typed").fill("0.0400")
    page.keyboard.press("Enter")
    expect(page.locator("#link-line")).to_contain_text("The link is down. 2 readings are kept here")
    expect(row(page, "1A")).to_contain_text("0.0390")
    assert ringed(page) == "2A"
    page.context.set_offline(False)
    expect(row(page, "1A")).to_contain_text("inside", timeout=10_000)
    expect(row(page, "1B")).to_contain_text("inside")
    expect(page.locator("#link-line")).to_be_hidden()
    assert waiting_count(page) == 0


def test_readings_kept_on_a_closed_page_are_sent_by_the_next_one_once(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=bench(BENCH_HEADS[5]))
    pages.expecting("measure/record", "ERR_FAILED")
    answered: list[int] = []

    def lost(route) -> None:
        # The server has it, the browser never hears of it.
        answered.append(route.fetch().status)
        route.abort("failed")

    page.route("**/measure/record", lost)
    page.locator("#typed").fill("0.0390")
    page.keyboard.press("Enter")
    expect(page.locator("#link-line")).to_contain_text("1 reading is kept here")
    assert answered[0] == 200
    page.unroute("**/measure/record")
    page.goto("/")
    until = time.monotonic() + 10.0
    while waiting_count(page) and time.monotonic() < until:
        page.wait_for_timeout(50)
    assert waiting_count(page) == 0
    page.goto(bench(BENCH_HEADS[5]) + "&place=1A")
    expect(row(page, "1A")).to_contain_text("inside")
    expect(page.locator("#place-state")).to_have_text(
        "Read once; another reading is averaged with it."
    )


@BOTH
def test_a_slip_is_asked_about_in_place(pages: Pages) -> None:
    tag, places = BENCH_HEADS[6], ("1A", "1B") if pages.size == DESK else ("2A", "2B")
    page = pages.new(sign_in="ana", path=bench(tag) + f"&place={places[0]}")
    page.locator("#typed").fill("0.427")
    page.keyboard.press("Enter")
    question = page.locator(".question")
    expect(question).to_contain_text("0.427")
    expect(page.locator("#typed")).to_have_value("0.427")
    assert ringed(page) == places[0]
    question.get_by_role("button", name="It was 0.0427").click()
    expect(row(page, places[0])).to_contain_text("0.0427")
    expect(question).to_have_count(0)
    assert ringed(page) == places[1]
    expect(page.locator("#typed")).to_be_focused()
    page.keyboard.type("0.390")
    page.keyboard.press("Enter")
    question.get_by_role("button", name="Keep 0.390").click()
    expect(row(page, places[1])).to_contain_text("0.3900")


def test_a_wrong_text_is_told_and_stays_in_the_field(pages: Pages) -> None:
    page = pages.new(sign_in="ben", path=bench(BIG_HEAD) + "&place=6D")
    pages.expecting("422")
    page.keyboard.type("1.2 psi")
    page.keyboard.press("Enter")
    expect(page.locator("#entry-error")).to_contain_text("psi")
    expect(page.locator("#typed")).to_have_value("1.2 psi")
    expect(page.locator("#typed")).to_have_attribute("aria-invalid", "true")
    assert ringed(page) == "6D"
    page.keyboard.press("Control+a")
    page.keyboard.type("0.0401")
    page.keyboard.press("Enter")
    expect(row(page, "6D")).to_contain_text("0.0401")
    expect(page.locator("#entry-error")).to_be_hidden()
    expect(page.locator(".question")).to_have_count(0)


def test_keyboard_alone_corrects_a_reading_and_the_old_one_stays(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=bench(READ_HEAD) + "&place=2B")
    expect(page.locator("#history")).to_contain_text("2B is too deep by 2.8 thou.")
    page.locator("#history [data-correct]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#why")).to_be_focused()
    page.keyboard.type("misread")
    page.keyboard.press("Shift+Tab")
    page.locator("#typed").focus()
    page.keyboard.type("0.0430")
    page.keyboard.press("Enter")
    expect(row(page, "2B")).to_contain_text("inside")
    expect(page.locator("#history")).to_contain_text("corrected")
    expect(page.locator("#history")).to_contain_text("Why: misread")
    expect(page.locator("#history s")).to_have_text("0.0493 in below the deck")


@pytest.mark.parametrize("pages", [PHONE], indirect=True, ids=["phone"])
def test_touch_alone_goes_to_a_place_and_reads_it(pages: Pages) -> None:
    page = pages.new(sign_in="ben", path=bench(BIG_HEAD, "height"))
    page.locator('#readings tr[data-place="H5"]').tap()
    expect(page.locator("#place-name")).to_have_text("H5")
    page.locator("#typed").fill("0.0012")
    page.get_by_role("button", name="Change the sign").tap()
    expect(page.locator("#typed")).to_have_value("-0.0012")
    page.get_by_role("button", name="Enter", exact=True).tap()
    expect(row(page, "H5")).to_contain_text("0.0012")
    page.locator("#run-sheet a", has_text="Recession").tap()
    expect(page.locator("#readings-title")).to_contain_text("Recession")
    page.locator('.bench__map--phone [data-place="3C"]').tap()
    expect(page.locator("#place-name")).to_have_text("3C exhaust")
    page.locator("label", has_text="flush").tap()
    page.get_by_role("button", name="Enter", exact=True).tap()
    question = page.locator(".question")
    expect(question.or_(row(page, "3C").locator(".reading__side"))).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_a_viewer_sees_everything_and_may_enter_nothing(pages: Pages) -> None:
    page = pages.new(sign_in="vera", path=bench(READ_HEAD))
    expect(page.locator("#readings")).to_contain_text("0.0390")
    expect(page.locator("#entry")).to_have_count(0)
    row(page, "1A").click()
    expect(page.locator("#history")).to_contain_text("1A is inside")
    expect(page.locator("#history [data-correct]")).to_have_count(0)


def test_going_back_shows_the_quantity_before(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=bench(READ_HEAD))
    page.locator("#run-sheet a", has_text="Deck thickness").click()
    expect(page.locator("#readings-title")).to_contain_text("Deck thickness")
    page.go_back()
    expect(page.locator("#readings-title")).to_contain_text("Recession")
    page.keyboard.press("ArrowDown")
    assert ringed(page) == "1B"


def test_someone_signed_out_meanwhile_loses_nothing(pages: Pages) -> None:
    page = pages.new(sign_in="ben", path=bench(BIG_HEAD) + "&place=5A")
    pages.expecting("401", "403")
    page.context.clear_cookies()
    page.locator("#typed").fill("0.0388")
    page.keyboard.press("Enter")
    expect(row(page, "5A")).to_contain_text("0.0388")
    assert waiting_count(page) == 1
