"""X3P (ISO 25178-72) and SDF (ISO 25178-71) files, read by their libraries behind a guard."""

import io
import struct
import zipfile
import zlib
from dataclasses import dataclass

import numpy as np
import sdfio
import x3pio
from numpy.typing import NDArray

from castworthy.instruments.errors import InstrumentError

LARGEST_UNPACKED_BYTES = 768 * 1024 * 1024
"""Most an X3P may unpack to."""
LARGEST_RATIO = 400
"""Most a part of an X3P may unpack to, as a multiple of what it was packed in."""
MOST_PARTS = 400
MOST_POINTS = 60_000_000

_UM_PER_M = 1e6
_MM_PER_M = 1e3
_SMALL = 1024 * 1024
_XML_BYTES = 4 * 1024 * 1024
_FAULTS = (
    x3pio.X3pError,
    ValueError,
    KeyError,
    IndexError,
    TypeError,
    AttributeError,
    OverflowError,
    MemoryError,
    EOFError,
    OSError,
    NotImplementedError,
    RuntimeError,
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    LookupError,
    SyntaxError,
)

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """A profile (one row) or a surface: heights [um] of shape (rows, columns), NaN for gaps."""

    height_um: Floats
    dx_mm: float
    dy_mm: float
    kind: str


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
            f"{file}: the checksum inside does not match, so the file was changed or damaged on "
            "its way. Fetch it from the instrument again."
        ) from fault
    except _FAULTS as fault:
        raise _unreadable(file, "X3P", fault) from fault
    if not isinstance(found, x3pio.Profile | x3pio.Surface) or not found.layers:
        raise InstrumentError(
            f"{file} holds a cloud of points; export a profile or a surface on an even grid."
        )
    return _from_x3p(found, file=file)


def read_sdf(raw: bytes, *, file: str) -> Measured:
    """An SDF file, ASCII or binary.

    Raises
    ------
    InstrumentError
        If it is no sound SDF or its spacing is not positive.

    """
    try:
        found = sdfio.read(io.BytesIO(raw))
        height_m = np.asarray(found.data, dtype=np.float64)
        dx_m, dy_m = float(found.header.x_scale), float(found.header.y_scale)
    except _FAULTS as fault:
        raise _unreadable(file, "SDF", fault) from fault
    return _measured(height_m, dx_m=dx_m, dy_m=dy_m, file=file, kind="SDF")


def _from_x3p(found: "x3pio.Profile | x3pio.Surface", *, file: str) -> Measured:
    try:
        layer = found.layers[0]
        header = found.header
        height_m = np.asarray(layer.z, dtype=np.float64)
        even = header.x.is_incremental and (height_m.ndim == 1 or header.y.is_incremental)
        dx_m = float(header.x.increment or 0.0) if even else 0.0
        dy_m = float(header.y.increment or 0.0) if even and height_m.ndim > 1 else dx_m
    except _FAULTS as fault:
        raise _unreadable(file, "X3P", fault) from fault
    if not even:
        raise InstrumentError(f"{file} gives every point its own place; export it on an even grid.")
    return _measured(height_m, dx_m=dx_m, dy_m=dy_m, file=file, kind="X3P")


def _measured(height_m: Floats, *, dx_m: float, dy_m: float, file: str, kind: str) -> Measured:
    rows = np.atleast_2d(height_m)
    if rows.ndim != 2 or not rows.size:
        raise InstrumentError(f"{file} holds no heights. Fetch it from the instrument again.")
    if rows.size > MOST_POINTS:
        raise InstrumentError(
            f"{file} holds {rows.size} points; at most {MOST_POINTS} are read. Crop it first."
        )
    if rows.shape[1] == 1:
        rows, dx_m, dy_m = rows.T, dy_m, dx_m
    lonely = rows.shape[0] == 1
    if not _positive(dx_m) or not (lonely or _positive(dy_m)):
        raise InstrumentError(
            f"{file}: the spacing of its points must be more than 0 (got {dx_m:g} and {dy_m:g} m). "
            "Export it again with its scale."
        )
    height_um = rows * _UM_PER_M
    height_um[~np.isfinite(height_um)] = np.nan
    return Measured(
        height_um=height_um,
        dx_mm=dx_m * _MM_PER_M,
        dy_mm=(dx_m if lonely else dy_m) * _MM_PER_M,
        kind=f"{kind} {'profile' if lonely else 'surface'}",
    )


def _positive(value: float) -> bool:
    return bool(np.isfinite(value)) and value > 0.0


def _guard(raw: bytes, *, file: str) -> None:
    """Refuse an archive that would unpack to something monstrous, before it is unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            parts = archive.infolist()
            _check_parts(parts, file=file)
            names = [part.filename.lower() for part in parts]
            if "main.xml" not in names:
                raise InstrumentError(
                    f"{file} is a ZIP archive but no X3P: it has no main.xml. If the trace is "
                    "inside it, unpack it and send the file itself."
                )
            main = parts[names.index("main.xml")]
            with archive.open(main) as opened:
                text = opened.read(_XML_BYTES + 1)
    except InstrumentError:
        raise
    except _FAULTS as fault:
        raise _unreadable(file, "X3P", fault) from fault
    if len(text) > _XML_BYTES:
        raise InstrumentError(f"{file}: its description is larger than any instrument writes.")
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise InstrumentError(
            f"{file}: its description defines entities of its own, which no instrument does; it "
            "is not read."
        )


def _check_parts(parts: list[zipfile.ZipInfo], *, file: str) -> None:
    if len(parts) > MOST_PARTS:
        raise InstrumentError(f"{file} holds {len(parts)} parts; an X3P holds a few.")
    total = sum(part.file_size for part in parts)
    swollen = any(
        part.file_size > _SMALL and part.file_size > LARGEST_RATIO * max(part.compress_size, 1)
        for part in parts
    )
    if total > LARGEST_UNPACKED_BYTES or swollen:
        raise InstrumentError(
            f"{file} would unpack to {total / 1024**2:.0f} MB, far more than a trace holds; it is "
            "not opened. Fetch it from the instrument again."
        )
    if any(part.filename.startswith(("/", "\\")) or ".." in part.filename for part in parts):
        raise InstrumentError(f"{file} names parts outside itself; it is not opened.")


def _unreadable(file: str, kind: str, fault: BaseException) -> InstrumentError:
    said = " ".join(str(fault).split())[:140].rstrip(".")
    why = f" ({said})" if said else ""
    return InstrumentError(
        f"{file} begins like {'an' if kind[0] in 'SX' else 'a'} {kind} file but is damaged{why}. "
        "Fetch it from the instrument again."
    )
