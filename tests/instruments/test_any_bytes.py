"""Whatever the bytes: profiles, heights, or one sentence."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.heights import read_heights
from castworthy.instruments.traces import read_traces
from instruments import files

SOUND = (
    files.x3p(files.wave_um(200)),
    files.sdf(files.wave_um(200)),
    files.sdf(files.wave_um(200), ascii_=True),
    files.csv(files.wave_um(200)),
    files.x3p(files.milled_um(20, 100)),
    files.sdf(files.milled_um(20, 100)),
    b"# spacing_mm = 0.001\nz_um\n" + b"1\n\n2,5\n" * 20,
    b"x_mm;y_mm;z_um\n" + b"0,1;2;3\n" * 20,
)
MAIN = files.parts_of(SOUND[0])["main.xml"]


def tried(raw: bytes) -> None:
    """Both readers answer or refuse in one line."""
    for read in (read_traces, read_heights):
        said = ""
        try:
            read(raw, file="any")
        except InstrumentError as refused:
            said = str(refused)
        assert "\n" not in said


@settings(max_examples=150)
@given(st.binary(max_size=400))
def test_bytes_by_chance(raw: bytes) -> None:
    tried(raw)


@settings(max_examples=150)
@given(st.sampled_from(SOUND), st.integers(0, 2**32 - 1), st.integers(1, 20))
def test_sound_files_with_bytes_changed(raw: bytes, seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    body = bytearray(raw)
    for at in rng.integers(0, len(body), count):
        body[at] = rng.integers(0, 256)
    tried(bytes(body))


@settings(max_examples=100)
@given(
    st.integers(0, len(MAIN)),
    st.integers(0, 12),
    st.sampled_from(["0", "-1", "9", "nan", "<", ">", "&", "é"]),
)
def test_descriptions_of_an_x3p_with_words_changed(at: int, gone: int, put: str) -> None:
    main = MAIN[:at] + put.encode() + MAIN[at + gone :]
    tried(files.repacked(SOUND[0], changed={"main.xml": main}))


@settings(max_examples=60)
@given(st.sampled_from(SOUND), st.floats(0.0, 1.0))
def test_sound_files_cut_off(raw: bytes, share: float) -> None:
    tried(raw[: int(share * len(raw))])


@settings(max_examples=60)
@given(st.text(alphabet="xyz_mnuin,;.-0123456789e\n# ", max_size=300))
def test_text_by_chance(text: str) -> None:
    tried(text.encode())
