"""Traces read from every format, and what is refused, in one sentence each."""

import io
import re
import struct
import zipfile
from collections.abc import Callable

import numpy as np
import pytest
import x3pio

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


def points_x3p(points_m: np.ndarray) -> bytes:
    out = io.BytesIO()
    x3pio.Profile.from_points(points_m).save(out)
    return out.getvalue()


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

    def test_a_surface_is_called_by_its_profiles(self) -> None:
        assert read_traces(files.x3p(files.milled_um()), file="d").kind == (
            "X3P surface, 9 profiles across the lay"
        )

    def test_profiles_lie_evenly_over_the_surface(self) -> None:
        read = read_traces(files.sdf(files.milled_um(rows=90)), file="deck")
        assert [p.name.split()[-1] for p in read.profiles] == [str(10 * i + 5) for i in range(9)]

    def test_a_profile_whose_places_are_given_one_by_one(self) -> None:
        x_m = 0.5e-6 * np.arange(400)
        points = np.stack([x_m, 0 * x_m, files.wave_um(400) / 1e6], axis=1)
        (profile,) = read_traces(points_x3p(points), file="deck").profiles
        assert profile.spacing_mm == pytest.approx(0.0005)
        points[200:, 0] += 1e-6
        assert "not evenly spaced" in refusal(points_x3p(points))


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

    @pytest.mark.parametrize(
        ("header", "spacing_mm", "height_um"),
        [
            ("x_mm,z_um", 0.25, 0.5),
            ("X [mm],Z [µm]", 0.25, 0.5),
            ("x (µm),z (nm)", 0.25e-3, 0.5e-3),
            ("x_in,z_thou", 6.35, 12.7),
            ("z_µin,x_thou", 0.00635, 0.0127),
            ("n,x_mm,said,z_mm", 0.25, 500.0),
        ],
    )
    def test_every_unit_by_its_exact_factor(
        self, header: str, spacing_mm: float, height_um: float
    ) -> None:
        fields = {"x": "{x}", "z": "{z}", "n": "7", "s": "steel"}
        form = ",".join(fields[name[0].lower()] for name in header.split(","))
        rows = [form.format(x=0.25 * i, z=0.5 * (i % 2)) for i in range(40)]
        raw = "\n".join([header, *rows]).encode()
        (profile,) = read_traces(raw, file="deck").profiles
        assert profile.spacing_mm == pytest.approx(spacing_mm, rel=1e-12)
        assert profile.height_um.max() == pytest.approx(height_um, rel=1e-12)
        assert len(profile.height_um) == 40

    @pytest.mark.parametrize(
        "written",
        [
            lambda text: text.replace(",", ";"),
            lambda text: text.replace(",", "\t"),
            lambda text: "\n".join(f"  {line}  " for line in text.replace(",", "   ").split("\n")),
            lambda text: text.replace("\n", "\r\n"),
            lambda text: text.replace("\n", "\r"),
            lambda text: "\ufeff" + text,
            lambda text: "# cut on Mill 2\n\n" + text.replace("\n", "\n# a word\n"),
            lambda text: text.replace("\n", " # said\n"),
            lambda text: "\n".join(
                ",".join(f'"{field}"' for field in line.split(",")) for line in text.split("\n")
            ),
        ],
        ids=["semicolon", "tab", "blanks", "CRLF", "CR", "BOM", "comments", "remarks", "quotes"],
    )
    def test_every_way_of_writing_says_the_same(self, written: Callable[[str], str]) -> None:
        text = files.csv(files.wave_um(200)).decode().strip()
        (profile,) = read_traces(written(text).encode(), file="deck").profiles
        (plain,) = read_traces(text.encode(), file="deck").profiles
        assert profile.height_um.tolist() == plain.height_um.tolist()
        assert profile.spacing_mm == plain.spacing_mm

    def test_pieces_are_put_together(self, monkeypatch: pytest.MonkeyPatch) -> None:
        raw = files.csv(files.wave_um(500))
        (whole,) = read_traces(raw, file="deck").profiles
        monkeypatch.setattr("castworthy.instruments.columns._PIECE_BYTES", 100)
        (pieced,) = read_traces(raw, file="deck").profiles
        assert pieced.height_um.tolist() == whole.height_um.tolist()
        assert "line 403" in refusal(raw.replace(b"\n0.20050,", b"\nup,"))

    def test_decimal_commas_between_commas_are_not_guessed(self) -> None:
        rows = "\n".join(f"0,{i:04d},1,5" for i in range(40))
        said = refusal(f"x_mm,z_um\n{rows}".encode())
        assert "line 2" in said
        assert "semicolons" in said

    def test_a_row_with_a_field_too_many_is_named(self) -> None:
        raw = files.csv(files.wave_um(50)).replace(b"\n0.00500,", b"\n0.00500,7,", 1)
        assert "line 12: the header names 2 columns but this line has more" in refusal(raw)

    def test_a_line_left_empty_in_a_single_column_is_a_missing_point(self) -> None:
        heights = [f"{z:.6f}" for z in files.wave_um(200)]
        heights[50] = ""
        raw = "\n".join(["# spacing_um = 0.5", "z_um", *heights]).encode()
        (profile,) = read_traces(raw, file="deck").profiles
        assert len(profile.height_um) == 200
        assert profile.filled_count == 1
        assert profile.spacing_mm == pytest.approx(0.0005)

    def test_a_spacing_that_is_none_is_refused(self) -> None:
        for words in (
            "# spacing_mm = -1",
            "# spacing_mm = x",
            "# spacing = 0.5",
            "# spacing_s = 1",
        ):
            assert "gives no spacing" in refusal(f"{words}\nz_um\n1\n2\n".encode())

    def test_no_spacing_at_all(self) -> None:
        assert "spacing of the points is not known" in refusal(b"z_um\n" + b"1\n2\n" * 20)

    def test_x_and_y_in_different_units(self) -> None:
        assert "different units" in refusal(b"x_mm,y_in,z_um\n0,0,0\n")

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
            b"x_mm,z_um\n" + b"\n".join(b"%.4f,1.0" % (0.001 * i * i) for i in range(1, 40))
        )

    @pytest.mark.parametrize(
        ("step_mm", "digits", "off_mm", "taken"),
        [
            (0.001, 6, 0.000009, True),  # 0.9 % of a step
            (0.001, 6, 0.000011, False),  # 1.1 %
            (0.00025, 4, 0.0, True),  # rounding to the printed digit explains it
            (0.0005, 4, 0.0001, False),  # a step of a whole printed digit more does not
        ],
    )
    def test_one_step_that_differs(
        self, *, step_mm: float, digits: int, off_mm: float, taken: bool
    ) -> None:
        places = [step_mm * i + off_mm * (i >= 60) for i in range(120)]
        rows = "\n".join(f"{x:.{digits}f},{i % 3}.5" for i, x in enumerate(places))
        raw = f"x_mm,z_um\n{rows}\n".encode()
        if taken:
            assert len(read_traces(raw, file="deck").profiles[0].height_um) == 120
        else:
            assert "line 62: the points are not evenly spaced" in refusal(raw)

    def test_a_row_left_out_is_named(self) -> None:
        raw = files.csv(files.wave_um(300))
        lines = raw.splitlines(keepends=True)
        assert "line 102: the points are not evenly" in refusal(b"".join(lines[:101] + lines[102:]))

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
        assert read.notes == ("3 missing points were filled (longest gap 3 points).",)
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

    def test_too_few_points(self) -> None:
        assert "holds 10 points, and a trace needs 16" in refusal(files.csv(files.wave_um(10)))

    def test_lines_with_long_gaps_are_passed_over(self) -> None:
        surface = files.milled_um(rows=27)
        surface[4, 100:200] = np.nan
        read = read_traces(files.x3p(surface), file="deck")
        assert len(read.profiles) == 9
        assert "deck, line 5" not in [profile.name for profile in read.profiles]
        assert read.notes[-1] == "1 line with long gaps was passed over."

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
            (b"\xd0\xcf\x11\xe0\xa1\xb1", "an old spreadsheet"),
            (b"\x1f\x8b\x08", "a gzip archive"),
            (b"MATLAB 5.0 MAT-file", "a matrix file"),
            (b"\x00\x00\x00\x18ftypheic", "a photo or a film"),
            (b"\x00\x01\x02\x03" * 20, "the file of another program"),
            ("x_mm;z_µm\n0;1\n".encode("latin-1"), "text that is not UTF-8"),
            ("x_mm;z_um\n0;1\n".encode("utf-16"), "text that is not UTF-8"),
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

    def test_a_spreadsheet_is_called_one(self) -> None:
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("xl/workbook.xml", "<workbook/>")
        assert "a spreadsheet (save it as CSV)" in refusal(out.getvalue())

    def test_only_files_of_another_kind_are_foreign(self) -> None:
        kinds = {b"%PDF-1.7": True, b"Dear Sir,\nthe head is ready.\n": True, b"1,2\n3,4\n": False}
        for raw, foreign in kinds.items():
            with pytest.raises(InstrumentError) as refused:
                read_traces(raw, file="deck")
            assert refused.value.foreign is foreign

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

    def test_a_description_larger_than_any(self) -> None:
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("main.xml", b"<a/>" * (4 * 1024 * 1024 + 1))
        assert "not opened" in refusal(out.getvalue())

    def test_more_parts_than_any(self) -> None:
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("main.xml", "<xml/>")
            for number in range(500):
                archive.writestr(f"{number}.bin", b"")
        assert "501 parts" in refusal(out.getvalue())

    def test_a_description_in_another_encoding_cannot_hide_entities(self) -> None:
        raw = files.x3p(files.wave_um(100))
        main = '<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE x [<!ENTITY a "a">]><x>&a;</x>'
        assert "entities" in refusal(
            files.repacked(raw, changed={"main.xml": main.encode("utf-16")})
        )

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

    def test_a_long_text_sdf_is_asked_for_in_binary(self, monkeypatch: pytest.MonkeyPatch) -> None:
        raw = files.sdf(files.wave_um(1000), ascii_=True)
        monkeypatch.setattr("castworthy.instruments.sdf.MOST_ASCII_VALUES", 900)
        assert "save it as binary SDF" in refusal(raw)

    @pytest.mark.parametrize("field", ["Xscale", "Zscale"])
    @pytest.mark.parametrize("value", ["0", "-1.0e-6", "nan"])
    def test_an_sdf_scale_that_is_none(self, field: str, value: str) -> None:
        raw = files.sdf(files.wave_um(100), ascii_=True)
        bad = re.sub(rf"(?m)^{field}.*$".encode(), f"{field} = {value}".encode(), raw)
        assert bad != raw
        refusal(bad)

    @pytest.mark.parametrize("counts", [(-100, -1), (0, 0), (1, 65535)])
    def test_a_binary_sdf_of_sizes_it_does_not_hold(self, counts: tuple[int, int]) -> None:
        # Counts stand after magic (8), maker (10) and two dates (12 each): ISO 25178-71, table 2.
        raw = bytearray(files.sdf(files.wave_um(100)))
        wide = len(raw) - 42 > 2 and raw[4:8] == b"-2.0"
        form = "<2I" if wide else "<2H"
        mask = 0xFFFFFFFF if wide else 0xFFFF
        struct.pack_into(form, raw, 42, *(count & mask for count in counts))
        refusal(bytes(raw))

    def test_files_of_ten_thousand_equal_lines(self) -> None:
        assert "x must grow" in refusal(b"x_mm,z_um\n" + b"1,1\n" * 10_000)
