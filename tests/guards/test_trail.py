"""Every deed leaves one row in the trail, and the guard that says so fails when broken."""

import inspect
from collections.abc import Iterator
from importlib import import_module
from pkgutil import iter_modules

import pytest
import trail_examples
from trail_examples import EXAMPLES, NOT_DEEDS, Stage, set_the_stage

from castworthy import actions
from castworthy.actions import people, trade
from castworthy.records.models import Supplier, Trail

TOOLS = {"deed", "entry", "errors", "proved", "setting", "settle", "steps", "texts"}
"""Modules of the room that hold what deeds are made of, and no deed."""

trail_examples.load()


def deeds() -> Iterator[str]:
    for found in iter_modules(actions.__path__):
        if found.name in TOOLS:
            continue
        module = import_module(f"{actions.__name__}.{found.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_"):
                yield f"{found.name}.{name}"


def rows_left_by(stage: Stage, name: str) -> list[Trail]:
    deed = EXAMPLES[name](stage)
    last = Trail.objects.order_by("-id").values_list("id", flat=True).first() or 0
    deed()
    return list(Trail.objects.filter(id__gt=last))


def test_every_deed_has_an_example() -> None:
    known = set(deeds())
    assert known - NOT_DEEDS == set(EXAMPLES)
    assert known >= NOT_DEEDS


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_a_deed_leaves_one_row(name: str) -> None:
    rows = rows_left_by(set_the_stage(), name)
    assert len(rows) == 1
    assert rows[0].deed
    assert rows[0].subject


@pytest.mark.django_db
def test_the_guard_sees_a_deed_that_leaves_none_or_two(monkeypatch: pytest.MonkeyPatch) -> None:
    stage = set_the_stage()

    def silent(stage: Stage) -> trail_examples.Deed:
        return lambda: Supplier.objects.create(name="Hush")

    def twice(stage: Stage) -> trail_examples.Deed:
        def deed() -> None:
            trade.add_supplier(name="One", by=stage.owner)
            people.change_units(show_length="mm", by=stage.owner)

        return deed

    monkeypatch.setitem(EXAMPLES, "trade.silent", silent)
    monkeypatch.setitem(EXAMPLES, "trade.twice", twice)
    assert rows_left_by(stage, "trade.silent") == []
    assert len(rows_left_by(stage, "trade.twice")) == 2


def test_the_guard_sees_a_deed_without_an_example(monkeypatch: pytest.MonkeyPatch) -> None:
    def forgotten() -> None:
        """Write something."""

    forgotten.__module__ = trade.__name__
    monkeypatch.setattr(trade, "forgotten", forgotten, raising=False)
    assert "trade.forgotten" in set(deeds()) - NOT_DEEDS - set(EXAMPLES)
