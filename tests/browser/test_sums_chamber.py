"""The sums of chamber and piston in a browser, at the desk and on a phone."""

import pytest
from playwright.sync_api import expect
from served import DESK, PHONE, Pages

BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])


@BOTH
def test_a_washer_is_found_while_one_types(pages: Pages) -> None:
    typed = "stand=0.90mm&deck_cut=0.25mm&low=0.70mm&high=1.00mm"
    page = pages.new(sign_in="ana", path=f"/sums/injector?{typed}")
    word = page.locator(".sum__word")
    # 0.90 and 0.25 mm is 1.15 mm, 45.3 thou: past the most, with nothing to bring it back.
    expect(word).to_contain_text("No washer brings it to")
    page.get_by_label("In the shop's drawer").fill("0.25mm 0.5mm")
    expect(word).to_have_text(
        "Add a washer of 0.0098 in: the tip then stands 0.0354 in above the deck."
    )
    expect(word).to_be_in_viewport()


@BOTH
def test_a_pasted_table_of_lifts_draws_its_gap(pages: Pages) -> None:
    typed = "side=proud&gasket=1.30mm&deck=0.35mm&recession=1mm&pocket=0.4mm&stroke=124mm&rod=200mm"
    page = pages.new(sign_in="ana", path=f"/sums/piston?{typed}")
    expect(page.locator(".sum__word")).to_contain_text("0.0925 in from the piston")
    page.get_by_label("Or its lifts").fill("-6 1.26mm\n-4 1.07mm\n-2 0.90mm\n0 0.74mm")
    # 2.35 + 0.198 (4 degrees of crank 62, rod 200) - 1.07 is 1.478 mm, 0.0582 in.
    word = page.locator(".sum__word")
    expect(word).to_have_text(
        "The valve keeps 0.0582 in from the piston at 4° before top dead centre."
    )
    drawn = "phone" if pages.size == PHONE else "wide"
    expect(page.locator(f".sum__svg--{drawn} .cw-points circle")).to_have_count(4)
    expect(page.locator(f".sum__svg--{drawn} svg")).to_be_visible()
    page.get_by_label("Off the deck").fill("0.15 mm")
    expect(word).to_contain_text("After the work the valve keeps 0.0523 in")


@BOTH
def test_every_chamber_in_one_field_gives_a_table(pages: Pages) -> None:
    figures = "bore=100mm&stroke=100mm&chamber=50&gasket=1mm&chambers=50+52+49"
    page = pages.new(sign_in="ana", path=f"/sums/ratio?{figures}")
    rows = page.locator(".sum__table tbody tr")
    expect(rows).to_have_count(3)
    # pi/4 of 100 mm by 100 mm is 785.40 cm3, over 52 and the gasket's 7.854: 1 + 13.121.
    expect(rows.nth(1)).to_contain_text("14.12")
    page.get_by_label("Chambers", exact=True).fill("50 52 49 51")
    expect(rows).to_have_count(4)
    expect(page.locator(".sum__card")).to_contain_text("3 has the smallest chamber, 2 the largest")
