"""The form of a face in trade words: bow, cross bow, twist and wedge."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.deck.flatness import least_squares
from castworthy.calc.deck.form import Heights, Shape
from castworthy.calc.deck.frame import checked, over
from castworthy.units import Show

_NAMED_RATIO = 0.1
_EXPLAINED_RATIO = 0.5
_RANK_RATIO = 1e-9

Floats = NDArray[np.float64]


def shape_of(heights: Heights, *, show: Show) -> Shape:
    """Bow, cross bow, twist and wedge of a face, in figures and one sentence.

    With u and v from -1 to 1 over the face's length and width, the heights over their
    least-squares plane are fitted with u^2, u v and v^2.  The bow is the middle over the mean of
    the ends, the twist the mean of one diagonal's corners over the mean of the other's.

    Parameters
    ----------
    heights
        points of shape (n,) over an area [mm]
    show
        the units of the sentence

    Returns
    -------
    Shape
        signed figures [um]; a bow that fewer than three rows cannot show is 0

    Raises
    ------
    InputError
        If the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source; the words are a shop's.

    """
    points = checked(heights)
    plane = least_squares(points).plane
    off = over(plane, heights=points)
    (u, length), (v, width) = _over_span(points.x_mm), _over_span(points.y_mm)
    fall_x, fall_y = plane.a_ratio * length, plane.b_ratio * width
    bow_x, twist, bow_y, left = _curved(off, u=u, v=v)
    lengthwise = length >= width
    shape = Shape(
        bow_um=1e3 * (bow_x if lengthwise else bow_y),
        cross_bow_um=1e3 * (bow_y if lengthwise else bow_x),
        twist_um=1e3 * twist,
        wedge_along_um=1e3 * (fall_x if lengthwise else fall_y),
        wedge_across_um=1e3 * (fall_y if lengthwise else fall_x),
        sentence="",
        uneven_um=1e3 * left,
    )
    return replace(shape, sentence=shape_sentence(shape, show=show))


def shape_sentence(shape: Shape, *, show: Show) -> str:
    """What dominates a face's form, with its figures.

    As in "Bowed: 1.8 thou low in the middle along the length; twist 0.4.".
    """
    sizes = {
        "bow": shape.bow_um,
        "cross bow": shape.cross_bow_um,
        "twist": shape.twist_um,
    }
    first = max(sizes, key=lambda name: abs(sizes[name]))
    if _nothing(max(abs(sizes[first]), shape.uneven_um), show):
        return f"Neither bowed nor twisted{_wedge(shape, above_um=0.0, show=show)}."
    named = {
        name: size
        for name, size in sizes.items()
        if abs(size) >= _NAMED_RATIO * abs(sizes[first]) and not _nothing(size, show)
    }
    if abs(sizes[first]) < _EXPLAINED_RATIO * shape.uneven_um:
        text = f"Uneven by {_with_unit(shape.uneven_um, show)} rather than bowed or twisted"
    else:
        text = _lead(first, named.pop(first), show)
    others = sorted(named, key=lambda name: -abs(named[name]))
    said = "".join(f"; {name} {_number(named[name], show)}" for name in others)
    return f"{text}{said}{_wedge(shape, above_um=_NAMED_RATIO * abs(sizes[first]), show=show)}."


def _over_span(values: Floats) -> tuple[Floats, float]:
    low, high = float(values.min()), float(values.max())
    span = high - low
    return (values - (low + high) / 2) / (span / 2 or 1.0), span


def _curved(off: Floats, *, u: Floats, v: Floats) -> tuple[float, float, float, float]:
    """Bow along u, twist, bow along v, and the range that they leave [mm].

    A square term that is the same at all points (two rows only) is left out.
    """
    terms = {"1": np.ones_like(u), "u": u, "v": v, "uv": u * v}
    terms |= {
        name: w * w for name, w in (("uu", u), ("vv", v)) if float(np.ptp(w * w)) > _RANK_RATIO
    }
    columns = np.array(list(terms.values()))
    moments = np.einsum("in,jn->ij", columns, columns)
    projected = np.einsum("in,n->i", columns, off)
    fitted = np.linalg.pinv(moments, rcond=_RANK_RATIO, hermitian=True) @ projected
    found = dict(zip(terms, fitted.tolist(), strict=True))
    left = off - np.einsum("i,in->n", fitted, columns)
    return -found.get("uu", 0.0), 2 * found["uv"], -found.get("vv", 0.0), float(np.ptp(left))


def _lead(name: str, size_um: float, show: Show) -> str:
    amount = _with_unit(abs(size_um), show)
    if name == "twist":
        return f"Twisted: {amount} between the diagonals"
    word, way = ("Bowed", "along the length") if name == "bow" else ("Bowed across", "the width")
    where = f"{'high' if size_um > 0 else 'low'} in the middle"
    return f"{word}: {amount} {where} {way if name == 'bow' else f'of {way}'}"


def _wedge(shape: Shape, *, above_um: float, show: Show) -> str:
    ways = (("along", shape.wedge_along_um), ("across", shape.wedge_across_um))
    named = [(way, s) for way, s in ways if abs(s) >= above_um and not _nothing(s, show)]
    said = [f"{_with_unit(abs(size), show)} {way}" for way, size in named]
    return f"; wedge {' and '.join(said)}" if said else ""


def _number(size_um: float, show: Show) -> str:
    return show.number(abs(size_um) / 1e3, suffix="mm", difference=True)


def _with_unit(size_um: float, show: Show) -> str:
    return show.value(size_um / 1e3, suffix="mm", difference=True)


def _nothing(size_um: float, show: Show) -> bool:
    return float(_number(size_um, show)) == 0.0
