"""The inks of a chart: a page's own colours, or black on white for paper."""

from dataclasses import dataclass
from enum import StrEnum

from castworthy.calc.decision.verdict import Verdict


class Theme(StrEnum):
    """Where a chart is shown."""

    PAGE = "page"
    PRINT = "print"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """Colours by what they are for.  ``hatched``: shade by lines instead of tints."""

    ink: str
    soft: str
    rule: str
    card: str
    blue: str
    wash: str
    vermilion: str
    ochre: str
    steel: str
    metal: str
    metal_opacity: float
    hatched: bool
    font: str | None

    def of(self, verdict: Verdict) -> str:
        """The colour that goes with a verdict, never without its shape."""
        match verdict:
            case Verdict.INSIDE:
                return self.blue
            case Verdict.OUTSIDE:
                return self.vermilion
            case Verdict.CLOSE:
                return self.ochre
            case Verdict.MISSING:
                return self.soft


INKS: dict[Theme, Ink] = {
    Theme.PAGE: Ink(
        ink="var(--ink, #1C2430)",
        soft="var(--soft, #5D6673)",
        rule="var(--rule, #D8D3C5)",
        card="var(--card, #FFFEFA)",
        blue="var(--blue, #1D4F91)",
        wash="var(--wash, #DCE6F2)",
        vermilion="var(--vermilion, #C2401F)",
        ochre="var(--ochre, #B57A12)",
        steel="var(--steel, #9AA3AD)",
        metal="var(--rule, #D8D3C5)",
        metal_opacity=0.42,
        hatched=False,
        font=None,
    ),
    Theme.PRINT: Ink(
        ink="#000000",
        soft="#4A4A4A",
        rule="#BDBDBD",
        card="#FFFFFF",
        blue="#000000",
        wash="#FFFFFF",
        vermilion="#000000",
        ochre="#000000",
        steel="#7A7A7A",
        metal="#F1F1F1",
        metal_opacity=1.0,
        hatched=True,
        font="B612, DejaVu Sans, sans-serif",
    ),
}

HOOKS: dict[Verdict, str] = {
    Verdict.INSIDE: "cw-inside",
    Verdict.OUTSIDE: "cw-outside",
    Verdict.CLOSE: "cw-close",
    Verdict.MISSING: "cw-missing",
}
"""The class hook of each verdict."""
