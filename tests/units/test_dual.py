"""One figure in two units: taken when they agree to their digits, refused when not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.units import UnitError, read_entry


@pytest.mark.parametrize(
    ("text", "suffix", "value"),
    [
        ("0.035 in (0.89 mm)", "mm", 0.889),
        ('.035" [0.889mm]', "mm", 0.889),
        ("35 thou / 0.89 mm", "mm", 0.889),
        ("0.035in/0.89mm", "mm", 0.889),
        ("0.035 in = 0.889 mm", "mm", 0.889),
        ("0.89 mm (0.035 in)", "mm", 0.89),
        ("0,89 mm (0,035 in)", "mm", 0.89),
        ("40 psi (276 kPa)", "kpa", 275.790291728),
        ("35 N/mm (200 lbf/in)", "n_per_mm", 35.0),
        ("0.89 mm", "mm", 0.89),
    ],
)
def test_figures_that_agree(text: str, suffix: str, value: float) -> None:
    assert read_entry(text, suffix=suffix).value == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "suffix", "hint"),
    [
        ("0.035 in (0.80 mm)", "mm", "disagree; look it up"),
        ("0.01 mm (0.004 in)", "mm", r"disagree \(the second is about ten times the first\)"),
        ("0.5 mm (0.00197 in)", "mm", r"disagree \(the second is about a tenth of the first\)"),
        ("1,000 psi (689.5 kPa)", "kpa", "disagree"),
        ("35 N/mm (100 lbf/in)", "n_per_mm", "disagree"),
    ],
)
def test_figures_that_disagree(text: str, suffix: str, hint: str) -> None:
    # Pairs of the kind manuals print wrongly (trade facts, no source named).
    with pytest.raises(UnitError, match=hint):
        read_entry(text, suffix=suffix)


def test_the_second_figure_needs_its_unit() -> None:
    with pytest.raises(UnitError, match=r"'0\.89' has no unit"):
        read_entry("0.035 (0.89)", suffix="mm", bare_unit="in")


def test_the_first_may_be_bare() -> None:
    assert read_entry("0.035 (0.89 mm)", suffix="mm", bare_unit="in").value == 0.889


def test_long_texts_are_refused() -> None:
    with pytest.raises(UnitError, match="90 characters long"):
        read_entry("1" * 90, suffix="mm")


@given(thou=st.integers(1, 5000))
def test_any_inch_figure_agrees_with_its_own_rounding(thou: int) -> None:
    inches, millimetres = thou / 1000, round(thou * 0.0254, 2)

    assert read_entry(f"{inches:.3f} in ({millimetres:.2f} mm)", suffix="mm").value == (
        pytest.approx(thou * 0.0254)
    )
