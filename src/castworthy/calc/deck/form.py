"""Heights of a deck face and what is found in them: the frozen inputs and answers of this room."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heights:
    """Heights of the deck over its plane, three arrays of shape (n,); up is away from the metal."""

    x_mm: NDArray[np.float64]
    y_mm: NDArray[np.float64]
    z_mm: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """``z = level_mm + a_ratio * x + b_ratio * y``."""

    level_mm: float
    a_ratio: float
    b_ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalFlatness:
    """The worst window of one span: its flatness and where its middle lies."""

    window_mm: float
    flatness_um: float
    x_mm: float
    y_mm: float
    points_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The largest change of height between two neighbouring points, over the general slope."""

    step_um: float
    from_mm: tuple[float, float]
    to_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The deck's form in trade words: signed figures [um] over the whole face.

    ``bow_um`` > 0: high in the middle along the length; ``cross_bow_um`` the same across;
    ``twist_um`` the difference of the diagonals, > 0 when the corner of small x and y and the
    one across stand high; ``wedge_along_um`` and ``wedge_across_um`` the rise of the
    least-squares plane to the far end (< 0 when it falls).  Along is the face's longer way.
    ``uneven_um`` is the peak to valley that bow, cross bow, twist and wedge leave unexplained.
    ``sentence`` names what dominates.
    """

    bow_um: float
    cross_bow_um: float
    twist_um: float
    wedge_along_um: float
    wedge_across_um: float
    sentence: str
    uneven_um: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanUp:
    """The least cut that cleans the whole face: the plane left and where the last spot cleans.

    ``cut_mm`` is the stock over the highest point for a level cut; for a tilted one the
    largest stock anywhere.  ``mean_cut_mm`` is the stock averaged over the points and
    ``highest_cut_mm`` the stock over the highest point, by which a machine is set.
    """

    cut_mm: float
    mean_cut_mm: float
    plane: Plane
    last_x_mm: float
    last_y_mm: float
    highest_cut_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckForm:
    """Everything found in the heights of one deck."""

    points_count: int
    flatness_um: float
    u_flatness_um: float | None
    flatness_least_squares_um: float
    zone: Plane
    contacts_mm: tuple[tuple[float, float], ...]
    local: tuple[LocalFlatness, ...]
    step: Step
    shape: Shape
    cleanup_level: CleanUp
    cleanup_tilted: CleanUp
    warnings: tuple[str, ...] = field(default=())
