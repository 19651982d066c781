"""One example call of every deed, for the guard of the trail.

Each module of this folder registers examples with ``@example("module.function")``.  An example
prepares what the deed needs and answers the call itself, not yet made::

    @example("trade.add_customer")
    def _(stage: Stage) -> Deed:
        return lambda: trade.add_customer(name="Ridge Farms", by=stage.owner)

``not_a_deed("module.function")`` names public functions of a deed module that only look.
"""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pkgutil import iter_modules

from castworthy.records.models import Head, Person, Role
from factories import shop

Deed = Callable[[], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A shop with an owner, a machinist, a sheet and a head just taken in."""

    owner: Person
    machinist: Person
    sheet: str
    head: Head

    @property
    def tag(self) -> str:
        """The head's tag."""
        return self.head.tag


EXAMPLES: dict[str, Callable[[Stage], Deed]] = {}
NOT_DEEDS: set[str] = set()


def example(name: str) -> Callable[[Callable[[Stage], Deed]], Callable[[Stage], Deed]]:
    """Register the example of one deed."""

    def register(prepare: Callable[[Stage], Deed]) -> Callable[[Stage], Deed]:
        assert name not in EXAMPLES, f"{name} has two examples"
        EXAMPLES[name] = prepare
        return prepare

    return register


def not_a_deed(*names: str) -> None:
    """Public functions of deed modules that write nothing."""
    NOT_DEEDS.update(names)


def set_the_stage() -> Stage:
    """A shop at work."""
    owner = shop.open_shop()
    sheet = shop.write_sheet(owner)
    return Stage(
        owner=owner,
        machinist=shop.hire(owner, name="Ana Reed", role=Role.MACHINIST),
        sheet=sheet,
        head=shop.take_in(owner, code=sheet),
    )


def load() -> None:
    """Import every module of examples."""
    for module in iter_modules(__path__):
        import_module(f"{__name__}.{module.name}")


__all__ = ["Deed", "Stage", "example", "load", "not_a_deed", "set_the_stage"]
