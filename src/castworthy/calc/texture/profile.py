"""A surface trace and what is found in it: the frozen inputs and answers of this room."""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray


class Edition(StrEnum):
    """The standard whose definitions are followed."""

    ISO_21920_2021 = "2021"
    ISO_4287_1997 = "1997"


class Ends(StrEnum):
    """What happens at the ends of a trace, where half a filter window is missing."""

    DROPPED = "dropped"
    REGRESSION = "regression"


class CoreLine(StrEnum):
    """How the straight line through the core of the material-ratio curve is laid."""

    SECANT = "secant"
    LEAST_SQUARES = "least squares"


class Mark(StrEnum):
    """What a surface shows of the tool that made it."""

    FEED = "feed marks"
    STONE = "belt or stone"
    CHATTER = "chatter"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """One trace across the lay, evenly spaced.

    ``height_um`` has shape (n,), positive away from the metal, no gaps (a reader fills short
    ones and counts them in ``filled_count``).  ``tip_um`` is the radius of the stylus, where
    known.
    """

    spacing_mm: float
    height_um: NDArray[np.float64]
    name: str = ""
    filled_count: int = 0
    tip_um: float | None = None

    @property
    def length_mm(self) -> float:
        """Length of the trace [mm]."""
        return self.spacing_mm * (len(self.height_um) - 1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spectrum:
    """Share of the roughness power by wavelength, longest first; both of shape (n,)."""

    wavelength_mm: NDArray[np.float64]
    share_ratio: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeBy:
    """What made the surface, with the evidence.

    ``pitch_mm`` is the spacing of the marks (``None``: no pitch); ``share_ratio`` the share
    of the roughness power that repeats at that pitch; ``feed_set_mm`` what the machine was set to.
    """

    kind: Mark
    pitch_mm: float | None
    share_ratio: float
    feed_set_mm: float | None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MaterialRatio:
    """The material-ratio curve: height [um] against the share of material at or above it."""

    height_um: NDArray[np.float64]
    ratio: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Texture:
    """Everything evaluated from one trace; lengths mm, heights um.

    Curves (``roughness_um``, ``waviness_um``, ``primary_um``) run over the evaluation length
    and start ``start_mm`` into the trace.  ``warnings`` are whole sentences for a person.
    ``waviness_um`` is the mean line of the cut-off; ``rmr_ratio`` the material ratio at the
    depth ``rmr_depth_um`` below the reference line.
    """

    edition: Edition
    ends: Ends
    cutoff_mm: float
    cutoff_from: str
    short_um: float | None
    section_mm: float
    sections_count: int
    evaluation_length_mm: float
    start_mm: float
    spacing_mm: float
    ra_um: float
    rq_um: float
    rz_um: float
    rt_um: float
    rp_um: float
    rv_um: float
    rsk: float
    rku: float
    rsm_mm: float | None
    rdq: float
    rmr_ratio: float
    rmr_depth_um: float
    rk_um: float
    rpk_um: float
    rvk_um: float
    mr1_ratio: float
    mr2_ratio: float
    wa_um: float
    wt_um: float
    u_ra_um: float
    u_rz_um: float
    section_ra_um: tuple[float, ...]
    section_rz_um: tuple[float, ...]
    primary_um: NDArray[np.float64]
    roughness_um: NDArray[np.float64]
    waviness_um: NDArray[np.float64]
    material: MaterialRatio
    spectrum: Spectrum
    made_by: MadeBy
    warnings: tuple[str, ...] = field(default=())
    core_line: CoreLine = CoreLine.SECANT
