"""A square code that a phone opens."""

import segno


def code_svg(content: str) -> str:
    """The code of a text as SVG, black on nothing, with its quiet zone."""
    made = segno.make(content, error="m", micro=False, boost_error=False)
    return str(made.svg_inline(border=2, dark="#000000", omitsize=True, lineclass=None))
