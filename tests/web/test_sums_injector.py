"""Injector and washers: plane geometry by hand, and the head that fills the form."""

import pytest
from scipy.stats import norm

from castworthy.records.lookups.sums import sheet_for_sums
from castworthy.records.models import Head, Person
from factories import shop
from factories.bench_sums import MM, answer_of, error_at, example_of, figures, page_of, plan_work

BASE = {"stand": "0.90", "low": "0.70", "high": "1.00"}


def test_a_cut_brings_the_tip_out_and_a_washer_back() -> None:
    # By hand: 0.90 and 0.25 off the deck is 1.15 out; a washer of 0.25 brings it to 0.90.
    typed = BASE | {"deck_cut": "0.25", "washers": "0.25 0.50"}
    answer = answer_of("injector", typed, show=MM)
    assert answer.headline == (
        "Add a washer of 0.250 mm: the tip then stands 0.900 mm above the deck."
    )
    assert answer.tone == "inside"
    assert figures("injector", typed, show=MM)["After the cut"] == "1.150 mm above the deck"


def test_the_washer_it_was_read_on_comes_out() -> None:
    # By hand: 1.81 + 0.15 over 1.5 is 3.46 bare; 1.75 leaves 1.71, next to the middle of 1.725.
    found = figures("injector", example_of("injector"), show=MM)
    assert found["With no washer at all"] == "3.460 mm above the deck"
    assert found["Stands then"] == "1.710 mm above the deck"


def test_how_sure_it_is_and_when_it_is_too_close() -> None:
    typed = BASE | {"stand": "0.98", "u_stand": "0.03", "u_cut": "0.04"}
    answer = answer_of("injector", typed, show=MM)
    # JCGM 106, 7.2 by scipy: 0.98 with u of hypot(0.03, 0.04) between 0.70 and 1.00.
    share = norm.cdf(0.02 / 0.05) - norm.cdf(-0.28 / 0.05)
    assert figures("injector", typed, show=MM)["Sure to be inside"] == f"{100 * share:.1f} %"
    assert answer.tone == "close"
    assert "Too close to call" in answer.cautions[0]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"stand": "0.50", "washers": "0.25"}, "it stands too far in"),
        ({"side": "below", "stand": "0.2"}, "a washer only takes it further"),
        ({"deck_cut": "0.25", "washers": "1.0"}, "as it is it would stand 1.150 mm above"),
        # 0.60 over a washer of 0.50: even the thinnest at hand leaves 0.60.
        ({"stand": "0.60", "fitted": "0.50", "washers": "0.75"}, "it stands too far in"),
    ],
)
def test_why_no_washer_serves(typed: dict[str, str], said: str) -> None:
    answer = answer_of("injector", BASE | typed, show=MM)
    assert answer.tone == "outside"
    assert said in answer.headline
    assert answer.sentences


def test_limits_below_the_deck_and_crossed_ones() -> None:
    typed = {"side": "below", "stand": "0.3", "low": "-0.4", "high": "-0.2"}
    answer = answer_of("injector", typed, show=MM)
    assert answer.headline.startswith("No washer is needed: the tip stands 0.300 mm below")
    assert "no more than the most" in error_at("injector", BASE | {"high": "0.6"}, "high", show=MM)


@pytest.fixture
def injected(owner: Person) -> Head:
    """A head whose sheet limits the injector and names the shop's washers."""
    text = shop.SMALL + "\n[limit.injector_protrusion]\nlow = 0.060\nhigh = 0.075\n"
    text += "\n[work]\nwashers = [0.010, 0.020]\n"
    return shop.take_in(owner, code=shop.write_sheet(owner, text=text))


def test_a_head_fills_stand_limit_washers_and_planned_cut(injected: Head, owner: Person) -> None:
    shop.kept(injected.tag, "injector_protrusion", "1", "0.0700 in", by=owner, side="above")
    plan_work(injected, ("surface", "", 0.254), by=owner)
    head = sheet_for_sums(injected.tag, place="1")
    page = page_of("injector", {}, head=head)
    typed = {each.field.name: each.typed for each in page.fields}
    assert (typed["stand"], typed["low"], typed["high"]) == ("0.07", "0.06", "0.075")
    assert (typed["washers"], typed["deck_cut"]) == ("0.01 0.02", "0.01")
    # By hand: 0.070 and 0.010 is 0.080; a washer of 0.010 brings it to 0.070.
    assert "Add a washer of 0.0100 in" in page.answer.headline
