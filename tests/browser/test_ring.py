"""A gauge that types, at the ring page: six stands one after the other, Enter after each."""

import pytest
from playwright.sync_api import expect
from seed import RING_HEAD
from served import DESK, PHONE, Pages


@pytest.mark.parametrize(
    ("pages", "cylinder", "thou"),
    [(DESK, "2", "8.5"), (PHONE, "1", "8.7")],
    indirect=["pages"],
    ids=["desk", "phone"],
)
def test_six_stands_by_keys_alone(pages: Pages, cylinder: str, thou: str) -> None:
    page = pages.new(sign_in="olive")
    page.goto(f"/heads/{RING_HEAD}/ring?place={cylinder}#read")
    expect(page.locator("#stand-twelve")).to_be_focused()
    for name in ("twelve", "three", "six", "nine", "before"):
        expect(page.locator(f"#stand-{name}")).to_be_focused()
        page.keyboard.type(thou)
        page.keyboard.press("Enter")
    page.keyboard.type(thou)
    page.keyboard.press("Enter")
    expect(page.get_by_text(f"The ring of cylinder {cylinder} is inside all round")).to_be_visible()
