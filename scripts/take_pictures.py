"""Take the README pictures from a running demo: make demo, then this script."""

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

ADDRESS = sys.argv[1] if len(sys.argv) > 1 else "http://127.0.0.1:8000"
PICTURES = Path(__file__).parents[1] / "docs" / "pictures"
PAGES = {
    "bench": "/heads/T66-0042/measure",
    "plan": "/heads/T66-0039/plan",
    "deck": "/heads/T66-0042/deck",
    "finish": "/heads/F14-200/finish",
    "ring": "/heads/T66-0042/ring",
    "sum": "/sums/seat?head=T66-0041&place=4A",
}
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"]

with sync_playwright() as play:
    browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=QUIET)
    page = browser.new_page(viewport={"width": 1280, "height": 800}, color_scheme="light")
    page.goto(f"{ADDRESS}/sign-in")
    page.fill("[name=name]", "ana")
    page.fill("[name=password]", "seven brass shims")
    page.click("main button[type=submit]")
    page.wait_for_url(f"{ADDRESS}/")
    for name, path in PAGES.items():
        page.goto(ADDRESS + path)
        page.wait_for_load_state("networkidle")
        page.wait_for_timeout(800)
        page.screenshot(path=PICTURES / f"{name}.png")
    browser.close()
