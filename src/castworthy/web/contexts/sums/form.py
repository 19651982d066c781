"""A sum as a form and its answer: the fields, what stands in them, what is told."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from django.utils.safestring import SafeString

from castworthy.calc.quantity import Quantity, Site
from castworthy.calc.rework.results import OperationKind
from castworthy.records.kept_sums import KeptAnswer
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.proof_words import temperature_unit, vacuum_unit
from castworthy.units import Show
from castworthy.units.show import as_text

Usual = float | str | tuple[str, str]
"""A value in the field's own suffix, a text, or the texts for inches and for millimetres."""

MOST: dict[str, float] = {
    "mm": 1000.0,
    "mm2": 100_000.0,
    "um": 50.0,
    "cm3": 100_000.0,
    "deg": 360.0,
    "n": 100_000.0,
    "n_per_mm": 100_000_000.0,
    "n_m": 5_000.0,
    "kpa": 100_000.0,
    "mpa": 500_000.0,
    "degc": 300.0,
    "s": 86_400.0,
    "rpm": 20_000.0,
    "count": 1_000.0,
    "ratio": 100.0,
}
"""Beyond these no head shop goes (common practice, no source)."""

ONE_READING = "Standard, one reading."

BARE = frozenset({"count", "ratio"})
"""Suffixes whose values carry no unit."""

_DIGITS = {"mm": 4, "lbf": 2, "N": 2, "lbf/in": 2, "°F": 1, "°C": 1, "psi": 2}
_INCH_MM = 25.4
_THOU_MM = 0.0254
_LIMITS = ("low", "high", "least", "most", "aim")
"""How the names of fields begin that hold what is allowed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a sum.

    ``suffix`` is that of its value, empty for a choice or a text.  Values lie above ``least``
    (on it too where ``from_least``) and up to ``most``.  ``several`` takes a list.  ``when``
    names what must be chosen elsewhere for the field to count, "rate|wire" either of two.
    """

    name: str
    label: str
    suffix: str = ""
    usual: Usual | None = None
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    optional: bool = False
    least: float = 0.0
    from_least: bool = False
    most: float | None = None
    whole: bool = False
    vacuum: bool = False
    several: bool = False
    lines: int = 0
    when: tuple[str, ...] = ()

    @property
    def highest(self) -> float:
        """The most it may be."""
        return MOST[self.suffix] if self.most is None else self.most

    def unit(self, show: Show) -> str:
        """The unit of a bare number; empty where there is none."""
        if not self.suffix or self.suffix in BARE:
            return ""
        if self.suffix == "degc":
            return temperature_unit(show)
        return vacuum_unit(show) if self.vacuum else show.unit(self.suffix)

    def typed(self, value: Usual | None, *, show: Show) -> str:
        """A value as the person would type it."""
        if value is None:
            return ""
        if isinstance(value, tuple):
            return value[1] if show.metric else value[0]
        if isinstance(value, str):
            return value
        return self._number(value, show=show)

    def _number(self, value: float, *, show: Show) -> str:
        unit = self.unit(show)
        if not unit:
            return f"{value:g}"
        if unit == "°F":
            return f"{value * 9.0 / 5.0 + 32.0:g}"
        digits = _DIGITS.get(unit, 3)
        if unit == "in":
            digits = _inch_digits(value, limit=self.name.startswith(_LIMITS))
        said = as_text(value, suffix=self.suffix, unit=unit, digits=digits)
        return said.rstrip("0").rstrip(".") if "." in said else said

    def within(self, *, show: Show) -> str:
        """The values it takes, in words."""
        most = self._said(self.highest, show=show)
        if self.least == 0.0:
            return f"from 0 to {most}" if self.from_least else f"above 0 and up to {most}"
        return f"from {self._said(self.least, show=show)} to {most}"

    def _said(self, value: float, *, show: Show) -> str:
        unit = self.unit(show)
        gap = "" if unit in {"°", ""} else " "
        return f"{self._number(value, show=show)}{gap}{unit}"


def uncertainty(
    name: str, label: str, *, suffix: str = "mm", most: float | None = 1.0, hint: str = ""
) -> Field:
    """A field for a standard uncertainty, which may be left out."""
    return Field(
        name=name,
        label=f"Uncertainty of {label}",
        suffix=suffix,
        most=most,
        from_least=True,
        optional=True,
        hint=hint,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Fields that belong together, ``folded`` ones behind a title."""

    title: str
    fields: tuple[Field, ...]
    across: int = 2
    folded: bool = False
    hint: str = ""
    when: tuple[str, ...] = ()

    @property
    def optional(self) -> bool:
        """True where every field may be left out."""
        return all(each.optional for each in self.fields if not each.choices)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer(KeptAnswer):
    """What a sum tells, with its drawing; ``svg_phone`` is the one for a narrow screen, where it
    needs another.
    """

    svg: SafeString = field(default_factory=SafeString)
    svg_phone: SafeString = field(default_factory=SafeString)


class SumFault(ValueError):  # noqa: N818
    """What was typed cannot be worked out: one sentence, and the field it is about."""

    def __init__(self, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What was typed, as values; what was left out or does not count is ``None``."""

    values: Mapping[str, float | str | tuple[float, ...] | None]
    show: Show

    def number(self, name: str) -> float:
        """A value that is there."""
        value = self.maybe(name)
        if value is None:
            raise KeyError(name)
        return value

    def maybe(self, name: str) -> float | None:
        """A value that may have been left out."""
        value = self.values.get(name)
        return value if isinstance(value, float) else None

    def several(self, name: str) -> tuple[float, ...]:
        """A list of values, empty where it was left out."""
        value = self.values.get(name)
        return value if isinstance(value, tuple) else ()

    def word(self, name: str) -> str:
        """A choice or a text, empty where it was left out."""
        return str(self.values.get(name) or "")

    def both(self, first: str, second: str) -> bool:
        """True where both of two optional fields are filled."""
        return self.values.get(first) is not None and self.values.get(second) is not None


Prefill = Callable[[SumsHead], Mapping[str, Usual | None]]


_SITES = {
    "Seats and valves": Site.VALVE,
    "Springs": Site.VALVE,
    "Leak": Site.VALVE,
    "Chamber": Site.CYLINDER,
    "Ring": Site.CYLINDER,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """One sum: what it is for, its form, its work, how the trade does the step.

    ``steps`` are the url names of the head's pages it belongs to: kept answers and a link
    stand there; ``operations`` those of the plan they stand beside.  ``site`` is what kind of
    place it is worked at, its group's unless it says.  ``measured`` are the quantities at whose
    run sheet it is offered.  ``readings`` answers what of the sum is
    read, not predicted, in the quantity's own unit: a person may take it in at Measure;
    ``readings_say`` says why it is a reading.
    """

    name: str
    title: str
    group: str
    says: str
    parts: tuple[Part, ...]
    work: Callable[[Given], Answer]
    example: Mapping[str, Usual]
    prefill: Prefill | None = None
    practices: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ("plan",)
    operations: tuple[OperationKind, ...] = ()
    site: Site | None = None
    measured: tuple[Quantity, ...] = ()
    readings: Callable[[Given], Mapping[Quantity, float]] | None = None
    readings_say: str = ""

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every field, in order."""
        return tuple(each for part in self.parts for each in part.fields)

    @property
    def worked_at(self) -> Site:
        """What kind of place it is worked at."""
        return self.site or _SITES.get(self.group, Site.HEAD)

    def place_of(self, head: SumsHead) -> str:
        """The place of a head it is kept at; empty for the head as a whole."""
        if self.worked_at is Site.HEAD:
            return ""
        if self.worked_at is Site.CYLINDER and head.place and head.cylinder is not None:
            return head.cylinder.name
        return head.place


def in_both(said: Callable[[Show], str]) -> tuple[str, str]:
    """A text for a reader of inches and for one of millimetres."""
    return said(Show(length="thou")), said(Show(length="mm"))


def size(length_mm: float, show: Show) -> str:
    """A size: ``1.4200 in``."""
    return show.value(length_mm, suffix="mm")


def cut(length_mm: float, show: Show) -> str:
    """A cut or a difference: ``10.0 thou``."""
    return show.value(length_mm, suffix="mm", difference=True)


def span(ends_mm: tuple[float, float], show: Show) -> str:
    """Two small lengths: ``8.0 to 9.0 thou``."""
    low, high = ends_mm
    return f"{show.number(low, suffix='mm', difference=True)} to {cut(high, show)}"


def force(newtons: float, show: Show) -> str:
    """A spring's load: ``82.0 lbf``."""
    return show.value(newtons, suffix="n")


def typed_lengths(lengths_mm: tuple[float, ...]) -> Usual | None:
    """Lengths as one types them, for inches and for millimetres; ``None`` without any."""
    if not lengths_mm:
        return None
    inches = " ".join(f"{round(each / _INCH_MM, _inch_digits(each)):g}" for each in lengths_mm)
    return inches, " ".join(f"{round(each, 4):g}" for each in lengths_mm)


def _inch_digits(length_mm: float, *, limit: bool = False) -> int:
    """Decimals of a length filled in inches: four, as a shop types; five for a limit, so that one
    in round millimetres moves by no more than 5 millionths, and for what is below a thou.
    """
    return 5 if limit or abs(length_mm) < _THOU_MM else 4
