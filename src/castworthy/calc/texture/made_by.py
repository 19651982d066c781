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
    feed, astray = _told_apart(found, feed_set_mm=feed_set_mm)
    if astray is not None:
        return MadeBy(
            kind=Mark.CHATTER,
            pitch_mm=astray.pitch_mm,
            share_ratio=astray.share_ratio,
            feed_set_mm=feed_set_mm,
            sentence=_chatter_words(
                astray, feed=feed, of_waviness=astray is found.waves, feed_set_mm=feed_set_mm
            ),
        )
    if feed is not None:
        return MadeBy(
            kind=Mark.FEED,
            pitch_mm=feed.pitch_mm,
            share_ratio=feed.share_ratio,
            feed_set_mm=feed_set_mm,
            sentence=_feed_words(feed, feed_set_mm=feed_set_mm),
        )
    return MadeBy(
        kind=Mark.STONE,
        pitch_mm=None,
        share_ratio=0.0,
        feed_set_mm=feed_set_mm,
        sentence=_stone_words(feed_set_mm),
    )


def _told_apart(
    found: Repeats, *, feed_set_mm: float | None
) -> tuple[Repeat | None, Repeat | None]:
    """The feed marks and what no feed makes; of two pitches the finer is the feed's."""
    short = sorted((r for r in (found.marks, found.beside) if r), key=lambda r: r.pitch_mm)
    feed = next((r for r in short if _fits(r, feed_set_mm)), None)
    others = [r for r in short if r is not feed]
    return feed, found.waves or (others[-1] if others else None)


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
    share = _percent(marks.share_ratio)
    told = f"Milled: marks every {marks.pitch_mm:.3f} mm carry {share} of the height"
    if feed_set_mm is None:
        return f"{told}."
    told += f"; the machine was set to {feed_set_mm:.3f} mm."
    ratio = feed_set_mm / marks.pitch_mm
    if round(ratio) >= 2:
        return f"{told} That is one mark for each of {round(ratio)} inserts."
    if abs(ratio - 1.0) > OFF_RATIO:
        return f"{told} Check the feed drive, or the spacing of the trace."
    return told


def _chatter_words(
    astray: Repeat, *, feed: Repeat | None, of_waviness: bool, feed_set_mm: float | None
) -> str:
    told = f"Chatter: waves every {_length(astray.pitch_mm)} mm"
    if feed_set_mm is not None:
        told += f", which no feed of {feed_set_mm:.3f} mm makes"
    told += f"; they carry {_percent(astray.share_ratio)}"
    told += " of the waviness" if of_waviness else " of the height"
    if feed is not None:
        told += f", on feed marks every {feed.pitch_mm:.3f} mm"
    return f"{told}. Look at the spindle, the insert and what holds the head."


def _percent(ratio: float) -> str:
    return f"{ratio * 100.0:.0f} %"


def _length(pitch_mm: float) -> str:
    return f"{pitch_mm:.1f}" if pitch_mm >= 1.0 else f"{pitch_mm:.3f}"


def _stone_words(feed_set_mm: float | None) -> str:
    told = "Belt or stone: no mark repeats"
    if feed_set_mm is None:
        return f"{told}; the heights come at random."
    return f"{told}; nothing shows of the feed of {feed_set_mm:.3f} mm the machine was set to."
