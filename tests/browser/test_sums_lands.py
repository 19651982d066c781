"""Lands and joint in a browser, at the desk and on a phone."""

import pytest
from playwright.sync_api import expect
from seed import RING_HEAD
from served import DESK, PHONE, Pages

BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])


@BOTH
def test_a_typed_deck_is_drawn_and_told(pages: Pages) -> None:
    figures = "diameter=118mm&width=2mm&deck_from=typed&bore=107mm"
    page = pages.new(sign_in="ana", path=f"/sums/lands?{figures}")
    expect(page.get_by_label("Code of the sheet")).to_be_hidden()
    page.get_by_label("What lies round it").fill("coolant 0 65.5mm 8mm\nstud 80mm 0 14mm")
    # 65.5 - 4 - 60 mm is 1.5 mm, 0.0591 in.
    expect(page.locator(".sum__word")).to_have_text(
        "The groove of cylinder 1 leaves 0.0591 in to passage coolant 1, its narrowest land."
    )
    drawn = "phone" if pages.size == PHONE else "wide"
    expect(page.locator(f".sum__svg--{drawn} .cw-joint-ring")).to_be_visible()
    expect(page.locator(".sum__table tbody tr")).to_have_count(3)


@BOTH
def test_a_head_s_sheet_answers_at_once(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path=f"/sums/lands?head={RING_HEAD}")
    expect(page.get_by_label("Code of the sheet")).to_have_value("R2")
    drawn = "phone" if pages.size == PHONE else "wide"
    expect(page.locator(f".sum__svg--{drawn} .cw-groove")).to_have_count(2)
    page.get_by_role("radio", name="what is typed here").check()
    expect(page.locator(".sum__word")).to_have_text("Still to type: Bore and what lies round it.")
