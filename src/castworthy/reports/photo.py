"""A photo made small enough for paper."""

from base64 import b64encode
from io import BytesIO

from PIL import Image, UnidentifiedImageError

_LONGEST_PX = 900


class PhotoError(ValueError):
    """A photo's bytes are no picture that can be printed."""


def photo_svg(photo: bytes) -> str:
    """The photo in grey, no more than 900 px long, wrapped as SVG.

    Raises
    ------
    PhotoError
        If the bytes are no picture.

    """
    try:
        with Image.open(BytesIO(photo)) as opened:
            opened.draft("L", (_LONGEST_PX, _LONGEST_PX))
            small = opened.convert("L")
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError) as fault:
        raise PhotoError("A photo of this claim cannot be read; take it again.") from fault
    small.thumbnail((_LONGEST_PX, _LONGEST_PX))
    kept = BytesIO()
    small.save(kept, "JPEG", quality=82)
    width, height = small.size
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}"><image width="{width}" height="{height}" '
        f'href="data:image/jpeg;base64,{b64encode(kept.getvalue()).decode()}"/></svg>'
    )
