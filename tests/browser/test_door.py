"""The first run and the door in a browser."""

import pytest
from playwright.sync_api import expect
from served import DESK, PHONE, Pages

from factories.shop import PASSWORD


@pytest.mark.parametrize("new_pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])
def test_the_first_run_opens_the_shop(new_pages: Pages) -> None:
    page = new_pages.new(path="/")
    new_pages.expecting("422")
    page.get_by_label("Name of the shop").fill("Fen Works")
    page.get_by_label("Your name").fill("Olive Marsh")
    page.get_by_label("Sign-in name").fill("olive")
    page.get_by_label("Password").fill("short")
    page.get_by_role("button", name="Open the shop").click()
    expect(page.get_by_label("Password")).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_label("Your name")).to_have_value("Olive Marsh")
    page.get_by_label("Password").fill(PASSWORD)
    page.locator("label", has_text="millimetres").click()
    page.get_by_role("button", name="Open the shop").click()
    expect(page.get_by_role("heading", name="First, write a spec sheet")).to_be_visible()
    page.get_by_role("group").locator("summary").click()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in to Fen Works")).to_be_visible()


@pytest.mark.parametrize("pages", [DESK, PHONE], indirect=True, ids=["desk", "phone"])
def test_a_head_comes_in_with_what_is_new_added_on_the_spot(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/heads/new")
    expect(page.locator("#tag-field")).to_contain_text("it gets F2-")
    page.get_by_label("Spec sheet").select_option("F66")
    expect(page.locator("#tag-field")).to_contain_text("it gets F66-")
    expect(page.get_by_label("Code of the new lot")).to_be_hidden()
    page.get_by_label("Supplier's lot").select_option("a new lot ...")
    page.get_by_label("Code of the new lot").fill(f"L-{pages.size[0]}")
    expect(page.get_by_label("Name of the new supplier")).to_be_hidden()
    page.get_by_label("Supplier", exact=True).select_option("a new supplier ...")
    page.get_by_label("Name of the new supplier").fill(f"Gale Foundry {pages.size[0]}")
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_role("status")).to_contain_text("is taken in. Write the tag on it")
    expect(page.locator("main")).to_contain_text(f"L-{pages.size[0]} from Gale Foundry")
    page.get_by_role("link", name="To the bench").click()
    expect(page.locator("#readings-title")).to_contain_text("Deck heights")


def test_a_core_asks_what_its_owner_says(pages: Pages) -> None:
    page = pages.new(sign_in="ana", path="/heads/new")
    pages.expecting("422")
    expect(page.get_by_label("welded")).to_be_hidden()
    page.locator("label", has_text="core").click()
    expect(page.get_by_label("Supplier's lot")).to_be_hidden()
    page.get_by_label("welded").check()
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_label("Customer", exact=True)).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_label("welded")).to_be_checked()
    page.get_by_label("Customer", exact=True).select_option("Ridge Farms")
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_label("What is said of it")).to_have_value("Welded.")
