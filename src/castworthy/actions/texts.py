"""Texts of a form checked against their columns; no deed of its own."""

from castworthy.actions.errors import DeedRefused


def named(text: str, *, field: str, what: str, longest: int) -> str:
    """A short text that must be there, without blanks around it.

    Raises
    ------
    DeedRefused
        If it is empty, too long, or holds a line break.

    """
    kept = short(text, field=field, what=what, longest=longest)
    if not kept:
        raise DeedRefused(f"{what} is empty; write it in.", field=field)
    return kept


def short(text: str, *, field: str, what: str, longest: int) -> str:
    """A short text that may be empty, without blanks around it.

    Raises
    ------
    DeedRefused
        If it is too long, or holds signs that cannot be shown.

    """
    kept = text.strip()
    if len(kept) > longest:
        raise DeedRefused(
            f"{what} may have {longest} characters; this has {len(kept)}. Shorten it.", field=field
        )
    if not kept.isprintable():
        raise DeedRefused(f"{what} holds signs that cannot be shown; type it anew.", field=field)
    return kept


_LONGEST_NOTE = 4000


def note_of(text: str, *, field: str = "note", what: str = "The note") -> str:
    """A text of several lines that may be empty.

    Raises
    ------
    DeedRefused
        If it is too long, or holds signs that cannot be shown.

    """
    kept = "\n".join(line.rstrip() for line in text.strip().splitlines())
    if len(kept) > _LONGEST_NOTE:
        raise DeedRefused(
            f"{what} may have {_LONGEST_NOTE} characters; this has {len(kept)}. Shorten it.",
            field=field,
        )
    if not kept.replace("\n", "").replace("\t", "").isprintable():
        raise DeedRefused(f"{what} holds signs that cannot be shown; type it anew.", field=field)
    return kept
