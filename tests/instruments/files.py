"""Files as instruments write them, made in memory."""

import hashlib
import io
import zipfile

import numpy as np
import sdfio
import x3pio
from numpy.typing import NDArray

Floats = NDArray[np.float64]

COUNT = 4001
SPACING_MM = 0.0005


def wave_um(count: int = COUNT, *, amplitude_um: float = 1.5, pitch_mm: float = 0.1) -> Floats:
    """A sine along the trace [um]."""
    return amplitude_um * np.sin(2 * np.pi * SPACING_MM * np.arange(count) / pitch_mm)


def milled_um(rows: int = 40, columns: int = 1200) -> Floats:
    """A surface whose lay runs along y: every row is the same wave along x."""
    rng = np.random.default_rng(5)
    return np.tile(wave_um(columns), (rows, 1)) + rng.normal(0.0, 0.001, (rows, columns))


def x3p(height_um: Floats, *, spacing_mm: float = SPACING_MM) -> bytes:
    """An X3P of a profile (one axis) or a surface (two)."""
    out = io.BytesIO()
    scale = spacing_mm / 1000.0
    y_scale = {} if height_um.ndim == 1 else {"y_scale": scale}
    x3pio.write(out, height_um / 1e6, x_scale=scale, **y_scale)
    return out.getvalue()


def sdf(height_um: Floats, *, spacing_mm: float = SPACING_MM, ascii_: bool = False) -> bytes:
    """An SDF of a profile or a surface."""
    out = io.BytesIO()
    scale = spacing_mm / 1000.0
    form = sdfio.FileFormat.ASCII if ascii_ else sdfio.FileFormat.BINARY
    sdfio.write(out, np.atleast_2d(height_um) / 1e6, x_scale=scale, y_scale=scale, format=form)
    return out.getvalue()


def csv(height_um: Floats, *, header: str = "x_mm,z_um", spacing_mm: float = SPACING_MM) -> bytes:
    """Columns of x and height."""
    rows = (f"{spacing_mm * i:.5f},{z:.6f}" for i, z in enumerate(height_um))
    return (header + "\n" + "\n".join(rows) + "\n").encode()


def repacked(raw: bytes, *, changed: dict[str, bytes]) -> bytes:
    """An X3P with some of its parts exchanged, its own checksum file put right."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w") as new:
        for part in old.namelist():
            content = changed.get(part, old.read(part))
            if part == "md5checksum.hex" and "main.xml" in changed:
                digest = hashlib.md5(changed["main.xml"], usedforsecurity=False).hexdigest()
                content = f"{digest} *main.xml".encode()
            new.writestr(part, content)
    return out.getvalue()


def parts_of(raw: bytes) -> dict[str, bytes]:
    """The parts of an X3P."""
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}
