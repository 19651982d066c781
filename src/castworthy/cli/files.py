"""Files named on the command line, read whole but never without a limit."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from castworthy.calc.head import HeadSheet
from castworthy.cli.outcome import InputRefusedError
from castworthy.sheets.gauges import GaugeCard, read_gauge_cards
from castworthy.sheets.readings import ReadingsFile, read_readings
from castworthy.sheets.source import LARGEST_READINGS_BYTES, LARGEST_SHEET_BYTES, decode
from castworthy.sheets.spec import read_sheet, sheet_unit
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What judging and planning start from: the head, its readings, what was found odd."""

    sheet: HeadSheet
    readings: ReadingsFile
    show: Show
    cautions: tuple[str, ...]


def read_text(path: Path, *, largest: int = LARGEST_SHEET_BYTES) -> str:
    """The text of a file.

    Raises
    ------
    InputRefusedError
        If the file cannot be read.
    castworthy.sheets.errors.SheetError
        If it is too large or no UTF-8 text.

    """
    try:
        with path.open("rb") as file:
            raw = file.read(largest + 1)
    except OSError as fault:
        raise InputRefusedError(
            f"{path}: the file cannot be read ({(fault.strerror or 'no reason given').lower()})."
        ) from fault
    return decode(raw, file=str(path), largest=largest)


def read_job(
    *, sheet: Path, readings: Path, gauges: Path | None, show: str | None, gasket: str = ""
) -> Job:
    """The head, its readings and gauges from their files; every finding is told at once.

    Raises
    ------
    castworthy.sheets.errors.SheetError
        With the findings of the first file that cannot be taken.
    InputRefusedError
        If a file cannot be read.

    """
    text = read_text(sheet)
    head = _fitted(read_sheet(text, file=str(sheet)), gasket=gasket, sheet=sheet)
    cards = () if gauges is None else read_gauge_cards(read_text(gauges), file=str(gauges))
    taken = read_readings(
        read_text(readings, largest=LARGEST_READINGS_BYTES),
        sheet=head,
        gauges=tuple(card.gauge for card in cards),
        file=str(readings),
    )
    unit = sheet_unit(text)
    return Job(
        sheet=head,
        readings=taken,
        show=Show(length=show or ("mm" if unit == "mm" else "thou")),
        cautions=tuple(_cautions(taken, cards=cards, gauges=gauges)),
    )


def _fitted(head: HeadSheet, *, gasket: str, sheet: Path) -> HeadSheet:
    """The head with the finish its gasket needs."""
    try:
        return head.fitted(gasket)
    except KeyError:
        known = ", ".join(each.name for each in head.gaskets)
        raise InputRefusedError(
            f"{sheet} names no gasket {gasket!r}; it has {known or 'none'}."
        ) from None


def _cautions(
    taken: ReadingsFile, *, cards: tuple[GaugeCard, ...], gauges: Path | None
) -> list[str]:
    today = datetime.now().astimezone().date()
    said = [
        f"Gauge {card.gauge.name} is past its calibration ({card.calibrated_until}); what was read "
        "with it rests on an old check."
        for card in cards
        if card.overdue(today) and card.gauge.name in taken.gauges_used
    ]
    if gauges is None:
        said.append(
            "No gauges file was given, so every reading is judged as if it were exact; name one "
            "with --gauges."
        )
    elif bare := sum(1 for row in taken.rows if not row.gauge):
        said.append(
            f"{bare} of {len(taken.rows)} readings name no gauge and are judged as if they were "
            "exact."
        )
    for quantity, place in taken.scattered:
        where = f"{quantity} at {place}" if place else f"{quantity}"
        said.append(
            f"{where} was read several times with more scatter than its gauge explains; the "
            "scatter was used as its uncertainty."
        )
    return said
