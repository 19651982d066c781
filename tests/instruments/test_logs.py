"""Pressure logs: read as meant, or refused in one sentence that says where and what to do."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.logs import MOST_READINGS, LogFile, read_log, read_pasted

INHG_KPA = 3.386389  # NIST SP 811, appendix B.8: conventional inch of mercury


def read(text: str) -> LogFile:
    return read_log(text.encode(), file="port.csv")


def test_absolute_pressures_in_kpa() -> None:
    found = read("t_s,p_kpa\n0,15.0\n5,15.42\n10,15.9\n")

    assert found.time_s.tolist() == [0.0, 5.0, 10.0]
    assert found.reading_kpa.tolist() == [15.0, 15.42, 15.9]
    assert not found.below_atmosphere
    assert (found.step_kpa, found.time_step_s) == (pytest.approx(0.01), 1.0)
    assert found.log(atmosphere_kpa=101.325).pressure_kpa.tolist() == [15.0, 15.42, 15.9]


@pytest.mark.parametrize(
    ("header", "time_s", "reading_kpa"),
    [
        ("t_min,p_psi", 120.0, 20 * 6.894757293168361),
        ("Time (s),Pressure [mbar]", 2.0, 2.0),
        ("time_h,p_Pa", 7200.0, 0.02),
        ("t_s,vacuum_inHg", 2.0, 20 * INHG_KPA),
        ("t [min],vac (kPa)", 120.0, 20.0),
        ('"t_s","p_bar"', 2.0, 2000.0),
    ],
)
def test_units_are_named_by_the_header(header: str, time_s: float, reading_kpa: float) -> None:
    found = read(f"{header}\n2,20\n")

    assert found.time_s[0] == pytest.approx(time_s)
    assert found.reading_kpa[0] == pytest.approx(reading_kpa)
    assert found.below_atmosphere is ("vac" in header)


def test_vacuum_is_taken_from_the_atmosphere() -> None:
    found = read("t_s,vacuum_inHg\n0,25.0\n10,24.5\n")
    log = found.log(atmosphere_kpa=98.0)

    assert log.pressure_kpa == pytest.approx([98.0 - 25 * INHG_KPA, 98.0 - 24.5 * INHG_KPA])
    assert log.step_kpa == pytest.approx(0.1 * INHG_KPA)
    with pytest.raises(InstrumentError, match="deeper than the atmosphere"):
        found.log(atmosphere_kpa=80.0)


def test_what_else_a_logger_writes() -> None:
    text = (
        "\ufeff# port 1A\r\n\r\nnote;t_s;p_kpa;degc\r\na;0;15,0;20\r\nb;1:30;15,25;20\r\nc;95;;20"
    )
    found = read(text)

    assert found.time_s.tolist() == [0.0, 90.0]
    assert found.reading_kpa.tolist() == [15.0, 15.25]
    assert found.time_step_s == 1.0
    assert found.notes == ("One line without a reading was left out.",)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "looks like an empty file"),
        ("%PDF-1.4", "looks like a PDF"),
        ("# nothing\n", "holds no readings"),
        ("0,15\n5,16\n", "line 1: the columns have no names"),
        ("t_s,p_kpa\n", "holds no readings. Add them"),
        ("t_s,height\n0,1\n", "no column of pressure is named"),
        ("p_kpa,x\n0,1\n", "no column of time is named"),
        ("t_s,p\n0,1\n", "column 'p' says no unit"),
        ("t_s,p_torr\n0,1\n", "column 'p_torr' is in 'torr', which is not known"),
        ("t_ms,p_kpa\n0,1\n", "column 't_ms' is in 'ms'"),
        ("t_s,p_gauge_kpa\n0,1\n", "may mean either side of the atmosphere"),
        ("t_s,p_kpa,vacuum_kpa\n0,1,1\n", "both give a pressure; keep one"),
        ("t_s,p_kpa\n0,15\n5,abc\n", "line 3: 'abc' is no number"),
        ("t_s,p_kpa\n0,15\n5,nan\n", "line 3: 'nan' is no number"),
        ("t_s,p_kpa\n0,1e999\n", "line 2: '1e999' is beyond anything a shop measures"),
        ("t_s,vacuum_inHg\n0,1e308\n", "line 2: '1e308' is beyond anything a shop measures"),
        ("t_s,p_kpa\n,15\n", "line 2: the time is missing"),
        ("t_s,p_kpa\n0,15\n0,16\n", "line 3: the time must grow"),
        ("t_s,p_kpa\n0,-85\n", "p is absolute; got -85 kPa"),
        ("t_s,vacuum_kpa\n0,-85\n", "vacuum counts as a positive figure"),
    ],
)
def test_refusals_say_where_and_what_to_do(text: str, words: str) -> None:
    with pytest.raises(InstrumentError) as refused:
        read(text)

    said = str(refused.value)
    assert words in said
    assert said.startswith("port.csv")
    assert "\n" not in said
    assert said.endswith(".")


def test_a_log_without_end_is_refused() -> None:
    text = "t_s,p_kpa\n" + "\n".join(f"{i},15" for i in range(MOST_READINGS + 1))
    with pytest.raises(InstrumentError, match="Log less often"):
        read(text)
    with pytest.raises(InstrumentError, match="larger than 20 MB"):
        read_log(b"0" * 20_000_001, file="port.csv")


@pytest.mark.parametrize(
    "text",
    [
        "0 25.0\n5 24.5\n90 24.1",
        "0\t25,0\n0:05\t24,5\n1:30\t24,1",
        "0;25,0\n5;24,5\n\n90;24,1\n",
        "0,25.0\n5,24.5\n90,24.1",
        "0, 25.0\n5, 24.5\n90, 24.1",
        "t_s vacuum_inHg".replace(" ", ",") + "\n0,25.0\n5,24.5\n90,24.1",
    ],
)
def test_pasted_however_it_was_copied(text: str) -> None:
    found = read_pasted(text, columns="t_s,vacuum_inHg")

    assert found.time_s.tolist() == [0.0, 5.0, 90.0]
    assert found.reading_kpa == pytest.approx(np.array([25.0, 24.5, 24.1]) * INHG_KPA)
    assert found.below_atmosphere


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "holds no readings"),
        ("0 25\n5", "line 2: a time and a reading were expected (got '5')"),
        ("0 25\n5 24 23", "line 2: a time and a reading were expected"),
        ("0 25\n5 2x", "line 2: '2x' is no number"),
        ("0 25\n0 24", "line 2: the time must grow"),
    ],
)
def test_pasted_slips_are_named(text: str, words: str) -> None:
    with pytest.raises(InstrumentError) as refused:
        read_pasted(text)

    assert words in str(refused.value)


@settings(max_examples=200)
@given(
    st.one_of(st.binary(max_size=300), st.text("ts_pkvacum,;:. \t\n-0123456789e#").map(str.encode))
)
def test_whatever_the_bytes_a_log_or_one_sentence(raw: bytes) -> None:
    for body in (raw, b"t_s,p_kpa\n" + raw):
        for attempt in (read_log, lambda raw, file: read_pasted(raw.decode("utf-8", "replace"))):
            said, found = "", None
            try:
                found = attempt(body, file="any")
            except InstrumentError as refused:
                said = str(refused)
            assert "\n" not in said
            assert found is None or (np.diff(found.time_s) > 0).all()
            assert found is None or np.isfinite(found.reading_kpa).all()
