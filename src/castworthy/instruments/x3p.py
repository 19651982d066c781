"""X3P files (ISO 25178-72), read by x3pio behind a guard."""

import io
import struct
import zipfile
import zlib

import numpy as np
import x3pio
from numpy.typing import NDArray

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.spacing import spacing_of
from castworthy.instruments.surface import Measured, damaged, measured

LARGEST_UNPACKED_BYTES = 256 * 1024 * 1024
"""Most an X3P may unpack to."""
LARGEST_MAIN_BYTES = 16 * 1024 * 1024
"""Most its description may unpack to; heights written into it as text are a few bytes each."""
LARGEST_RATIO = 400
"""Most a large part may unpack to, as a multiple of what it was packed in."""
MOST_PARTS = 400

_LARGE_BYTES = 8 * 1024 * 1024
_MAIN = "main.xml"
_OFFICE = {
    "xl/workbook.xml": "a spreadsheet (save it as CSV)",
    "word/document.xml": "a text document",
    "ppt/presentation.xml": "slides",
    "content.xml": "a spreadsheet or text document (save it as CSV)",
}
_FAULTS = (
    x3pio.X3pError,
    ValueError,
    LookupError,
    TypeError,
    AttributeError,
    ArithmeticError,
    MemoryError,
    EOFError,
    OSError,
    RuntimeError,
    SyntaxError,
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
)

Floats = NDArray[np.float64]


def read_x3p(raw: bytes, *, file: str) -> Measured:
    """An X3P file: a profile, or a surface on an even grid.

    Raises
    ------
    InstrumentError
        If it is no sound X3P, its checksum differs, or its spacing is not even.

    """
    _guard(raw, file=file)
    try:
        found = x3pio.read(io.BytesIO(raw))
    except x3pio.X3pChecksumError as fault:
        raise InstrumentError(
            f"{file}: its checksum does not match, so it was changed or damaged on its way; fetch "
            "it from the instrument again."
        ) from fault
    except _FAULTS as fault:
        raise damaged(fault, kind="X3P", file=file) from fault
    if not isinstance(found, x3pio.Profile | x3pio.Surface):
        raise InstrumentError(
            f"{file} holds a cloud of points; export a profile or a surface on an even grid."
        )
    return _first_layer(found, file=file)


def _first_layer(found: "x3pio.Profile | x3pio.Surface", *, file: str) -> Measured:
    try:
        header, layers = found.header, found.layers
        height_m = np.asarray(layers[0].z, dtype=np.float64)
        z_step = float(header.z.increment)
        steps_m = _steps_m(found, file=file)
    except InstrumentError:
        raise
    except _FAULTS as fault:
        raise damaged(fault, kind="X3P", file=file) from fault
    if not 0.0 < z_step < np.inf:
        raise InstrumentError(
            f"{file}: the step of its heights must be above 0 (got {z_step:g}); export it again."
        )
    notes = (f"The first of its {len(layers)} layers was taken.",) if len(layers) > 1 else ()
    return measured(height_m, steps_m=steps_m, kind="X3P", file=file, notes=notes)


def _steps_m(found: "x3pio.Profile | x3pio.Surface", *, file: str) -> tuple[float, float]:
    """Spacing along x and y; places given one by one count where a profile's are even."""
    header = found.header
    if isinstance(found, x3pio.Surface):
        if found.is_regular_grid:
            return float(header.x.increment), float(header.y.increment)
    elif header.x.is_incremental:
        return float(header.x.increment), 0.0
    else:
        x_m = np.asarray(found.layers[0].x, dtype=np.float64)
        if x_m.size > 1 and np.isfinite(x_m).all():
            spacing = spacing_of(x_m)
            if spacing.bad_count is None:
                return spacing.spacing_mm, 0.0
    raise InstrumentError(f"{file}: its points are not evenly spaced; export it on an even grid.")


def _guard(raw: bytes, *, file: str) -> None:
    """Refuse an archive that would unpack to something monstrous, before it is unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            _check_parts(archive.infolist(), file=file)
            mains = [part for part in archive.infolist() if _is_main(part.filename)]
            texts = [archive.read(part) for part in mains]
    except InstrumentError:
        raise
    except _FAULTS as fault:
        raise damaged(fault, kind="X3P", file=file) from fault
    if any(b"<!DOCTYPE" in text or b"<!ENTITY" in text or b"\x00" in text for text in texts):
        raise InstrumentError(
            f"{file}: its description defines entities of its own or is no UTF-8 text, which no "
            "instrument writes, so it is not read."
        )


def _is_main(name: str) -> bool:
    return name == _MAIN or name.endswith(f"/{_MAIN}")


def _check_parts(parts: list[zipfile.ZipInfo], *, file: str) -> None:
    names = {part.filename for part in parts}
    if not any(_is_main(name) for name in names):
        raise _no_x3p(names, file=file)
    if len(parts) > MOST_PARTS:
        raise InstrumentError(
            f"{file} holds {len(parts)} parts, and an X3P a few; fetch it from the instrument "
            "again."
        )
    if any(name.startswith(("/", "\\")) or ".." in name or ":" in name for name in names):
        raise InstrumentError(f"{file} names parts outside itself, so it is not opened.")
    total = sum(part.file_size for part in parts)
    if total > LARGEST_UNPACKED_BYTES or any(_is_swollen(part) for part in parts):
        raise InstrumentError(
            f"{file} would swell to {total / 1024**2:.0f} MB when unpacked, as no trace does, so "
            "it is not opened; fetch it from the instrument again."
        )


def _is_swollen(part: zipfile.ZipInfo) -> bool:
    if _is_main(part.filename) and part.file_size > LARGEST_MAIN_BYTES:
        return True
    return part.file_size > max(_LARGE_BYTES, LARGEST_RATIO * part.compress_size)


def _no_x3p(names: set[str], *, file: str) -> InstrumentError:
    for name, words in _OFFICE.items():
        if name in names:
            return InstrumentError(f"{file} looks like {words}, not like a trace.", foreign=True)
    return InstrumentError(
        f"{file} is a ZIP archive but no X3P: it holds no {_MAIN}; if the trace is inside it, "
        "unpack it and give the file itself.",
        foreign=True,
    )
