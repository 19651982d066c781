"""The engine and the gaskets of a sheet: what they ask of a head, and what is refused.

Compression ratio: (swept + clearance) / clearance, with the arithmetic done here by hand.
"""

from math import pi

import pytest

from castworthy.calc.quantity import Quantity
from castworthy.sheets.errors import SheetError
from castworthy.sheets.spec import read_sheet
from castworthy.sheets.write import write_sheet
from factories.sheet_texts import SMALL

ENGINE = """
[engine]
stroke = "120 mm"
gasket = "1.2 mm"
gasket_bore = "104 mm"
bowl = "40 cm3"
deck_clearance = "-0.1 mm"
ratio_low = 16.5
ratio_high = 17.5
source = "manual 4, page 12"
"""
GASKETS = """
[[gasket]]
name = "steel"
title = "multi-layer steel"
ra_low = "15 uin"
ra_high = "25 uin"
rz_high = 160

[[gasket]]
name = "soft"
title = "soft-faced"
ra_low = "30 uin"
ra_high = "60 uin"
rule = "simple"
"""
BORE_MM = 4.0 * 25.4


def limit_of(text: str, quantity: Quantity, gasket: str = ""):
    return read_sheet(SMALL + text).fitted(gasket).limit_for(quantity)


def ratio_of(chamber_cm3: float) -> float:
    """The ratio of that chamber over this engine, step by step."""
    swept = pi / 4 * BORE_MM**2 * 120 / 1000
    gasket = pi / 4 * 104**2 * 1.2 / 1000
    above = pi / 4 * BORE_MM**2 * -0.1 / 1000
    clearance = chamber_cm3 + gasket + 40 + above
    return (swept + clearance) / clearance


class TestEngine:
    def test_ratio_limits_bound_the_chamber(self) -> None:
        limit = limit_of(ENGINE, Quantity.CHAMBER_VOLUME)
        assert ratio_of(limit.low) == pytest.approx(17.5, rel=1e-12)
        assert ratio_of(limit.high) == pytest.approx(16.5, rel=1e-12)
        assert limit.source == "manual 4, page 12"

    def test_a_chamber_limit_of_its_own_is_narrowed(self) -> None:
        own = '\n[limit.chamber_volume]\nlow = "1 cm3"\nhigh = "900 cm3"\n'
        bare, both = (
            limit_of(ENGINE, Quantity.CHAMBER_VOLUME),
            limit_of(ENGINE + own, Quantity.CHAMBER_VOLUME),
        )
        assert (both.low, both.high) == (max(bare.low, 1.0), min(bare.high, 900.0))

    def test_without_ratios_nothing_is_asked(self) -> None:
        text = '\n[engine]\nstroke = "120 mm"\n'
        assert limit_of(text, Quantity.CHAMBER_VOLUME) is None

    @pytest.mark.parametrize(
        ("old", "new", "says"),
        [
            ("ratio_low = 16.5", "ratio_low = 18.5", "must not lie above"),
            ("ratio_low = 16.5", "ratio_low = 0.9", "more than 1"),
            ('stroke = "120 mm"', "", "stroke"),
            ('bowl = "40 cm3"', "bowl = 40", "unit"),
            ("ratio_low", "ratio_min", "ratio_min"),
        ],
    )
    def test_what_is_refused(self, old: str, new: str, says: str) -> None:
        with pytest.raises(SheetError, match=says):
            read_sheet(SMALL + ENGINE.replace(old, new))

    def test_limits_of_ratio_and_of_chamber_that_exclude_each_other_are_refused(self) -> None:
        own = '\n[limit.chamber_volume]\nlow = "100 cm3"\nhigh = "110 cm3"\n'
        bores = SMALL + ENGINE.replace('"40 cm3"', '"400 cm3"')
        for text, says in ((SMALL + ENGINE + own, "no chamber volume"), (bores, "too much room")):
            with pytest.raises(SheetError, match=says) as found:
                read_sheet(text)
            assert "engine.ratio_low" in str(found.value)


class TestGaskets:
    def test_the_first_is_the_usual_one(self) -> None:
        limit = limit_of(GASKETS, Quantity.FINISH_RA)
        assert limit.high == pytest.approx(25 * 0.0254)

    def test_another_brings_its_own_rule(self) -> None:
        limit = limit_of(GASKETS, Quantity.FINISH_RA, "soft")
        assert limit.low == pytest.approx(30 * 0.0254)
        assert limit.rule == "simple"

    def test_what_it_does_not_say_is_not_asked(self) -> None:
        assert limit_of(GASKETS, Quantity.FINISH_RZ, "soft") is None
        assert limit_of(GASKETS, Quantity.FINISH_RZ, "steel").high == pytest.approx(160 * 0.0254)

    def test_one_that_is_not_named(self) -> None:
        with pytest.raises(KeyError):
            read_sheet(SMALL + GASKETS).fitted("copper")

    @pytest.mark.parametrize(
        ("old", "new", "says"),
        [
            ('ra_low = "15 uin"', 'ra_low = "35 uin"', "must not lie above"),
            ('name = "soft"', 'name = "steel"', "taken|two gaskets"),
            ('ra_low = "15 uin"', 'ra_low = "15 mm2"', "mm2"),
            ("rz_high = 160", "rz_top = 160", "rz_top"),
        ],
    )
    def test_what_is_refused(self, old: str, new: str, says: str) -> None:
        with pytest.raises(SheetError, match=says):
            read_sheet(SMALL + GASKETS.replace(old, new))


def test_written_and_read_back_it_is_the_same() -> None:
    sheet = read_sheet(SMALL + ENGINE + GASKETS)
    for unit in ("in", "mm"):
        assert read_sheet(write_sheet(sheet, unit=unit)) == sheet
