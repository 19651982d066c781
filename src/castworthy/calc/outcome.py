"""Results that every room of calc shares."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """The head cannot be judged from this: a designed answer, not an error.

    Falsy, so that ``if result:`` reads as "could be judged".
    """

    code: str
    reason: str
    remedy: str

    def __bool__(self) -> bool:
        return False

    @property
    def sentence(self) -> str:
        """Reason and way out, as a person reads them."""
        return f"{self.reason} {self.remedy}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A value with its standard uncertainty, both in the unit of the quantity.

    ``u`` is ``None`` when no gauge is known.
    """

    value: float
    u: float | None
