"""The sums of chamber and piston in a browser, at the desk and on a phone."""

import pytest
from playwright.sync_api import expect
from served import DESK, PHONE, Pages

BOTH = pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])


@BOTH
def test_a_washer_is_found_while_one_types(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/sums/injector")
    word = page.locator(".sum__word")
    for label, typed in (
        ("How far", "0.90 mm"),
        ("Off the deck", "0.25 mm"),
        ("Least stand", "0.70 mm"),
        ("Most stand", "1.00 mm"),
    ):
        page.get_by_label(label).fill(typed)
    # 0.90 and 0.25 mm is 1.15 mm, 45.3 thou: past the most, with nothing to bring it back.
    expect(word).to_contain_text("No washer brings it to")
    page.get_by_label("In the shop's drawer").fill("0.25mm 0.5mm")
    expect(word).to_have_text(
        "Add a washer of 0.0098 in: the tip then stands 0.0354 in above the deck."
    )
    expect(word).to_be_in_viewport()
