"""The sums: each answers an example of the trade or of a handbook, and takes what people type."""

import re
from html import unescape
from math import cos, radians, tan
from urllib.parse import urlencode

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions.people import change_units
from castworthy.records.models import Head, Person
from castworthy.units import Show
from castworthy.web.contexts.sums.all_sums import SUMS, sum_named
from castworthy.web.contexts.sums.form import Field
from castworthy.web.contexts.sums.page import example, sum_page
from factories import shop
from factories.bench_sums import MM, THOU, answer_of, error_at, figures, plan_work

NAMES = [each.name for each in SUMS]


@pytest.fixture
def client(viewer: Person) -> Client:
    """Somebody who may look."""
    client = Client()
    client.force_login(viewer)
    return client


def ask(client: Client, name: str, *, live: bool = False, **typed: str) -> tuple[int, str]:
    """Status and text of a sum's page, or of the part an open page asks for."""
    headers = {"HX-Request": "true"} if live else {}
    response = client.get(f"{reverse('sum', args=[name])}?{urlencode(typed)}", headers=headers)
    return response.status_code, unescape(response.content.decode())


def error_of(page: str, field: str) -> str:
    """What stands at a field."""
    found = re.search(rf'id="{field}-error"[^>]*>([^<]*)<', page)
    assert found is not None
    return found[1]


# ---- what each sum answers ----


def test_a_seat_sunk_ten_thou() -> None:
    # Plane geometry: 30/45/60 and 0.010 in gives 5.278 times as much width; 0.7071 square to it.
    found = figures("seat", {"cut": "0.010"})
    assert found["Wider along the face"] == "52.8 thou"
    assert found["Metal square to the seat"] == "7.1 thou"
    assert found["Top cut, 30°"] == "10.0 thou deeper"


def test_a_seat_by_its_included_angles_and_metal_square_to_it() -> None:
    # Common practice, no source: 90 is 45 from the plane, and 1.414 n sinks it at 45 degrees.
    found = figures(
        "seat",
        {
            "quoted": "included",
            "seat": "90",
            "top": "120",
            "throat": "60",
            "taken": "metal",
            "cut": "7.0711 thou",
        },
    )
    assert found["Wider along the face"] == "52.8 thou"


def test_an_insert_by_lame() -> None:
    # Lame for unlike metals, worked apart: 43.23 MPa, 112.40 MPa at the bore, 240.16 in the ring.
    found = figures(
        "insert",
        {
            "ring": "40.08",
            "hole": "32",
            "bore": "40",
            "boss": "60",
            "ring_metal": "steel",
            "head_metal": "grey iron",
        },
        show=MM,
    )
    assert found["Contact pressure"] == "43.2 MPa"
    assert found["Pull in the head, round the bore"] == "112.4 MPa"
    assert found["Squeeze in the insert, at its hole"] == "240.2 MPa"


def test_an_insert_says_what_can_hurt() -> None:
    shown = example(next(each for each in SUMS if each.name == "insert"), show=MM)
    answer = answer_of("insert", shown | {"highest": "150 °C"}, show=MM)
    said = " ".join(answer.cautions)
    assert "bare skin freezes" in said
    assert "draws oxygen" in said
    assert answer.table is not None
    assert answer.table.rows[0][1].endswith("too hot")


def test_a_loose_insert_is_refused_in_words() -> None:
    answer = answer_of(
        "insert", {"ring": "39.99", "hole": "32", "bore": "40", "boss": "60"}, show=MM
    )
    assert answer.tone == "outside"
    assert "nothing holds it" in answer.headline


def test_a_guide_is_pressed_in_as_an_insert_is_and_both_run_hot() -> None:
    fit = {"ring": "14.04", "hole": "8", "bore": "14", "boss": "30", "ring_metal": "bronze"}
    cold = answer_of("insert", fit | {"piece": "guide", "head_metal": "grey iron"}, show=MM)
    assert "holds the guide" in cold.headline
    hot = fit | {"head_metal": "aluminium", "ring_metal": "steel", "work_head": "220 °C"}
    answer = answer_of("insert", hot, show=MM)
    row = next(row for row in answer.rows if row.label.startswith("Running hot"))
    # By hand: 200 K times 14 mm times (21.5 - 11.5) per million takes 0.028 of the 0.040 mm.
    assert row.note == "0.012 mm of interference left"
    gone = answer_of("insert", hot | {"work_head": "330 °C"}, show=MM)
    assert any("lets it go" in words for words in gone.cautions)
    assert gone.tone == "outside"


def test_a_valve_sinks_as_its_contact_moves() -> None:
    # Equal angles: as far as the seat.  Cones of 45 (seat) and 44 degrees (face) touch at the
    # seat's outer edge; where narrowing brings it in by dr the valve drops dr (tan 45 - tan 44).
    base = {"cut": "0.3", "outer": "36", "width": "1.6", "face_outer": "36.8", "face_inner": "32"}
    assert figures("seat", base, show=MM)["The valve sinks by"] == "0.300 mm"
    typed = base | {"face_angle": "44", "middle": "33.8"}
    outer = 33.8 / 2 + 1.6 * cos(radians(45)) / 2
    # Brought inward, the seat's inner edge has to be sunk to it first.
    first = 36 / 2 - 1.6 * cos(radians(45)) - 0.3 / (tan(radians(60)) - 1)
    more = max(0.0, (first - (outer - 1.6 * cos(radians(45)))) * (tan(radians(60)) - 1))
    drop = 0.3 + more + (18 - outer) * (1 - tan(radians(44)))
    assert figures("seat", typed, show=MM)["The valve sinks by"] == f"{drop:.3f} mm"


def test_a_spring_that_leans() -> None:
    # Common practice, no source: 1.7 mm on 48 mm is about 2 degrees.
    typed = {"way": "rate", "rate": "30 N/mm", "free": "48", "out_of_square": "1.6"}
    assert figures("spring", typed, show=MM)["Leans"] == "1.9°"
    leaning = answer_of("spring", typed | {"out_of_square": "2.5"}, show=MM)
    assert any("leans more than 2 degrees" in words for words in leaning.cautions)


def test_a_stem_in_its_guide() -> None:
    # Differences of the extremes: 0.3148 - 0.3107 and 0.3142 - 0.3112.
    found = figures("guide", {"bores": "0.3148 0.3146\n0.3142\n0.3145", "stems": "0.3112\n0.3107"})
    assert found["Largest"] == "4.1 thou"
    assert found["Smallest"] == "3.0 thou"


def test_a_spring_of_the_handbook_by_its_wire() -> None:
    # Shigley, example 10-1 (value from memory): 0.037 in music wire, OD 7/16, 10.5 active coils:
    # about 4.13 lbf/in; recomputed 4.116 with G of 11.75 Mpsi.
    found = figures(
        "spring",
        {
            "way": "wire",
            "wire": "0.037",
            "coil": "0.4005",
            "active": "10.5",
            "free": "2",
            "modulus": "81013 MPa",
        },
    )
    assert found["Rate"] == "4 lbf/in"


def test_a_spring_by_two_loads() -> None:
    # Hooke's law by hand: 160 lbf over 0.4 in is 400 lbf/in, free at 2.0 in, 248 lbf at 1.38 in.
    found = figures(
        "spring",
        {
            "load_1": "80",
            "height_1": "1.8",
            "load_2": "240",
            "height_2": "1.4",
            "installed": "1.8",
            "lift": "0.42",
            "solid": "1.15",
            "new_load": "85",
            "new_at": "1.8",
        },
    )
    assert found["Rate"] == "400 lbf/in"
    assert found["Free height"] == "2.0000 in"
    assert found["Load at full lift"] == "248.0 lbf"
    assert found["Left before the coils touch"] == "230.0 thou"
    assert found["Of a new one's load"] == "94.1 %"


def test_coil_bind_and_a_tired_spring_are_said() -> None:
    answer = answer_of(
        "spring",
        {
            "way": "rate",
            "rate": "400 lb/in",
            "free": "2",
            "solid": "1.35",
            "installed": "1.8",
            "lift": "0.42",
            "new_load": "95",
            "new_at": "1.8",
        },
    )
    assert answer.tone == "outside"
    assert any("30.0 thou is left" in words for words in answer.cautions)
    assert any("tired" in words for words in answer.cautions)


def test_shims_for_a_seat_load() -> None:
    # By hand: 90 lbf wants 1.775 in, 0.045 in below 1.82 in: 0.015 and 0.030.
    shown = next(each for each in SUMS if each.name == "shims")
    found = figures("shims", example(shown, show=THOU))
    assert found["Shims together"] == "45.0 thou"
    assert found["Seat load then"] == "90.0 lbf"


def test_shims_for_a_height() -> None:
    found = figures(
        "shims",
        {
            "aim": "height",
            "installed": "1.85",
            "low_height": "1.79",
            "high_height": "1.81",
            "shims": "0.015, 0.030, 0.060",
            "hardened": "",
        },
    )
    # Common practice, no source: the fewest shims first, and one of 0.060 is enough.
    assert found["Height then"] == "1.7900 in"


def test_springs_matched_to_valves() -> None:
    # By hand: at 400 lbf/in 7 thou is 2.8 lbf, so the stronger spring goes to the taller place.
    shown = next(each for each in SUMS if each.name == "matching")
    answer = answer_of("matching", example(shown, show=THOU))
    assert answer.table is not None
    assert [(row[0], row[1]) for row in answer.table.rows] == [
        ("1A", "b"),
        ("1B", "a"),
        ("2A", "c"),
    ]


def test_a_compression_ratio_of_the_textbook() -> None:
    # Plain identity: swept 823.70 cm3 and 100 cm3 left give 9.237.
    swept_mm = 823.70e3 / (3.141592653589793 / 4.0 * 100.0**2)
    answer = answer_of(
        "ratio",
        {"bore": "100", "stroke": f"{swept_mm:.6f}", "chamber": "100", "gasket": "0"},
        show=MM,
    )
    assert answer.headline == "The compression ratio is 9.24 to 1."


def test_a_cut_raises_the_ratio_and_sunk_valves_lower_it() -> None:
    base = {"bore": "100", "stroke": "100", "chamber": "50", "gasket": "1"}
    cut = figures("ratio", base | {"deck_cut": "0.1", "area": "2000"}, show=MM)
    # By hand: 2000 mm2 times 0.1 mm is 0.2 cm3.
    assert cut["change"] == "-0.20 cm³"
    sunk = figures("ratio", base | {"valves": "40 36", "sinks": "0.2"}, show=MM)
    # By hand: pi/4 (1600 + 1296) 0.2 mm3 is 0.455 cm3.
    assert sunk["change"] == "0.45 cm³"


def test_a_gasket_grade_by_the_gap() -> None:
    # By hand: 1.35 less 0.40 proud is 0.95; grade A would leave 0.85.
    shown = next(each for each in SUMS if each.name == "grade")
    answer = answer_of("grade", example(shown, show=MM), show=MM)
    assert answer.headline.startswith("Fit grade B")
    assert "0.950 mm" in answer.headline


def test_a_grade_that_stands_there_twice_is_told() -> None:
    shown = next(each for each in SUMS if each.name == "grade")
    typed = example(shown, show=MM) | {"grades": "A 1.25\nA 1.35"}
    assert error_at("grade", typed, "grades", show=MM) == (
        "A stands there twice; name every line once."
    )


def test_the_ring_of_the_trade() -> None:
    # Common practice, no source: wire 0.041, groove 0.032 deep and 0.038 wide: about 3 thou of
    # press, stands 8 to 9 thou.
    found = figures(
        "ring", {"wire": "0.041", "depth": "0.032", "width": "0.038", "diameter": "4.65"}
    )
    assert found["Press"] == "3.0 thou"
    assert found["Stand"] == "9.0 thou"


def test_a_groove_for_a_wanted_stand() -> None:
    # Common practice, no source: depth is the wire less the middle of the stand, width less press.
    found = figures(
        "ring",
        {
            "way": "design",
            "wire": "0.041",
            "press": "0.003",
            "low": "0.008",
            "high": "0.010",
            "diameter": "4.65",
        },
    )
    assert found["Groove depth"] == "0.0320 in"
    assert found["Groove width"] == "0.0380 in"


def test_a_stud_by_torque_and_factor() -> None:
    # Shigley, 9th ed., example 8-3: 3/4-16, K 0.2, 25 kip is 3750 lbf in.
    found = figures(
        "clamp",
        {
            "form": "unified",
            "diameter": "0.75",
            "tpi": "16",
            "torque": "3750 lbf·in",
            "factor": "0.2",
        },
    )
    assert found["Preload of one stud"] == "25000 lbf"


def test_a_stud_by_stretch() -> None:
    # F = A E dl / l by hand: 113.1 mm2 (12 mm), 205 GPa, 0.2 mm of 140 mm: 33.1 kN.
    found = figures(
        "clamp",
        {
            "diameter": "14",
            "pitch": "1.5",
            "way": "stretch",
            "stretch": "0.2",
            "length": "140",
            "shank": "12",
        },
        show=MM,
    )
    assert int(found["Preload of one stud"].removesuffix(" N")) == pytest.approx(33_122, abs=2)


def test_a_port_that_fills_evenly() -> None:
    # Choked, the pressure rises evenly: 250 cm3 at 0.0333 kPa/s leak 0.00833 Pa m3/s.
    lines = "\n".join(f"{t} {20.0 + t / 30.0:.4f}" for t in range(0, 31, 3))
    answer = answer_of(
        "leak", {"readings": f"t_s,p_kpa\n{lines.replace(' ', ',')}", "volume": "250"}
    )
    rate = next(row.value for row in answer.rows if row.label == "Leak rate")
    assert float(rate.split()[0]) == pytest.approx(0.00833, rel=0.01)
    assert "cw-reading" in answer.svg
    assert "cw-fit" in answer.svg


def test_a_port_as_well_known_as_its_volume_and_gauge() -> None:
    # 10 of 250 cm3 are 4 %: the 95 % interval of a log without scatter is 1.96 times that.
    lines = "\n".join(f"{t} {20.0 + t / 30.0:.4f}" for t in range(0, 31, 3))
    typed = {
        "readings": f"t_s,p_kpa\n{lines.replace(' ', ',')}",
        "volume": "250",
        "u_volume": "10",
        "u_gauge": "0.2 inHg",
    }
    answer = answer_of("leak", typed)
    note = next(row.note for row in answer.rows if row.label == "Leak rate")
    low, high = (float(each) for each in note.split(",")[0].split(" to "))
    assert low == pytest.approx(0.00833 * (1 - 0.0784), rel=0.01)
    assert high == pytest.approx(0.00833 * (1 + 0.0784), rel=0.01)
    assert answer.sentences[-1].startswith("Counted in: 10.0 cm³ in the volume")
    assert "0.20 inHg that the gauge may be out by" in answer.sentences[-1]


def test_a_volume_known_within_itself_is_refused_at_its_field(client: Client) -> None:
    typed = {"readings": "0 26\n5 25.9\n9 25.8", "volume": "250", "u_volume": "250"}
    _, text = ask(client, "leak", live=True, **typed)
    assert error_of(text, "u_volume").startswith("It must be less than the volume itself")


def test_a_pressure_test_that_only_cooled() -> None:
    # Gay-Lussac by hand: 377.1 kPa absolute from 22 to 18 °C falls by 5.11 kPa.
    typed = {
        "volume": "5 l",
        "start": "275.79",
        "held": "270.68",
        "start_at": "22",
        "end_at": "18",
    }
    answer = answer_of("pressure", typed, show=MM)
    found = {row.label: row.value for row in answer.rows}
    assert found["by cooling"] == "5.1 kPa"
    assert answer.headline.startswith("No leak can be told")
    # Air at 40 psi in 5 l stores about 1.5 kJ (isentropic expansion).
    assert found["Energy stored in the air"] == "1.5 kJ"
    water = figures("pressure", typed | {"medium": "water"}, show=MM)
    assert water["Energy stored in the water"].endswith(" J")


def test_the_feed_for_a_finish() -> None:
    # Ra = f^2 / (18 sqrt(3) r): 0.25 mm and 1.2 mm give 1.67 um (exact arc 1.674).
    found = figures("feed", {"ra": "1.674", "nose": "1.2", "turning": "1000"}, show=MM)
    assert found["Feed a turn"] == "0.250 mm"
    assert found["Table"] == "250 mm a minute"


# ---- how the pages take what is typed ----


def test_the_index_offers_every_sum(client: Client) -> None:
    page = unescape(client.get(reverse("sums")).content.decode())
    for shown in SUMS:
        assert f'href="{reverse("sum", args=[shown.name])}"' in page
        assert shown.title in page


@pytest.mark.parametrize("name", NAMES)
def test_an_empty_sum_is_calm(client: Client, name: str) -> None:
    status, page = ask(client, name)
    assert status == 200
    assert re.search(r"Still to type|Type ", page)
    assert 'aria-invalid="true"' not in page
    assert not re.search(r'class="error sum__error"[^>]*>[^<]', page)
    assert "have the last word" in page


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("show", [THOU, MM], ids=["thou", "mm"])
def test_every_example_answers(name: str, show: Show) -> None:
    shown = next(each for each in SUMS if each.name == name)
    answer = answer_of(name, example(shown, show=show), show=show)
    assert answer.rows or answer.table


@pytest.mark.parametrize("name", NAMES)
def test_a_reader_of_inches_reads_no_millimetres(name: str) -> None:
    shown = sum_named(name)
    assert shown is not None
    answer = answer_of(name, example(shown, show=THOU), show=THOU)
    said = [answer.headline, *answer.sentences, *answer.cautions]
    said += [f"{row.value} {row.note}" for row in answer.rows]
    said += [cell for row in (answer.table.rows if answer.table else ()) for cell in row]
    assert not [text for text in said if re.search(r"\d (mm|µm|N|kPa|MPa|°C)\b", text)]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("nonsense", ["abc", "12 parsec", "1e9999", "-", "NaN", "0" * 60, "<b>"])
def test_nonsense_is_told_at_its_field_and_stays(client: Client, name: str, nonsense: str) -> None:
    shown = next(each for each in SUMS if each.name == name)
    field = next(each for each in shown.fields if not each.choices and not each.when)
    typed = example(shown, show=THOU) | {field.name: nonsense}
    status, page = ask(client, name, **typed)
    assert status == 422
    assert error_of(page, field.name)
    assert nonsense in page


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("typed", ["0", "-5", "1e11", "0.0000000001", "999"])
def test_no_figure_breaks_a_sum(client: Client, name: str, typed: str) -> None:
    shown = next(each for each in SUMS if each.name == name)
    for field in shown.fields:
        if not field.choices:
            status, _ = ask(client, name, **example(shown, show=THOU) | {field.name: typed})
            assert status in {200, 422}


def test_a_wrong_unit_names_those_that_serve(client: Client) -> None:
    status, page = ask(client, "ring", live=True, wire="3 psi")
    assert status == 422
    assert "length is wanted, in mm" in error_of(page, "wire")
    assert "hx-swap-oob" in page
    assert "<html" not in page


def test_a_bare_number_that_is_too_large_says_how_it_was_read(client: Client) -> None:
    _, page = ask(client, "seat", cut="10")
    said = error_of(page, "cut")
    assert "lies from 0 to 0.25 in (got 10)" in said
    assert "as 10 thou" in said


def test_a_choice_nobody_offers_counts_as_the_first() -> None:
    assert "clearance" not in figures("seat", {"cut": "0.010", "quoted": "sideways"})
    assert figures("seat", {"cut": "0.010", "taken": "x"})["Wider along the face"] == "52.8 thou"


def test_while_typing_a_unit_that_has_begun_is_waited_for(client: Client) -> None:
    status, page = ask(client, "seat", live=True, cut="10 th")
    assert status == 200
    assert error_of(page, "cut") == ""
    assert "Still to type: How much." in page
    assert ask(client, "seat", cut="10 th")[0] == 422


def test_what_calc_refuses_is_one_sentence(client: Client) -> None:
    status, page = ask(client, "seat", cut="0.010", top="50")
    assert status == 422
    assert "A top cut is flatter" in error_of(page, "seat")
    status, page = ask(client, "spring", load_1="80", height_1="1.4", load_2="240", height_2="1.8")
    assert status == 422
    said = error_of(page, "height_2")
    assert "80.0 lbf at 1.4000 in" in said
    assert "Are the columns swapped?" in said


def test_what_calc_says_is_told_in_the_person_s_units() -> None:
    typed = {"ring": "1.574", "hole": "1.26", "bore": "1.5748", "boss": "2.4"}
    assert "0.8 thou less than its bore" in answer_of("insert", typed).headline


def test_wrong_lines_of_a_table_are_named() -> None:
    shown = next(each for each in SUMS if each.name == "matching")
    typed = example(shown, show=THOU) | {"springs": "a 80 1.8 240 1.4\nb 86"}
    page = sum_page(shown, sent=typed, head=None, show=THOU, live=True)
    said = next(each.error for each in page.fields if each.field.name == "springs")
    assert said.startswith("Line 2:")


def test_the_person_s_own_units(client: Client, viewer: Person) -> None:
    status, page = ask(client, "seat", cut="0.010 in")
    assert "52.8 thou" in page
    change_units(show_length="mm", by=viewer)
    status, page = ask(client, "seat", cut="0.254")
    assert status == 200
    assert "1.341 mm wider" in page


def test_a_stranger_signs_in_first(owner: Person) -> None:
    assert Client().get(reverse("sums")).status_code == 302


def test_a_sum_nobody_knows(client: Client) -> None:
    assert client.get("/sums/alchemy").status_code == 404


# ---- filled from a head ----


@pytest.fixture
def sprung(owner: Person) -> Head:
    """A head whose sheet knows springs, engine, seat angles and ring."""
    text = shop.SMALL.replace(
        'kind = "exhaust"\nx = 9.4', 'kind = "exhaust"\nseat_angle = 30\ntop_angle = 15\nx = 9.4'
    )
    text += """
[limit.ring_stand]
low = 0.008
high = 0.010

[limit.spring_height]
low = 1.76
high = 1.84

[spring]
rate = "400 lbf/in"
free = 2.0
solid = 1.15
lift = 0.42

[engine]
stroke = 4.5
gasket = 0.05
bowl = "52 cm3"
deck_clearance = -0.014
"""
    return shop.take_in(owner, code=shop.write_sheet(owner, text=text))


def value_of(page: str, field: str) -> str:
    found = re.search(rf'name="{field}" value="([^"]*)"', page)
    assert found is not None
    return found[1]


def test_a_head_fills_its_angles_spring_engine_and_ring(client: Client, sprung: Head) -> None:
    _, seat = ask(client, "seat", head=sprung.tag, place="2B")
    assert (value_of(seat, "seat"), value_of(seat, "top")) == ("30", "15")
    assert "Filled from" in seat
    _, spring = ask(client, "spring", head=sprung.tag, place="2B")
    assert value_of(spring, "rate") == "400"
    assert value_of(spring, "free") == "2"
    assert re.search(r'value="rate" checked', spring)
    _, ratio = ask(client, "ratio", head=sprung.tag, place="2B")
    assert (value_of(ratio, "bore"), value_of(ratio, "stroke")) == ("4", "4.5")
    assert value_of(ratio, "deck") == "0.014"
    assert re.search(r'value="proud" checked', ratio)
    _, ring = ask(client, "ring", head=sprung.tag)
    assert (value_of(ring, "low"), value_of(ring, "diameter")) == ("0.008", "")


def test_a_reading_on_record_fills_too(client: Client, machinist: Person, sprung: Head) -> None:
    shop.kept(sprung.tag, "spring_height", "2B", "1.81 in", by=machinist)
    _, page = ask(client, "spring", head=sprung.tag, place="2B")
    assert value_of(page, "installed") == "1.81"
    assert "the spring holds the seat with 76.0 lbf" in page


def test_springs_are_matched_to_the_heights_on_record(
    client: Client, machinist: Person, sprung: Head
) -> None:
    # By hand: 400 lbf/in * (2.00 - 1.80 in, the middle of the heights the sheet allows) = 80 lbf.
    shop.kept(sprung.tag, "spring_height", "2B", "1.79 in", by=machinist)
    _, page = ask(client, "matching", head=sprung.tag)
    assert "2B 1.7900 80.0</textarea>" in page


def test_planned_work_fills_the_seat(client: Client, owner: Person, sprung: Head) -> None:
    plan_work(sprung, ("seat", "2B", 0.254), ("valve face", "2B", 0.127), by=owner)
    _, seat = ask(client, "seat", head=sprung.tag, place="2B")
    assert (value_of(seat, "cut"), value_of(seat, "face_cut")) == ("0.01", "0.005")
    assert value_of(ask(client, "seat", head=sprung.tag, place="1A")[1], "cut") == ""


def test_what_was_typed_goes_before_what_the_head_knows(client: Client, sprung: Head) -> None:
    _, page = ask(client, "seat", head=sprung.tag, place="2B", seat="45", top="30", cut="10 thou")
    assert value_of(page, "seat") == "45"
    assert "52.8 thou wider" in page


def test_an_unknown_head_or_place_is_not_found(client: Client, head: Head) -> None:
    assert ask(client, "seat", head="NONE-1")[0] == 404
    assert ask(client, "seat", head=head.tag, place="9Z")[0] == 404


def test_the_bench_leads_here(machinist: Person, head: Head) -> None:
    client = Client()
    client.force_login(machinist)
    page = client.get(f"{reverse('measure', args=[head.tag])}?quantity=seat_width&place=2B")
    assert f"/sums/seat?head={head.tag}&place=2B" in unescape(page.content.decode())


@pytest.mark.parametrize(
    # The inch is 25.4 mm: 42.5 mm are 1.67323 in, 0.2 mm are 0.00787 in, 0.005 mm 0.00020 in.
    ("name", "filled_mm", "typed"),
    [
        ("installed", 42.5, "1.6732"),
        ("installed", 45.72, "1.8"),
        ("low", 0.2, "0.00787"),
        ("low", 0.2032, "0.008"),
        ("u_stand", 0.005, "0.0002"),
        ("u_stand", 0.001, "0.00004"),
    ],
)
def test_a_length_is_filled_in_as_a_shop_types_it(name: str, filled_mm: float, typed: str) -> None:
    field = Field(name=name, label="Length", suffix="mm")

    assert field.typed(filled_mm, show=THOU) == typed
