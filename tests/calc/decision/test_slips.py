"""Slips are asked about when they explain an unlikely reading, and honest readings are not."""

import numpy as np
import pytest

from castworthy.calc.decision.slips import SlipKind, ask_slips
from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit, Reading
from castworthy.calc.quantity import Quantity
from castworthy.units import Show

INCH = 25.4
UIN = 0.0254
RECESSION = Limit(
    quantity=Quantity.RECESSION, low=0.0325 * INCH, high=0.0465 * INCH, aim=0.039 * INCH
)
FINISH = Limit(quantity=Quantity.FINISH_RA, high=25 * UIN)
NEIGHBOURS_IN = (0.0427, 0.0365, 0.0389, 0.0392, 0.0401, 0.0444)


def kinds(value_in: float, *, neighbours_in: tuple[float, ...] = ()) -> list[SlipKind]:
    return [
        slip.kind
        for slip in ask_slips(
            Reading(quantity=Quantity.RECESSION, place="2B", value=value_in * INCH),
            limit=RECESSION,
            neighbours=[n * INCH for n in neighbours_in],
        )
    ]


SLIPS = [
    (0.390, SlipKind.POWER_OF_TEN),
    (0.0039, SlipKind.POWER_OF_TEN),
    (39.0, SlipKind.POWER_OF_TEN),
    (0.039 * 25.4, SlipKind.INCH_MILLIMETRE),
    (0.039 / 25.4, SlipKind.INCH_MILLIMETRE),
    (0.0390 + 0.025, SlipKind.THIMBLE_TURN),
    (0.0390 - 0.025, SlipKind.THIMBLE_TURN),
    (0.0390 + 0.100, SlipKind.DIAL_TURN),
    (0.0390 + 0.300, SlipKind.DIAL_TURN),
    (-0.0390, SlipKind.SIGN),
]


@pytest.mark.parametrize(
    "neighbours_in", [(), NEIGHBOURS_IN], ids=["by the limit", "by neighbours"]
)
@pytest.mark.parametrize(("value_in", "kind"), SLIPS)
def test_each_slip_is_asked_about(
    value_in: float, kind: SlipKind, neighbours_in: tuple[float, ...]
) -> None:
    # Common practice, no source: inch micrometer 0.025 in a turn, inch dial 0.100 in a turn.
    assert kinds(value_in, neighbours_in=neighbours_in)[0] is kind


@pytest.mark.parametrize(
    "neighbours_in", [(), NEIGHBOURS_IN], ids=["by the limit", "by neighbours"]
)
@pytest.mark.parametrize("past_thou", [-8, -5, -3, -1, 0, 1, 3, 5, 8])
def test_an_honest_reading_a_few_thou_outside_raises_nothing(
    past_thou: float, neighbours_in: tuple[float, ...]
) -> None:
    edge = 0.0465 if past_thou > 0 else 0.0325

    assert kinds(edge + past_thou / 1000, neighbours_in=neighbours_in) == []


def test_a_head_that_is_deep_all_over_is_not_asked_about() -> None:
    # All valves of a worn core 20 thou too deep: the neighbours say so.
    worn = tuple(n + 0.025 for n in NEIGHBOURS_IN)

    assert kinds(0.066, neighbours_in=worn) == []


@pytest.mark.parametrize(
    ("ra_um", "asked"),
    [
        (18.0, [SlipKind.MICROINCH_MICROMETRE, SlipKind.POWER_OF_TEN]),
        (0.45 * UIN, [SlipKind.MICROINCH_MICROMETRE, SlipKind.POWER_OF_TEN]),
        (41 * UIN, []),
        (21 * UIN, []),
        (110 * UIN, []),
        (3 * UIN, []),
    ],
)
def test_finish_in_the_wrong_unit(ra_um: float, asked: list[SlipKind]) -> None:
    reading = Reading(quantity=Quantity.FINISH_RA, place="", value=ra_um)

    assert [s.kind for s in ask_slips(reading, limit=FINISH, neighbours=[])] == asked


@pytest.mark.parametrize(
    ("thickness_in", "asked"),
    [
        (0.4420, False),
        (0.4250, False),
        (0.5100, False),
        (4.420, True),
        (0.0442, True),
        (11.22, True),
    ],
)
def test_a_low_limit_alone_knows_powers_of_ten_only(thickness_in: float, asked: bool) -> None:
    limit = Limit(quantity=Quantity.DECK_THICKNESS, low=0.4330 * INCH)
    reading = Reading(quantity=Quantity.DECK_THICKNESS, place="T1", value=thickness_in * INCH)

    assert bool(ask_slips(reading, limit=limit, neighbours=[])) is asked


def test_worn_guides_are_not_taken_for_slips() -> None:
    # High limit 0.0035 in; neighbours nearly new, one worn to more than twice the limit.
    limit = Limit(quantity=Quantity.GUIDE_CLEARANCE, high=0.0035 * INCH)
    reading = Reading(quantity=Quantity.GUIDE_CLEARANCE, place="2B", value=0.0080 * INCH)
    neighbours = [0.0018 * INCH, 0.0019 * INCH, 0.0021 * INCH, 0.0017 * INCH]

    assert ask_slips(reading, limit=limit, neighbours=neighbours) == ()


def test_without_limit_and_neighbours_nothing_is_known() -> None:
    reading = Reading(quantity=Quantity.GUIDE_CLEARANCE, place="1A", value=3.0)

    assert ask_slips(reading, limit=None, neighbours=[]) == ()


def test_the_first_height_of_a_grid_lies_near_its_plane() -> None:
    far = Reading(quantity=Quantity.HEIGHT, place="H1", value=3.0)
    bowed = Reading(quantity=Quantity.HEIGHT, place="H1", value=-0.3)

    assert SlipKind.POWER_OF_TEN in [s.kind for s in ask_slips(far, limit=None, neighbours=[])]
    assert ask_slips(bowed, limit=None, neighbours=[]) == ()


def test_heights_are_asked_about_by_their_neighbours() -> None:
    reading = Reading(quantity=Quantity.HEIGHT, place="H1", value=0.012 * INCH)
    neighbours = [h * INCH for h in (0.0012, 0.0009, -0.0002, 0.0011, 0.0004, -0.0005)]

    assert SlipKind.POWER_OF_TEN in [
        s.kind for s in ask_slips(reading, limit=None, neighbours=neighbours)
    ]


def test_few_false_alarms_and_few_misses_on_seeded_heads() -> None:
    """Heads drawn at random: recession about its aim, scatter a fifth of the span."""
    rng = np.random.default_rng(11)
    slips = (
        lambda v: v * 10,
        lambda v: v / 10,
        lambda v: v * 25.4,
        lambda v: v / 25.4,
        lambda v: v + 0.635,
        lambda v: v - 0.635,
        lambda v: v + 2.54,
        lambda v: -v,
    )
    alarms = misses = 0
    heads, valves = 60, 24
    for _ in range(heads):
        values = rng.normal(0.0400 * INCH, 0.0030 * INCH, size=valves)
        for i, value in enumerate(values):
            others = [float(v) for v in np.delete(values[: i + 1], i)]

            def asked(read: float, others: list[float] = others) -> bool:
                reading = Reading(quantity=Quantity.RECESSION, place="2B", value=read)
                return bool(ask_slips(reading, limit=RECESSION, neighbours=others))

            alarms += asked(float(value))
            misses += not asked(float(slips[i % len(slips)](value)))

    assert alarms / (heads * valves) < 0.002
    assert misses / (heads * valves) < 0.05


@pytest.mark.parametrize(
    ("value_in", "length", "sentence"),
    [
        (
            0.064,
            "thou",
            "2B reads 0.0640 in below the deck, which one turn of the thimble too many "
            "(0.0250 in) would explain: is it 0.0390 in below the deck?",
        ),
        (
            0.339,
            "mm",
            "2B reads 8.611 mm below the deck, which 3 turns of the dial too many (7.620 mm) "
            "would explain: is it 0.991 mm below the deck?",
        ),
        (
            -0.039,
            "in",
            "2B reads 0.0390 in above the deck, which below and above the deck mixed up would "
            "explain: is it 0.0390 in below the deck?",
        ),
        (
            3.9,
            "in",
            "2B reads 3.9000 in below the deck, which a decimal point two places over would "
            "explain: is it 0.0390 in below the deck?",
        ),
        (
            0.039 * 25.4,
            "in",
            "2B reads 0.9906 in below the deck, which inches and millimetres mixed up would "
            "explain: is it 0.0390 in below the deck?",
        ),
    ],
)
def test_questions_read_as_sentences(value_in: float, length: str, sentence: str) -> None:
    reading = Reading(quantity=Quantity.RECESSION, place="2B", value=value_in * INCH)
    slip = ask_slips(reading, limit=RECESSION, neighbours=[])[0]

    assert slip.sentence(Show(length=length)) == sentence


def test_a_limit_of_another_quantity_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be asked about by a limit of finish_ra"):
        ask_slips(
            Reading(quantity=Quantity.RECESSION, place="2B", value=1.0), limit=FINISH, neighbours=[]
        )
