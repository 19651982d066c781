"""An invented head's papers."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from io import BytesIO

import pypdf
import pytest

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.charts.theme import Theme
from castworthy.reports.claim import ClaimPaper, CostLine, Fault
from castworthy.reports.parts import BarGroup, BarRow, Fact, Imprint, PaperSize, Shop
from castworthy.reports.release import (
    Cell,
    LimitRow,
    ProofRow,
    ReadingRow,
    ReadingTable,
    ReleasePaper,
    WorkRow,
)
from castworthy.reports.tag import TagPaper
from castworthy.reports.traveller import Done, TravellerPaper, TravellerStep

ADDRESS = "http://bench.example:8100/heads/T66-0042/"
DIGEST = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
FACTS = (Fact(label="kind", value="core, bare"), Fact(label="customer", value="Weir Boats"))
TITLE = "Tarn 66, six cylinders, 24 valves"


def bar_of(before: float, after: float) -> str:
    marks = (BarMark(value=before, u=0.013, solid=False), BarMark(value=after, u=0.015))
    return limit_bar(LimitBar(low=0.8255, high=1.1811, marks=marks), theme=Theme.PRINT)


@pytest.fixture
def imprint() -> Callable[..., Imprint]:
    def make(size: PaperSize = PaperSize.A4) -> Imprint:
        return Imprint(
            shop=Shop(name="Millrace Engine Works", address="3 Weir Lane\nOld Harbour"),
            made_at=datetime(2026, 3, 14, 10, 41, tzinfo=UTC),
            made="Printed 14 Mar 2026 10:41 by Ana Ruse",
            software="Castworthy 0.1.0",
            size=size,
        )

    return make


@pytest.fixture
def tag_paper(imprint) -> TagPaper:
    return TagPaper(
        imprint=imprint(),
        tag="T66-0042",
        address=ADDRESS,
        title=TITLE,
        kind="new casting",
        condition="loaded",
        supplier="Gale Foundry",
        lot="7F",
        taken_in="12 Mar 2026",
    )


@pytest.fixture
def traveller_paper(imprint) -> TravellerPaper:
    return TravellerPaper(
        imprint=imprint(),
        tag="T66-0042",
        address=ADDRESS,
        title=TITLE,
        facts=FACTS,
        summary="Least cost: $187 in 1 h 52 min, holds every limit with 96 %.",
        steps=(
            TravellerStep(title="Surface the deck", total="4.0 thou", cautions=("Mind chips.",)),
            TravellerStep(title="Cut seats", figures=("5B +8.2 thou", "5C +10.3 thou")),
            TravellerStep(title="Wash", done=Done(taken="done", by="Jon Petty", at="13 Mar 16:20")),
        ),
        bars=(
            BarGroup(
                title="Recession",
                about="allowed 0.0325 to 0.0465 in",
                rows=(BarRow(name="2B", before="0.0493", after="0.0453", svg=bar_of(1.252, 1.15)),),
            ),
        ),
        measure_again=("Recession, 24 valves",),
        cautions=("Use a hoist.",),
        last_word="The engine maker's manual and a qualified machinist decide.",
    )


@pytest.fixture
def release_paper(imprint) -> Callable[..., ReleasePaper]:
    def make(
        valves: int = 24, size: PaperSize = PaperSize.A4, verdict: Verdict = Verdict.INSIDE
    ) -> ReleasePaper:
        names = [f"{i // 4 + 1}{'ABCD'[i % 4]}" for i in range(valves)]
        recession = tuple(
            ReadingRow(
                place=name,
                cells=(
                    Cell(
                        received=f"0.04{20 + i}",
                        shipped=f"0.03{50 + i}",
                        verdict=verdict,
                        svg=bar_of(1.09, 0.93),
                    ),
                ),
            )
            for i, name in enumerate(names)
        )
        rest = tuple(
            ReadingRow(
                place=name, cells=(Cell(shipped="1.7810"), Cell(shipped=f"0.07{10 + i}"), None)
            )
            for i, name in enumerate(names)
        )
        return ReleasePaper(
            imprint=imprint(size),
            number=41,
            tag="T66-0042",
            address=ADDRESS,
            title=TITLE,
            facts=FACTS,
            statement="Reconditioned: every limit of the sheet holds.",
            tables=(
                ReadingTable(
                    title="Recession", places="valve", columns=("Recession, in",), rows=recession
                ),
                ReadingTable(
                    title="Valves",
                    places="valve",
                    columns=("Spring height, in", "Seat width, in", "Vacuum, inHg"),
                    rows=rest,
                ),
            ),
            limits=(
                LimitRow(
                    quantity="Recession",
                    limit="0.0325 to 0.0465 in",
                    source="shop book, table 4",
                    rule="guarded, 95 %",
                    gauges="Depth gauge DG-2",
                    by="Ana Ruse",
                ),
            ),
            work=(WorkRow(what="Surface the deck", taken="4.0 thou", by="Ana Ruse", at="13 Mar"),),
            tests=(
                ProofRow(
                    what="Pressure",
                    conditions="water, 40 psi, 20 min",
                    rule="no drop",
                    found="0.2 psi",
                    passed=True,
                    by="Ana Ruse",
                    at="14 Mar",
                ),
            ),
            not_checked=("Cam bores.",),
            released_by="Ana Ruse",
            released_at="14 Mar 2026 10:41",
            digest=DIGEST,
            parts=("24 stem seals",),
            warranty="Twelve months.",
            verify="castworthy verify T66-0042",
        )

    return make


@pytest.fixture
def claim_paper(imprint) -> Callable[..., ClaimPaper]:
    def make(faults: int = 3, photo: bytes = b"") -> ClaimPaper:
        return ClaimPaper(
            imprint=imprint(),
            tag="T66-0042",
            address=ADDRESS,
            title=TITLE,
            supplier="Gale Foundry",
            lot="7F",
            facts=FACTS,
            statement="Measured as received, before any work.",
            faults=tuple(
                Fault(
                    name=f"{i}B",
                    sentence=f"{i}B is too deep by {i}.8 thou.",
                    limit="0.0325 to 0.0465 in",
                    source="shop book, table 4",
                    reading=f"0.049{i}",
                    uncertainty="0.5 thou",
                    probability="0.3 %",
                    gauge="Depth gauge DG-2",
                    by="Ana Ruse",
                    at="12 Mar",
                    svg=bar_of(1.252, 1.252),
                    photo=photo if i == 0 else b"",
                    photo_about="chatter" if i == 0 and photo else "",
                )
                for i in range(faults)
            ),
            costs=(CostLine(what="Bench time", amount="$177.33"),),
            total="$178.13",
            answer_wanted="Please replace it.",
        )

    return make


@pytest.fixture
def read_pdf() -> Callable[[bytes], pypdf.PdfReader]:
    return lambda made: pypdf.PdfReader(BytesIO(made))


@pytest.fixture
def words_of(read_pdf) -> Callable[[bytes], str]:
    """All the words of a PDF in one line, the places to break taken out."""

    def read(made: bytes) -> str:
        pages = (page.extract_text() for page in read_pdf(made).pages)
        return re.sub(r"\s+", " ", " ".join(pages).replace("\u200b", ""))

    return read
