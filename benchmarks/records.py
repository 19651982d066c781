"""Pages of a full shop: 1,000 heads with 200 readings each, on SQLite in a folder of its own.

Prints the 50th and 95th percentile of every lookup behind the rack and head pages and of
recording a reading; the target is 100 ms a page and 30 ms a reading.
"""

import os
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from statistics import quantiles
from uuid import uuid4

HEADS_COUNT = 1000
READINGS_COUNT = 200
ROUNDS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """What was set up."""

    tags: tuple[str, ...]
    gauge: str
    sign_in: str


def fill() -> Shop:
    """One head by its deeds, the others as copies of its rows."""
    from castworthy.records.models import Head, Reading
    from factories import shop
    from factories.sheet_texts import big_sheet_text

    owner = shop.open_shop()
    code = shop.write_sheet(owner, text=big_sheet_text(heights_count=48))
    gauge = shop.add_depth_gauge(owner)
    first = shop.take_in(owner, code=code, tag="F66-0001")
    shop.measure_all(first.tag, by=owner)
    first.refresh_from_db()
    rows = list(Reading.objects.filter(head=first))
    assert len(rows) >= READINGS_COUNT, len(rows)
    chance = random.Random(1)
    steps = ("measure", "measure", "measure", "plan", "machine", "machine", "assemble", "prove")
    for number in range(2, HEADS_COUNT + 1):
        step = chance.choice(steps)
        head = Head.objects.get(pk=first.pk)
        head.pk, head.tag, head.step = None, f"F66-{number:04d}", step
        head._state.adding = True
        head.step_since -= timedelta(hours=chance.randint(1, 2000))
        head.save()
        for row in rows:
            row.pk, row.uuid, row.head_id = None, uuid4(), head.pk
            row._state.adding = True
        Reading.objects.bulk_create(rows)
    tags = tuple(Head.objects.order_by("tag").values_list("tag", flat=True))
    return Shop(tags=tags, gauge=gauge, sign_in=owner.username)


def measure(name: str, call: Callable[[], object]) -> None:
    """Time a call ``ROUNDS`` times and print its percentiles."""
    taken_ms = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        call()
        taken_ms.append((time.perf_counter() - begun) * 1000)
    cuts = quantiles(taken_ms, n=20)
    print(f"{name:34} median {cuts[9]:6.1f} ms   p95 {cuts[18]:6.1f} ms")


def main() -> None:
    """Set up, time, clear away."""
    folder = Path(tempfile.mkdtemp(prefix="castworthy-bench-"))
    os.environ["CASTWORTHY_DATA"] = str(folder)
    os.environ.pop("DATABASE_URL", None)
    sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
    try:
        run()
    finally:
        shutil.rmtree(folder)


def run() -> None:
    """Time everything."""
    from castworthy.server.start import prepare

    prepare()
    begun = time.perf_counter()
    shop_facts = fill()
    from castworthy.records.models import Reading

    print(
        f"{len(shop_facts.tags)} heads, {Reading.objects.count()} readings "
        f"set up in {time.perf_counter() - begun:.0f} s"
    )
    _lookups(shop_facts)
    _pages(shop_facts)


def _lookups(shop_facts: Shop) -> None:
    from castworthy.records.lookups.heads import head_facts
    from castworthy.records.lookups.measure import measure_page
    from castworthy.records.lookups.rack import rack
    from castworthy.records.lookups.search import find_heads
    from castworthy.records.models import Person
    from castworthy.records.standing import standing_of
    from castworthy.units import Show
    from factories import shop

    chance = random.Random(2)
    by = Person.objects.get(username=shop_facts.sign_in)

    def tag() -> str:
        return chance.choice(shop_facts.tags)

    measure("rack", rack)
    measure("search 'lode 00'", lambda: find_heads("lode 00"))
    measure("head's top line", lambda: head_facts(tag()))
    measure("standing of a head", lambda: standing_of(tag()))
    measure("bench of a head", lambda: measure_page(tag(), show=Show()))
    measure(
        "recording a reading",
        lambda: shop.kept(tag(), "recession", "3B", "0.0391 in", by=by, gauge=shop_facts.gauge),
    )


def _pages(shop_facts: Shop) -> None:
    """Whole pages through the server's own stack, signed in."""
    from django.test import Client
    from django.urls import NoReverseMatch, reverse

    from castworthy.records.models import Person

    chance = random.Random(3)
    client = Client(HTTP_HOST="localhost")
    client.force_login(Person.objects.get(username=shop_facts.sign_in))

    def get(address: str) -> None:
        answer = client.get(address)
        assert answer.status_code == 200, (address, answer.status_code)

    measure("page: rack", lambda: get(reverse("rack")))
    for name in ("measure", "plan", "machine", "assemble", "prove", "release", "history"):
        try:
            reverse(name, args=["X"])
        except NoReverseMatch:
            print(f"page: {name} has no address")
            continue
        measure(
            f"page: {name}", lambda name=name: get(reverse(name, args=[_any(chance, shop_facts)]))
        )


def _any(chance: random.Random, shop_facts: Shop) -> str:
    return chance.choice(shop_facts.tags)


if __name__ == "__main__":
    main()
