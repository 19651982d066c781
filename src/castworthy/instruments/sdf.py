"""SDF files (ISO 25178-71), ASCII and binary, read by sdfio behind a guard."""

import io
import struct

import numpy as np
import sdfio

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.surface import Measured, damaged, measured

MOST_ASCII_VALUES = 5_100_000
"""Most heights of an ASCII file: as text they take many times their room."""

_FAULTS = (
    sdfio.SdfError,
    ValueError,
    KeyError,
    IndexError,
    TypeError,
    ArithmeticError,
    MemoryError,
    OSError,
    struct.error,
)
_BOM = b"\xef\xbb\xbf"
_BLANK = ord(" ")
_PIECE_BYTES = 16 * 1024 * 1024


def read_sdf(raw: bytes, *, file: str) -> Measured:
    """An SDF file: one profile or a surface.

    Raises
    ------
    InstrumentError
        If it is damaged, holds fewer heights than it claims, or a scale is not above zero.

    """
    count = _values_count(raw) if raw.removeprefix(_BOM)[:1] in b"aA" else 0
    if count > MOST_ASCII_VALUES:
        raise InstrumentError(
            f"{file} holds about {count} heights as text, and at most {MOST_ASCII_VALUES} are "
            "read; save it as binary SDF."
        )
    try:
        found = sdfio.read(io.BytesIO(raw))
        header = found.header
        height_m = np.asarray(found.data, dtype=np.float64)
        steps_m = (float(header.x_scale), float(header.y_scale))
        z_scale = float(header.z_scale)
    except _FAULTS as fault:
        raise damaged(fault, kind="SDF", file=file) from fault
    if not 0.0 < z_scale < np.inf:
        raise InstrumentError(
            f"{file}: the scale of its heights must be above 0 (got {z_scale:g}); export it again."
        )
    return measured(height_m, steps_m=steps_m, kind="SDF", file=file)


def _values_count(raw: bytes) -> int:
    """How many words or lines stand in the text, whichever is more, without splitting it."""
    count = 0
    for start in range(0, len(raw), _PIECE_BYTES):
        blank = np.frombuffer(raw[start : start + _PIECE_BYTES], dtype=np.uint8) <= _BLANK
        count += int(np.count_nonzero(blank[:-1] & ~blank[1:]))
    return max(count, raw.count(b"\n"), raw.count(b"\r"))
