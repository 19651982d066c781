"""Hot and cold fitting: how warm the head and how cold the ring must be to drop in."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.metals import NITROGEN_DEGC, ROOM_DEGC
from castworthy.calc.valvetrain.press_fit import Fit

AGENTS_DEGC: dict[str, float] = {
    "at room temperature": ROOM_DEGC,
    "from the freezer": -18.0,
    "from dry ice": -78.0,
    "from liquid nitrogen": NITROGEN_DEGC,
}
"""What a ring is chilled in, mildest first (values from memory)."""

USUAL_HEAD_DEGC = 220.0
"""Hottest a head is usually brought to for fitting (common practice, no source: manuals name 80 to
100 deg C, some up to 220)."""

COLDEST_DEGC, HOTTEST_DEGC = -200.0, 800.0
"""Between these the expansions of :mod:`castworthy.calc.valvetrain.metals` are of any use."""

HOT_DEGC = 50.0
COLD_DEGC = -10.0
GIVES_OFF_GAS_DEGC = -70.0
CONDENSES_OXYGEN_DEGC = -183.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to fit it: the ring so cold, the head then at least so warm.

    ``clearance_mm`` is on the diameter at these temperatures.  ``allowed`` is false where the
    head would go above the highest temperature it may see.
    """

    ring_from: str
    ring_degc: float
    head_degc: float
    u_head_degc: float | None
    clearance_mm: float
    allowed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyPlan:
    """The mildest way that serves, all ways, and what can hurt."""

    way: Way
    ways: tuple[Way, ...]
    cautions: tuple[str, ...]


def fit_at(fit: Fit, *, boss_degc: float, ring_degc: float) -> Fit:
    """A fit with both parts at other temperatures: the sizes they would have free.

    Parameters
    ----------
    fit : Fit
        Both parts as measured at 20 deg C.
    boss_degc, ring_degc : float
        Temperature of the head around the bore and of the ring [deg C].

    Returns
    -------
    Fit
        The same parts, grown or shrunk; its interference is that at these temperatures.

    Raises
    ------
    InputError
        If a temperature is none a head or ring is brought to.

    References
    ----------
    Linear expansion; below 20 deg C see :class:`castworthy.calc.valvetrain.metals.Metal`.

    """
    _check_degc(boss_degc, ring_degc)
    return _grown(fit, boss_degc=boss_degc, ring_degc=ring_degc)


def _grown(fit: Fit, *, boss_degc: float, ring_degc: float) -> Fit:
    boss = 1.0 + fit.boss_metal.growth_ratio(boss_degc)
    ring = 1.0 + fit.ring_metal.growth_ratio(ring_degc)
    return replace(
        fit,
        ring_mm=fit.ring_mm * ring,
        ring_bore_mm=fit.ring_bore_mm * ring,
        bore_mm=fit.bore_mm * boss,
        boss_mm=fit.boss_mm * boss,
    )


def assembly_plan(
    fit: Fit,
    *,
    clearance_mm: float,
    highest_head_degc: float | None = None,
    agents_degc: Mapping[str, float] = AGENTS_DEGC,
) -> AssemblyPlan | Refused:
    """Temperatures at which a ring drops into its bore with a wanted clearance.

    Parameters
    ----------
    fit : Fit
        Both parts as measured at 20 deg C.
    clearance_mm : float
        Wanted clearance on the diameter while it is fitted [mm], not negative.
    highest_head_degc : float or None
        Highest temperature the head may see [deg C] (ageing of aluminium, tempering, coatings),
        from its sheet; ``None`` when it is not known: then ways up to 220 go first.
    agents_degc : mapping of str to float
        What the ring can be chilled in, mildest first, and its temperature [deg C].

    Returns
    -------
    AssemblyPlan or Refused
        The mildest way for the ring that keeps the head below its highest, or where that is not
        known below what is usual, or else the coolest for the head; ``Refused`` where every way
        needs too hot a head.

    Raises
    ------
    InputError
        If the clearance is negative, there is nothing to chill the ring in, or a temperature is
        none a ring is brought to.

    References
    ----------
    Linear expansion.  Cautions: public safety rules for cryogenic liquids (oxygen is condensed
    below -183 deg C; nitrogen and carbon dioxide displace air) and common practice, no source.

    """
    if not clearance_mm >= 0.0 or not agents_degc:
        raise InputError(
            "A fit is planned with a clearance of 0 or more and at least one state of the part, "
            f"got {clearance_mm:.4f} mm and {len(agents_degc)} states."
        )
    _check_degc(*agents_degc.values())
    ways = tuple(
        _way(fit, ring_from=name, ring_degc=t, clearance_mm=clearance_mm, highest=highest_head_degc)
        for name, t in agents_degc.items()
    )
    coolest = min(ways, key=lambda each: each.head_degc)
    most = USUAL_HEAD_DEGC if highest_head_degc is None else highest_head_degc
    way = next((each for each in ways if each.head_degc <= most), coolest)
    if not way.allowed:
        return Refused(
            code="too-hot",
            reason=(
                f"Even with the part {coolest.ring_from} the head would have to be at "
                f"{coolest.head_degc:.0f} °C, above the {highest_head_degc:.0f} °C it may see."
            ),
            remedy="Take less interference or less clearance, or press it in.",
        )
    return AssemblyPlan(
        way=way, ways=ways, cautions=_cautions(way, known=highest_head_degc is not None)
    )


def _check_degc(*temperatures_degc: float) -> None:
    for degc in temperatures_degc:
        if not COLDEST_DEGC <= degc <= HOTTEST_DEGC:
            raise InputError(
                f"Head and ring are brought to between {COLDEST_DEGC:.0f} and {HOTTEST_DEGC:.0f} "
                f"°C, got {degc:.0f} °C; check the unit."
            )


def _way(
    fit: Fit, *, ring_from: str, ring_degc: float, clearance_mm: float, highest: float | None
) -> Way:
    alpha = fit.boss_metal.expansion_per_degc
    ring_mm = fit.ring_mm * (1.0 + fit.ring_metal.growth_ratio(ring_degc))
    rise = ((ring_mm + clearance_mm) / fit.bore_mm - 1.0) / alpha
    head = ROOM_DEGC + max(0.0, rise)
    u = fit.u_interference_mm
    there = _grown(fit, boss_degc=head, ring_degc=ring_degc)
    return Way(
        ring_from=ring_from,
        ring_degc=ring_degc,
        head_degc=head,
        u_head_degc=None if u is None else u / (fit.bore_mm * alpha),
        clearance_mm=-there.interference_mm,
        allowed=highest is None or head <= highest,
    )


def _cautions(way: Way, *, known: bool) -> tuple[str, ...]:
    """What can hurt a person or the head on this way."""
    told = []
    if way.head_degc > HOT_DEGC:
        told.append(
            "Heat the whole head evenly in an oven, never with a torch; mark it HOT and wear "
            "dry heat gloves and glasses. No solvent or oil near it."
        )
        if not known and way.head_degc > USUAL_HEAD_DEGC:
            told.append(
                f"{way.head_degc:.0f} °C is more than a head is usually brought to: press it in, "
                "or take less interference."
            )
        elif not known:
            told.append(
                f"Make sure that {way.head_degc:.0f} °C is below the ageing or tempering "
                "temperature of this head and its coatings: the maker's sheet says."
            )
    if way.ring_degc < COLD_DEGC:
        told.append(
            "Hold the cold part with tongs and insulated gloves: bare skin freezes to it. Wipe "
            "off frost and drop it in at once; it warms in seconds."
        )
    if way.ring_degc < GIVES_OFF_GAS_DEGC:
        told.append(
            "The coolant gives off gas that takes the place of air: work with the doors open, "
            "never in a pit, and never close its vessel."
        )
    if way.ring_degc < CONDENSES_OXYGEN_DEGC:
        told.append(
            "Liquid nitrogen draws oxygen out of the air: no oil, grease or flame near it; face "
            "shield on, and lower the part in slowly."
        )
    return tuple(told)
