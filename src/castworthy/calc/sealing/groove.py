"""A wire in its groove: how hard it is held, how far it stands out, how long it is cut."""

from dataclasses import dataclass
from math import inf, isfinite, pi

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.units import Show

FILING_MM = 0.5
"""Wire left over for filing both ends square and deburring them.
Common practice, no source: left long rather than short."""

KERF_MM = 1.0
"""Wire lost at every cut from the coil.  Common practice, no source."""

HEAVY_PRESS_RATIO = 0.1
"""Press over wire above which a ring is hard to seat.  Common practice, no source."""

_ALLOWANCE_MM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Groove:
    """A wire and the groove it goes into [mm]; ``diameter_mm`` is that of the centreline."""

    wire_mm: float
    depth_mm: float
    width_mm: float
    diameter_mm: float

    def __post_init__(self) -> None:
        sizes = (self.wire_mm, self.depth_mm, self.width_mm, self.diameter_mm)
        if not all(isfinite(size) and size > 0.0 for size in sizes):
            raise InputError(
                "Wire, depth, width and diameter of a ring groove are above 0 mm, got "
                f"{', '.join(f'{size:g}' for size in sizes)}; measure them again."
            )
        if self.diameter_mm <= self.width_mm:
            raise InputError(
                f"A groove {self.width_mm:g} mm wide cannot run round a diameter of "
                f"{self.diameter_mm:g} mm; give the diameter of its centreline."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class RingFit:
    """How a wire sits: ``stand_mm`` on the groove's floor, ``stand_upper_mm`` if it all rises."""

    press_mm: float
    stand_mm: float
    stand_upper_mm: float
    fill_ratio: float


def fit_of(groove: Groove) -> RingFit:
    """Press, stand and fill of a wire in its groove.

    With d the wire, h the depth and w the width: press d - w, stand d - h, fill the wire's
    area over w h.  Where all metal that the walls displace flows upward the wire stands
    w + pi (d^2 - w^2) / (4 w) - h; the true stand lies between the two.  A wire that is
    loose in its groove is not displaced, and both are the same.

    Parameters
    ----------
    groove
        wire and groove [mm]

    Returns
    -------
    RingFit
        press and stands [mm], positive held and above the deck; fill [-]

    References
    ----------
    Plane geometry of a round wire between two walls; the bound keeps the wire's area.

    """
    d, h, w = groove.wire_mm, groove.depth_mm, groove.width_mm
    return RingFit(
        press_mm=d - w,
        stand_mm=d - h,
        stand_upper_mm=d - h + _rise(d, w),
        fill_ratio=pi * d * d / 4.0 / (w * h),
    )


def _rise(d: float, w: float) -> float:
    """How much higher a pressed wire stands if all displaced metal flows upward."""
    return w + pi * (d * d - w * w) / (4.0 * w) - d if d > w else 0.0


def fit_cautions(groove: Groove, *, show: Show) -> tuple[str, ...]:
    """What is wrong with a groove for its wire, in sentences; none for a sound one.

    Parameters
    ----------
    groove
        wire and groove [mm]
    show
        the units of the sentences

    Returns
    -------
    tuple of str
        one sentence for each fault

    References
    ----------
    Common practice, no source.

    """
    fit = fit_of(groove)
    d = groove.wire_mm

    def thou(size_mm: float) -> str:
        return show.value(abs(size_mm), suffix="mm", difference=True)

    said = []
    if fit.press_mm <= 0.0:
        slack = f"is loose by {thou(fit.press_mm)}" if fit.press_mm < 0.0 else "has no press"
        said.append(
            f"The wire {slack}: nothing holds it; cut a narrower groove or take a thicker wire."
        )
    if fit.press_mm > HEAVY_PRESS_RATIO * d:
        said.append(
            f"A press of {thou(fit.press_mm)} is heavy for this wire: it may buckle or shave; try "
            "it in a piece of the same metal first."
        )
    if fit.stand_mm <= 0.0:
        said.append(
            f"The wire lies {thou(fit.stand_mm)} below the deck and adds no bite; cut the groove "
            "less deep."
        )
    if groove.depth_mm < d / 2.0:
        said.append(
            "The groove is less than half the wire deep, so its walls miss the widest part of the "
            "wire and cannot hold it."
        )
    if fit.fill_ratio < 1.0:
        said.append(
            f"The wire fills only {100.0 * fit.fill_ratio:.0f} % of the groove's section: clamping "
            "can sink it; check the stand after a trial clamp."
        )
    return tuple(said)


def ring_length_mm(diameter_mm: float, *, gap_mm: float = 0.0) -> float:
    """Length of the finished wire along the centreline of its groove.

    Parameters
    ----------
    diameter_mm
        diameter of the centreline [mm], scalar, > 0
    gap_mm
        gap left between the ends [mm], scalar, >= 0; as near none as can be filed

    Returns
    -------
    float
        pi times the diameter, less the gap [mm]

    Raises
    ------
    InputError
        If the diameter is not positive, or the gap is negative or longer than the ring.

    References
    ----------
    Circumference of a circle; a wire bent round keeps the length of its middle.

    """
    length = pi * diameter_mm - gap_mm
    if not (diameter_mm > 0.0 and gap_mm >= 0.0 and 0.0 < length < inf):
        raise InputError(
            f"A ring needs a diameter above 0 mm and a gap from 0 mm to its own length, got "
            f"{diameter_mm:g} and {gap_mm:g} mm."
        )
    return length


def cut_length_mm(
    diameter_mm: float, *, gap_mm: float = 0.0, filing_mm: float = FILING_MM
) -> float:
    """Length to cut a wire to: ends filed square and deburred, left long rather than short.

    Parameters
    ----------
    diameter_mm
        diameter of the centreline [mm], scalar, > 0
    gap_mm
        gap left between the ends [mm], scalar, >= 0
    filing_mm
        wire filed off both ends together [mm], scalar, >= 0

    Returns
    -------
    float
        finished length plus what is filed off [mm]

    Raises
    ------
    InputError
        If a length is out of range.

    References
    ----------
    Common practice, no source.

    """
    if not 0.0 <= filing_mm < inf:
        raise InputError(f"What is filed off the ends is 0 mm or more, got {filing_mm:g} mm.")
    return ring_length_mm(diameter_mm, gap_mm=gap_mm) + filing_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a ring is to do: press and stand between limits, from a wire good to +/- ``tol``."""

    wire_mm: float
    stand_low_mm: float
    stand_high_mm: float
    press_mm: float
    tol_wire_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveDesign:
    """A groove for a wanted ring [mm].

    ``depth_low_mm`` to ``depth_high_mm`` holds the stand for every wire of the tolerance;
    ``rise_mm`` is how much higher the wire can stand if the pressed metal flows upward.
    """

    depth_mm: float
    width_mm: float
    depth_low_mm: float
    depth_high_mm: float
    rise_mm: float

    @property
    def tol_depth_mm(self) -> float:
        """How far either way the depth may be off [mm]."""
        return (self.depth_high_mm - self.depth_low_mm) / 2.0


def groove_for(wanted: Wanted) -> GrooveDesign | Refused:
    """Depth and width of the groove for a wanted press and stand.

    Depth is the wire less the middle of the wanted stand, width the wire less the press.

    Parameters
    ----------
    wanted
        wire, stand limits, press and tolerance of the wire [mm]

    Returns
    -------
    GrooveDesign or Refused
        refused where the wire varies more than the stand may, or no groove would hold it

    Raises
    ------
    InputError
        If a size is out of range or the limits stand the wrong way round.

    References
    ----------
    Common practice, no source: groove depth is the wire less the wanted stand.

    """
    _check(wanted)
    d, t = wanted.wire_mm, wanted.tol_wire_mm
    shallowest = d + t - wanted.stand_high_mm
    deepest = d - t - wanted.stand_low_mm
    if shallowest > deepest + _ALLOWANCE_MM:
        return Refused(
            code="wire-too-uneven",
            reason="The wire's own tolerance is wider than the stand wanted, so no depth holds it.",
            remedy="Measure the wire of this coil and give its own size, or widen the stand.",
        )
    depth, width = (shallowest + deepest) / 2.0, d - wanted.press_mm
    if depth < d / 2.0:
        return Refused(
            code="stand-too-high",
            reason="A wire that stands out by more than half of itself is not held by its groove.",
            remedy="Take a thicker wire or ask for less stand.",
        )
    return GrooveDesign(
        depth_mm=depth,
        width_mm=width,
        depth_low_mm=min(shallowest, depth),
        depth_high_mm=max(deepest, depth),
        rise_mm=_rise(d, width),
    )


def _check(wanted: Wanted) -> None:
    if not (wanted.wire_mm > 0.0 and 0.0 <= wanted.tol_wire_mm < wanted.wire_mm):
        raise InputError(
            f"The wire is above 0 mm and its tolerance smaller than itself, got "
            f"{wanted.wire_mm:g} and {wanted.tol_wire_mm:g} mm."
        )
    if not wanted.stand_low_mm <= wanted.stand_high_mm < wanted.wire_mm:
        raise InputError(
            "The stand goes from a low to a high limit below the wire itself, got "
            f"{wanted.stand_low_mm:g} to {wanted.stand_high_mm:g} mm."
        )
    if not 0.0 <= wanted.press_mm < wanted.wire_mm:
        raise InputError(
            f"The press is 0 mm or more and less than the wire, got {wanted.press_mm:g} mm."
        )


def design_sentence(design: GrooveDesign, *, show: Show) -> str:
    """A groove to cut, in one sentence.

    Parameters
    ----------
    design
        the groove [mm]
    show
        the units of the sentence

    Returns
    -------
    str
        depth with the window that holds the stand, width, and the rise to expect

    References
    ----------
    Common practice, no source.

    """
    depth, width = (show.value(v, suffix="mm") for v in (design.depth_mm, design.width_mm))
    low, high = (show.number(v, suffix="mm") for v in (design.depth_low_mm, design.depth_high_mm))
    rise = show.value(design.rise_mm, suffix="mm", difference=True)
    return (
        f"Cut the groove {depth} deep ({low} to {high} holds the stand) and {width} wide; the "
        f"pressed wire can rise up to {rise} more, so try one ring and measure before the rest."
    )
