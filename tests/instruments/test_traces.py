"""Traces read from every format, and what is refused, in one sentence each."""

import io
import re
import zipfile

import numpy as np
import pytest

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.traces import read_traces
from instruments import files


def refusal(raw: bytes) -> str:
    with pytest.raises(InstrumentError) as refused:
        read_traces(raw, file="deck.trc")
    said = str(refused.value)
    assert said.startswith("deck.trc")
    assert "\n" not in said
    assert said.endswith(".")
    return said


class TestFormats:
    @pytest.mark.parametrize(
        "raw",
        [
            files.x3p(files.wave_um()),
            files.sdf(files.wave_um()),
            files.sdf(files.wave_um(), ascii_=True),
            files.csv(files.wave_um()),
        ],
        ids=["x3p", "sdf binary", "sdf ascii", "csv"],
    )
    def test_a_profile_comes_out_as_it_went_in(self, raw: bytes) -> None:
        (profile,) = read_traces(raw, file="deck").profiles
        assert profile.spacing_mm == pytest.approx(files.SPACING_MM, rel=1e-9)
        assert profile.height_um == pytest.approx(files.wave_um(), abs=2e-3)
        assert profile.filled_count == 0

    @pytest.mark.parametrize("turned", [False, True], ids=["lay along y", "lay along x"])
    def test_a_surface_gives_profiles_across_the_lay(self, *, turned: bool) -> None:
        surface = files.milled_um()
        raw = files.x3p(surface.T.copy() if turned else surface)
        read = read_traces(raw, file="deck")
        assert len(read.profiles) == 9
        assert all(len(profile.height_um) == 1200 for profile in read.profiles)
        assert any(f"along {'y' if turned else 'x'}" in note for note in read.notes)

    def test_the_name_of_the_file_does_not_count(self) -> None:
        read = read_traces(files.sdf(files.wave_um()), file="holiday.jpg")
        assert read.kind == "SDF profile"


class TestColumns:
    def test_units_come_from_the_header(self) -> None:
        inches = files.csv(files.wave_um(), header="x_in,z_uin")
        (profile,) = read_traces(inches, file="deck").profiles
        assert profile.spacing_mm == pytest.approx(files.SPACING_MM * 25.4, rel=1e-9)
        assert profile.height_um == pytest.approx(files.wave_um() * 0.0254, abs=1e-6)

    def test_semicolons_and_decimal_commas(self) -> None:
        text = files.csv(files.wave_um()).decode().replace(",", ";").replace(".", ",")
        (profile,) = read_traces(text.encode(), file="deck").profiles
        assert profile.height_um == pytest.approx(files.wave_um(), abs=1e-6)

    def test_one_column_with_its_spacing_in_a_comment(self) -> None:
        rows = "\n".join(f"{z:.6f}" for z in files.wave_um(100))
        raw = f"# spacing_mm = 0.0005\nz_um\n{rows}\n".encode()
        (profile,) = read_traces(raw, file="deck").profiles
        assert profile.spacing_mm == 0.0005

    def test_rounded_x_is_still_even(self) -> None:
        rows = "\n".join(f"{0.0005 * i:.4f},{z:.4f}" for i, z in enumerate(files.wave_um(2000)))
        (profile,) = read_traces(f"x_mm,z_um\n{rows}".encode(), file="deck").profiles
        assert profile.spacing_mm == pytest.approx(0.0005, rel=1e-3)

    def test_columns_without_names_are_asked_for_their_units(self) -> None:
        assert "x_mm,z_um" in refusal(b"0.0,1.0\n0.1,1.1\n")

    def test_a_column_without_a_unit_is_asked_for_it(self) -> None:
        assert "no unit" in refusal(b"x,z\n0.0,1.0\n0.1,1.1\n")

    def test_an_unknown_unit_names_those_that_are_known(self) -> None:
        assert "µin" in refusal(b"x_mm,z_furlong\n0.0,1.0\n")

    def test_a_word_among_the_numbers_is_named_with_its_line(self) -> None:
        raw = files.csv(files.wave_um(50)).replace(b"0.00500,", b"oops,", 1)
        said = refusal(raw)
        assert "line 12" in said
        assert "'oops'" in said

    def test_a_short_row_is_named_with_its_line(self) -> None:
        assert "line 3" in refusal(b"x_mm,z_um\n0.0,1.0\n0.1\n0.2,1.0\n")

    def test_spacing_that_wanders(self) -> None:
        assert "not evenly spaced" in refusal(
            b"x_mm,z_um\n" + b"\n".join(b"%.4f,1.0" % (0.001 * i * i) for i in range(40))
        )

    def test_x_that_turns_back(self) -> None:
        two_traces = files.csv(files.wave_um(50)) + files.csv(files.wave_um(50))[10:]
        assert "x must grow" in refusal(two_traces)

    def test_zero_spacing(self) -> None:
        assert "x must grow" in refusal(b"x_mm,z_um\n" + b"0.0,1.0\n" * 30)


class TestMissingPoints:
    def test_short_gaps_are_filled_and_said(self) -> None:
        heights = files.wave_um()
        gap = heights.copy()
        gap[100:103] = np.nan
        read = read_traces(files.csv(gap).replace(b"nan", b""), file="deck")
        (profile,) = read.profiles
        assert profile.filled_count == 3
        assert read.notes == ("3 missing points were filled (longest gap 3).",)
        assert profile.height_um[101] == pytest.approx(heights[101], abs=0.05)

    def test_long_gaps_are_refused(self) -> None:
        gap = files.wave_um()
        gap[100:107] = np.nan
        assert "7 in a row" in refusal(files.csv(gap))

    def test_too_many_gaps_are_refused(self) -> None:
        gap = files.wave_um()
        gap[50:-50:20] = np.nan
        assert "missing" in refusal(files.csv(gap))

    def test_empty_ends_are_left_out_and_said(self) -> None:
        gap = files.wave_um()
        gap[:20] = np.nan
        read = read_traces(files.x3p(gap), file="deck")
        assert len(read.profiles[0].height_um) == files.COUNT - 20
        assert read.notes == ("20 empty points at the ends were left out.",)

    def test_nothing_at_all(self) -> None:
        assert "no height at all" in refusal(files.x3p(np.full(100, np.nan)))


class TestOthers:
    @pytest.mark.parametrize(
        ("raw", "looks"),
        [
            (b"", "an empty file"),
            (b"%PDF-1.7 ...", "a PDF"),
            (b"\x89PNG\r\n\x1a\n", "a picture"),
            (b"\xff\xd8\xff\xe0", "a photo"),
            (b"\xd0\xcf\x11\xe0\xa1\xb1", "an old office document"),
            (b"\x1f\x8b\x08", "a gzip archive"),
            (b"\x00\x01\x02\x03" * 20, "no text"),
        ],
    )
    def test_what_it_looks_like_and_what_can_be_read(self, raw: bytes, looks: str) -> None:
        said = refusal(raw)
        assert looks in said
        assert "X3P, SDF (ASCII or binary) and CSV" in said

    def test_a_zip_that_is_no_x3p(self) -> None:
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("letter.txt", "hello")
        assert "no main.xml" in refusal(out.getvalue())

    def test_a_face_taller_than_any(self) -> None:
        assert "check the unit" in refusal(files.csv(files.wave_um() * 1e5))


class TestHostile:
    def test_a_changed_x3p_is_told_by_its_checksum(self) -> None:
        raw = files.x3p(files.wave_um())
        data = next(name for name in files.parts_of(raw) if name.endswith(".bin"))
        body = files.parts_of(raw)[data]
        bad = files.repacked(raw, changed={data: body[:-8] + b"\x00" * 8})
        assert "checksum" in refusal(bad)

    def test_a_zip_bomb_is_not_opened(self) -> None:
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("main.xml", "<xml/>")
            archive.writestr("bindata/data.bin", b"\x00" * (32 * 1024 * 1024))
        assert "not opened" in refusal(out.getvalue())

    def test_a_part_outside_the_archive_is_not_opened(self) -> None:
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("main.xml", "<xml/>")
            archive.writestr("../../etc/passwd", "x")
        assert "outside itself" in refusal(out.getvalue())

    def test_entities_in_the_description_are_refused(self) -> None:
        raw = files.x3p(files.wave_um())
        main = files.parts_of(raw)["main.xml"]
        declared = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaa">]>'
        at = main.index(b"?>") + 2
        assert "entities" in refusal(
            files.repacked(raw, changed={"main.xml": main[:at] + declared + main[at:]})
        )

    @pytest.mark.parametrize("size", [b"-5", b"0", b"999999999999"])
    def test_sizes_that_are_none(self, size: bytes) -> None:
        raw = files.x3p(files.wave_um())
        main = files.parts_of(raw)["main.xml"]
        bad = main.replace(b"<SizeX>4001</SizeX>", b"<SizeX>" + size + b"</SizeX>")
        assert bad != main
        assert "damaged" in refusal(files.repacked(raw, changed={"main.xml": bad}))

    @pytest.mark.parametrize("step", [b"0", b"-1e-6", b"NaN"])
    def test_a_spacing_that_is_none(self, step: bytes) -> None:
        raw = files.x3p(files.wave_um())
        main = files.parts_of(raw)["main.xml"]
        bad = re.sub(
            rb"<Increment>[^<]*</Increment>", b"<Increment>" + step + b"</Increment>", main
        )
        assert bad != main
        refusal(files.repacked(raw, changed={"main.xml": bad}))

    def test_a_cut_off_sdf(self) -> None:
        assert "SDF" in refusal(files.sdf(files.wave_um())[:500])

    def test_an_sdf_that_claims_more_than_it_holds(self) -> None:
        raw = files.sdf(files.wave_um(100), ascii_=True)
        bad = raw.replace(b"NumPoints = 100", b"NumPoints = 60000")
        assert bad != raw
        assert "damaged" in refusal(bad)
