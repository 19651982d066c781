"""Every page opens without an error, fits its screen, and can be hit by a thumb."""

import re

import pytest
from seed import BIG_HEAD, LEAK_HEADS, READ_HEAD, RING_HEAD, TRACED_HEAD
from served import DESK, PHONE, TABLET, Pages

SHOP = (
    "/",
    "/?step=measure",
    "/heads/new",
    "/sheets/",
    "/suppliers/",
    "/customers/",
    "/gauges/",
    "/people/",
    "/people/olive/",
    "/shop",
    "/search?q=F2",
    "/sums",
    "/sums/seat",
    "/sums/leak",
    "/sums/clamp",
    "/sums/injector",
    "/sums/lands?diameter=4.65&width=0.04&code=F2",
    "/sums/ratio?bore=4&stroke=5&chamber=50&gasket=0.05&chambers=50+52&low_chamber=49",
    "/sums/piston?gasket=0.05&deck=0&recession=0.04&stroke=4.9&rod=8&lifts=-2+0.03%0A0+0.03",
    f"/sums/spring?head={READ_HEAD}&place=2B",
)
HEAD = (
    "take-in",
    "measure",
    "measure?quantity=height",
    "measure?quantity=finish_ra",
    "plan",
    "machine",
    "assemble",
    "prove",
    "prove/1A/log",
    "release",
    "history",
    "photos",
    "finish",
    "ring",
    "deck",
)
ADDRESSES = (
    *SHOP,
    *(f"/heads/{READ_HEAD}/{page}" for page in HEAD if "height" not in page),
    *(f"/heads/{BIG_HEAD}/{page}" for page in ("take-in", "measure", "measure?quantity=height")),
    *(f"/heads/{TRACED_HEAD}/{page}" for page in ("finish", "deck")),
    f"/heads/{RING_HEAD}/ring",
    f"/heads/{RING_HEAD}/measure?quantity=ring_stand",
    f"/heads/{LEAK_HEADS[0]}/prove",
    f"/heads/{LEAK_HEADS[0]}/prove/2B/log",
)
SIZES = pytest.mark.parametrize(
    "pages", [DESK, TABLET, PHONE], indirect=True, ids=["desk", "tablet", "phone"]
)
SMALL_TARGETS = """() => {
  const targets = document.querySelectorAll(
    "button:not(.visually-hidden), a.button, select, summary, .tabs a, .run__line, " +
    ".segments label, label.tick, " +
    "input:not([type=hidden]):not([type=radio]):not([type=checkbox])");
  const seen = (one) => one.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  return [...targets].filter(seen)
    .map((one) => [one.outerHTML.slice(0, 90), one.getBoundingClientRect().height])
    .filter(([, height]) => height < 43.5);
}"""
NAMELESS = """() => [...document.querySelectorAll("input:not([type=hidden]), select, textarea")]
  .filter((one) => !one.labels?.length && !one.getAttribute("aria-label")
    && !one.getAttribute("aria-labelledby"))
  .map((one) => one.outerHTML.slice(0, 90))"""


@SIZES
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_every_page_fits_and_can_be_hit(pages: Pages, dark: bool) -> None:
    page = pages.new(sign_in="olive", dark=dark)
    wrong = []
    for address in ADDRESSES:
        answer = page.goto(address)
        status = answer.status if answer else 0
        wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        found = {
            "status": "" if status == 200 else status,
            "scrolls sideways by": max(0, wide),
            "too small": page.evaluate(SMALL_TARGETS),
            "nameless": page.evaluate(NAMELESS),
            "headings": "" if page.locator("h1").count() == 1 else page.locator("h1").count(),
        }
        wrong += [f"{address}: {what} {told}" for what, told in found.items() if told]
    assert wrong == []


def test_every_page_of_the_shop_is_visited(pages: Pages) -> None:
    page = pages.new(sign_in="olive")
    found = set()
    for address in ("/", f"/heads/{READ_HEAD}/measure"):
        page.goto(address)
        for link in page.locator(".top__links a, .menu__sheet a, .tabs a").all():
            found.add(re.sub(r"\?.*", "", link.get_attribute("href") or ""))
    visited = {re.sub(r"\?.*", "", address) for address in ADDRESSES}
    assert found <= visited
