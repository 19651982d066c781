"""The claim sheet: every fault of a casting as it came in, with its evidence."""

from collections.abc import Iterable

from castworthy.actions.setting.press import Press, bar, facts_of, moment, share, unit_words
from castworthy.actions.setting.proofs import crack_deck, crack_rows, photo_bytes
from castworthy.calc.decision.phrases import amount_phrase, reading_phrase, subject
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import limit_sentence, verdict_sentence
from castworthy.calc.head import HeadSheet
from castworthy.calc.head import Reading as CalcReading
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.charts.bar import BarMark
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.charts.theme import Theme
from castworthy.records.crack_places import crack_places
from castworthy.records.finish_words import cause_of
from castworthy.records.lookups.finish import finish_page
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.people import shop
from castworthy.records.lookups.prove import prove_page
from castworthy.records.measured import worked_of
from castworthy.records.models import Head, Photo, TestKind
from castworthy.records.proving import Tested
from castworthy.records.rows import head_row
from castworthy.records.standing import SpotStanding, Standing, judge_once, standing_of
from castworthy.records.traces import FINISH
from castworthy.reports.claim import ClaimPaper, CostLine, Fault
from castworthy.reports.parts import CrackRow
from castworthy.units import Show

_NO_CUT = frozenset({OperationKind.CLEAN, OperationKind.CRACK_CHECK, OperationKind.WASH})
"""Operations that leave a casting as it came: cracks are looked for once it is clean."""


def claim_paper(tag: str, *, press: Press) -> ClaimPaper:
    """What the claim for a head says: only what was read before any work on it."""
    head, standing = head_facts(tag), standing_of(tag)
    faults = faults_of(standing)
    causes = _causes(tag, show=press.show)
    cracked = _cracked(tag)
    claimed = bool(faults) or cracked is not None or head.outcome == "sent back"
    costs = _costs(standing.sheet) if claimed else ()
    return ClaimPaper(
        imprint=press.imprint,
        tag=tag,
        address=press.address,
        title=head.sheet_title,
        supplier=head.supplier or head.customer,
        lot=head.lot_code,
        facts=facts_of(head),
        statement=_statement(len(faults), kind=head.kind_words, cracked=cracked),
        faults=tuple(
            _fault(spot, judged, cause=causes.get(spot.quantity, ""), press=press)
            for spot, judged in faults
        ),
        cracks=_cracks(cracked, head=head_row(tag)),
        cracks_svg=crack_deck(crack_places(cracked), sheet=standing.sheet, show=press.show),
        costs=costs,
        total=_money(sum(amount for _, amount in _amounts(standing.sheet))) if costs else "",
        deck_svg=_deck(standing, faults, press=press) if faults or cracked is None else "",
        deck_about="Outside their limits as received",
        not_judged=_not_judged(standing),
        answer_wanted=f"{head.outcome_note} Replace it or credit it, please.".strip()
        if claimed
        else "",
        signed_by=str(press.by),
        units=f"sizes in {unit_words(press.show)}",
    )


def faults_of(standing: Standing) -> tuple[tuple[SpotStanding, Judgement], ...]:
    """Every place that was outside its limit as received, judged on that reading."""
    faults = []
    for spot in standing.spots:
        received = spot.received
        if received is None or spot.limit is None:
            continue
        reading = CalcReading(
            quantity=spot.quantity, place=spot.place, value=received.value, u=received.u
        )
        judged = judge_once(reading, spot.limit, standing.sheet.work.confidence_probability)
        if judged.verdict is Verdict.OUTSIDE:
            faults.append((spot, judged))
    return tuple(faults)


def _cracked(tag: str) -> Tested | None:
    """The last crack check of the casting as it came, where it found something."""
    checks = prove_page(tag).history.get((TestKind.CRACK, ""), ())
    cuts = [done.number for done in worked_of(head_row(tag)) if done.kind not in _NO_CUT]
    first_cut = min(cuts, default=None)
    received = [test for test in checks if first_cut is None or test.epoch < first_cut]
    return received[-1] if received and not received[-1].passed else None


def _statement(count: int, *, kind: str, cracked: Tested | None) -> str:
    limits = "one limit is" if count == 1 else f"{count} limits are"
    measured = (
        f"Measured as received ({kind}), before any work: {limits} not held."
        if count
        else f"Measured as received ({kind}): nothing measured is outside its limits."
    )
    if cracked is None:
        return measured
    return f"{measured} The crack check ({cracked.conditions['method']}) found: {cracked.found}."


def _cracks(cracked: Tested | None, *, head: Head) -> tuple[CrackRow, ...]:
    """The places found, each with its photo; none where the check was only put in words."""
    if cracked is None:
        return ()
    told = f"{cracked.conditions['method']}, {cracked.by}, {moment(cracked.at)}"
    return crack_rows([(place, told) for place in crack_places(cracked)], head=head)


def _causes(tag: str, *, show: Show) -> dict[Quantity, str]:
    """What made the face, from the trace that decided as received."""
    received = [each for each in finish_page(tag).traces if each.trace.epoch == 0]
    told = {}
    for quantity in FINISH:
        worst = max(received, key=lambda each: each.trace.value_um[quantity], default=None)
        if worst is not None:
            told[quantity] = cause_of(worst, show=show)
    return told


def _photo(spot: SpotStanding) -> tuple[bytes, str]:
    """The newest photo of a reading of that place, with its caption."""
    ids = [taken.id for taken in spot.history]
    photo = Photo.objects.filter(reading_id__in=ids).order_by("-id").first()
    shown = photo_bytes(photo)
    return shown, photo.caption if photo is not None and shown else ""


def _fault(spot: SpotStanding, judged: Judgement, *, cause: str, press: Press) -> Fault:
    show = press.show
    photo, caption = _photo(spot)
    first = next((taken for taken in spot.history if not taken.replaced), None)
    mark = BarMark(value=judged.value or 0.0, u=judged.u, verdict=judged.verdict)
    limit = spot.limit
    return Fault(
        name=subject(spot.quantity, place=spot.place),
        sentence=verdict_sentence(judged, show=show),
        limit="" if limit is None else limit_sentence(limit, show=show).removeprefix("allowed "),
        source=judged.source,
        reading=reading_phrase(judged.value or 0.0, quantity=spot.quantity, show=show),
        uncertainty="not known"
        if judged.u is None
        else amount_phrase(judged.u, quantity=spot.quantity, show=show),
        probability="not known" if judged.probability is None else share(judged.probability),
        gauge=first.gauge if first else "",
        by=first.by if first else "",
        at=moment(first.at) if first else "",
        verdict=judged.verdict,
        svg=bar(limit, quantity=spot.quantity, marks=(mark,), show=show),
        cause=cause,
        photo=photo,
        photo_about=caption,
    )


def _amounts(sheet: HeadSheet) -> Iterable[tuple[str, float]]:
    prices = sheet.prices
    if prices.new_casting:
        yield "Replacement casting", prices.new_casting
    if prices.send_back:
        yield "Handling and freight", prices.send_back


def _costs(sheet: HeadSheet) -> tuple[CostLine, ...]:
    return tuple(CostLine(what=what, amount=_money(amount)) for what, amount in _amounts(sheet))


def _money(amount: float) -> str:
    return f"{shop().currency}{amount:,.2f}"


def _deck(
    standing: Standing,
    faults: tuple[tuple[SpotStanding, Judgement], ...],
    *,
    press: Press,
) -> str:
    marks = [
        DeckMark(
            quantity=spot.quantity,
            place=spot.place,
            verdict=judged.verdict,
            text=press.show.number(
                judged.value or 0.0,
                suffix=FACTS[spot.quantity].suffix,
                difference=spot.quantity is not Quantity.HEAD_HEIGHT,
            ),
        )
        for spot, judged in faults
    ]
    return deck_plan(standing.sheet, marks=marks, theme=Theme.PRINT, show=press.show)


def _not_judged(standing: Standing) -> tuple[str, ...]:
    missing: dict[Quantity, int] = {}
    for spot in standing.spots:
        if spot.required and spot.received is None:
            missing[spot.quantity] = missing.get(spot.quantity, 0) + 1
    return tuple(f"{FACTS[q].title}: {count} not read" for q, count in missing.items())
