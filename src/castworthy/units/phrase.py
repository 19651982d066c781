"""Words in a row, as a person reads them out."""

from collections.abc import Sequence


def listed(words: Sequence[str]) -> str:
    """Words with commas and a last "and": ``2B, 4D and 5C``; empty for none.

    References
    ----------
    No outside source.

    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
