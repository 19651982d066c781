"""A pasted table: its lines, before anything is read in them."""

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
