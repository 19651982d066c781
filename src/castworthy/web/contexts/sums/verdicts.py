"""How a sum shows a verdict: the edge of its first sentence, how sure it is."""

from castworthy.calc.decision.figure import FigureJudged
from castworthy.calc.decision.verdict import Verdict
from castworthy.records.kept_sums import Row

TONES = {
    Verdict.INSIDE: "inside",
    Verdict.OUTSIDE: "outside",
    Verdict.CLOSE: "close",
    Verdict.MISSING: "plain",
}
_WORST = (Verdict.OUTSIDE, Verdict.CLOSE, Verdict.INSIDE)


def tone_of(*judged: FigureJudged | None) -> str:
    """The edge for the worst of several verdicts; plain where nothing was judged."""
    verdicts = {each.verdict for each in judged if each is not None}
    return next((TONES[each] for each in _WORST if each in verdicts), "plain")


def sure_rows(
    judged: FigureJudged | None, *, label: str = "Sure to be inside", note: str = ""
) -> tuple[Row, ...]:
    """How sure a figure is to be inside; none where no uncertainty is known."""
    if judged is None or judged.probability is None:
        return ()
    share = 100.0 * judged.probability
    said = "99.9 % or more" if share >= 99.9 else f"{share:.1f} %"
    return (Row(label=label, value=said, note=note),)
