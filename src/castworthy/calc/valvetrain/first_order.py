"""Standard uncertainty of a sum, from those of what went in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import hypot
from typing import TypeAlias

from castworthy.calc.errors import InputError

Model: TypeAlias = Callable[[dict[str, float]], float]
"""A sum, from its inputs by name to its result."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What the uncertainty of one input does to the result, signed, in the result's unit."""

    name: str
    share: float


def parts_of(model: Model, *, values: Mapping[str, float], u: Mapping[str, float]) -> list[Part]:
    """What each input's standard uncertainty does to a sum, to first order.

    Parameters
    ----------
    model : callable
        The sum, from a dictionary of inputs to its result.
    values : mapping of str to float
        Inputs by name, each in the unit the model takes.
    u : mapping of str to float
        Standard uncertainties of some of them, in the same units; inputs left out are exact.

    Returns
    -------
    list of Part
        Half the change of the result between value + u and value - u, one for each of ``u``.

    Raises
    ------
    InputError
        If an uncertainty is negative or belongs to no input.

    References
    ----------
    JCGM 100:2008, 5.1.3, note 2.

    """
    parts = []
    for name, size in u.items():
        if name not in values or not size >= 0.0:
            raise InputError(
                f"An uncertainty is not negative and belongs to an input, got {size:g} for {name}."
            )
        up = model({**values, name: values[name] + size})
        down = model({**values, name: values[name] - size})
        parts.append(Part(name=name, share=(up - down) / 2.0))
    return parts


def combined_u(
    model: Model, *, values: Mapping[str, float], u: Mapping[str, float | None]
) -> float | None:
    """Combined standard uncertainty of a sum of independent inputs, to first order.

    Parameters
    ----------
    model : callable
        The sum, from a dictionary of inputs to its result.
    values : mapping of str to float
        Inputs by name, each in the unit the model takes.
    u : mapping of str to float or None
        Standard uncertainties by the same names; ``None`` for one that is not known.

    Returns
    -------
    float or None
        In the result's unit; ``None`` where no input's uncertainty is known.

    References
    ----------
    JCGM 100:2008, 5.1.2 and 5.1.3, note 2.

    """
    known = {name: size for name, size in u.items() if size is not None}
    if not known:
        return None
    return hypot(*(part.share for part in parts_of(model, values=values, u=known)))
