"""A pasted table: its lines, before anything is read in them."""

from collections.abc import Iterable

from castworthy.web.contexts.sums.form import SumFault


def lines_of(text: str, *, most: int, field: str, what: str = "lines") -> list[str]:
    """The lines that hold something, without the space round them.

    Raises
    ------
    SumFault
        At the field, if there are more than ``most``.

    """
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if len(lines) > most:
        raise SumFault(f"Up to {most} {what} are read (got {len(lines)}).", field=field)
    return lines


def refuse_twice(names: Iterable[str], *, field: str) -> None:
    """Refuse a name that stands there twice: an answer by name would not say which is meant.

    Raises
    ------
    SumFault
        At the field.

    """
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise SumFault(f"{name} stands there twice; name every line once.", field=field)
        seen.add(name)
