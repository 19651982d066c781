"""What made a surface, in straight words: feed marks, belt or stone, chatter."""

from castworthy.calc.texture.marks import WIDEST_FEED_MM, Repeat, Repeats
from castworthy.calc.texture.profile import MadeBy, Mark

FEED_WINDOW_RATIO = 1.25
"""A pitch within this factor of the feed set is that feed (drives slip, traces stretch)."""

INSERTS_WINDOW_RATIO = 1.05
MOST_INSERTS_COUNT = 8
OFF_RATIO = 0.05
"""A pitch farther than this from the feed set is worth a word."""


def made_by(found: Repeats, *, feed_set_mm: float | None = None) -> MadeBy:
    """Name what made a surface from what repeats on it.

    Parameters
    ----------
    found : Repeats
        What repeats on the trace.
    feed_set_mm : float or None
        Feed per revolution the machine was set to [mm].

    Returns
    -------
    MadeBy
        Chatter where waves or a pitch unrelated to the feed stand on the surface, else feed
        marks where anything repeats, else belt or stone.

    References
    ----------
    Common practice, no source.

    """
    astray = found.waves or found.beside
    if astray is None and found.marks is not None and not _fits(found.marks, feed_set_mm):
        astray = found.marks
    if astray is not None:
        return MadeBy(
            kind=Mark.CHATTER,
            pitch_mm=astray.pitch_mm,
            share_ratio=astray.share_ratio,
            feed_set_mm=feed_set_mm,
            sentence=_chatter_words(astray, found=found, feed_set_mm=feed_set_mm),
        )
    if found.marks is not None:
        return MadeBy(
            kind=Mark.FEED,
            pitch_mm=found.marks.pitch_mm,
            share_ratio=found.marks.share_ratio,
            feed_set_mm=feed_set_mm,
            sentence=_feed_words(found.marks, feed_set_mm=feed_set_mm),
        )
    return MadeBy(
        kind=Mark.STONE,
        pitch_mm=None,
        share_ratio=0.0,
        feed_set_mm=feed_set_mm,
        sentence=_stone_words(feed_set_mm),
    )


def _fits(marks: Repeat, feed_set_mm: float | None) -> bool:
    if feed_set_mm is None:
        return marks.pitch_mm <= WIDEST_FEED_MM
    ratio = feed_set_mm / marks.pitch_mm
    if 1.0 / FEED_WINDOW_RATIO <= ratio <= FEED_WINDOW_RATIO:
        return True
    inserts = round(ratio)
    return (
        2 <= inserts <= MOST_INSERTS_COUNT
        and 1.0 / INSERTS_WINDOW_RATIO <= ratio / inserts <= INSERTS_WINDOW_RATIO
    )


def _feed_words(marks: Repeat, *, feed_set_mm: float | None) -> str:
    told = (
        f"Milled: marks every {marks.pitch_mm:.3f} mm carry {marks.share_ratio:.0%} of the height"
    )
    told = told.replace("%", " %")
    if feed_set_mm is None:
        return f"{told}."
    told += f"; the machine was set to {feed_set_mm:.3f}."
    ratio = feed_set_mm / marks.pitch_mm
    if round(ratio) >= 2:
        return f"{told} That is one mark for each of {round(ratio)} inserts."
    if abs(ratio - 1.0) > OFF_RATIO:
        return f"{told} Check the feed drive, or the spacing of the trace."
    return told


def _chatter_words(astray: Repeat, *, found: Repeats, feed_set_mm: float | None) -> str:
    told = f"Chatter: waves every {_length(astray.pitch_mm)} mm"
    if feed_set_mm is not None:
        told += f", which no feed of {feed_set_mm:.3f} mm makes"
    told += f"; they carry {astray.share_ratio:.0%}".replace("%", " %")
    told += " of the waviness" if astray is found.waves else " of the height"
    if found.marks is not None and astray is not found.marks:
        told += f", on feed marks every {found.marks.pitch_mm:.3f} mm"
    return f"{told}. Look at the spindle, the insert and what holds the head."


def _length(pitch_mm: float) -> str:
    return f"{pitch_mm:.1f}" if pitch_mm >= 1.0 else f"{pitch_mm:.3f}"


def _stone_words(feed_set_mm: float | None) -> str:
    told = "Belt or stone: no mark repeats"
    if feed_set_mm is None:
        return f"{told}; the heights come at random."
    return f"{told}; nothing shows of the feed of {feed_set_mm:.3f} mm the machine was set to."
