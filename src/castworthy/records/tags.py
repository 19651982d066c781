"""The numbers on the tags."""

import re

from castworthy.records.models import Head

_DIGITS = 4
_UNFIT = re.compile(r"[^A-Z0-9._-]+")


def next_tag(code: str) -> str:
    """The next free tag of a sheet's heads: its code and a running number, ``T66-0042``."""
    stem = f"{_UNFIT.sub('-', code.upper())}-"
    tail = re.compile(re.escape(stem) + r"(\d{1,9})")
    found = (
        tail.fullmatch(tag)
        for tag in Head.objects.filter(tag__startswith=stem).values_list("tag", flat=True)
    )
    highest = max((int(match.group(1)) for match in found if match), default=0)
    return f"{stem}{highest + 1:0{_DIGITS}d}"
