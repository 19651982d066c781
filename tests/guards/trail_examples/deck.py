"""Examples of the deeds about a deck's form."""

from castworthy.actions import papers, scans
from castworthy.calc.deck.feeler import Gap
from castworthy.calc.quantity import Quantity
from castworthy.records.standing import standing_of
from factories import shop
from factories.sheet_texts import big_sheet_text
from trail_examples import Deed, Stage, example

_SCAN = b"x_mm,y_mm,z_mm\n0,0,0\n200,0,0.01\n0,100,0\n200,100,0\n100,50,0.02\n"


@example("scans.take_scan")
def _(stage: Stage) -> Deed:
    return lambda: scans.take_scan(
        tag=stage.tag, name="deck.csv", content=_SCAN, by=stage.machinist
    )


@example("scans.keep_feeler")
def _(stage: Stage) -> Deed:
    gaps = [
        Gap(line="front", x_mm=x, y_mm=0.0, goes_mm=goes_mm, stops_mm=stops_mm)
        for x, goes_mm, stops_mm in ((0.0, 0.0, 0.03), (150.0, 0.05, 0.07), (300.0, 0.0, 0.03))
    ]
    return lambda: scans.keep_feeler(tag=stage.tag, gaps=gaps, by=stage.machinist)


@example("papers.print_deck")
def _(stage: Stage) -> Deed:
    text = big_sheet_text(cylinders_count=2, heights_count=6)
    head = shop.take_in(stage.owner, code=shop.write_sheet(stage.owner, text=text), tag="G-1")
    for place in standing_of(head.tag).sheet.sites_of(Quantity.HEIGHT):
        shop.kept(head.tag, "height", place, "0.1 thou", by=stage.machinist)
    address = "http://bench.example/heads/G-1/"
    return lambda: papers.print_deck(tag="G-1", address=address, by=stage.machinist)
