"""Machinery's Handbook, compression and extension spring deflections (table 5).

Load and deflection of one coil at 100 000 psi, G = 11 200 000 psi.  The table rounds to three or
four figures; its 36 entries for these diameters agree with its own formulas within 0.3 %.
"""

import pytest

from castworthy.calc.valvetrain.coil import Coil, rate_from_wire, wire_stress_mpa

PSI_MPA = 6.894757293168361e-3
LBF_N = 4.4482216152605
IN_MM = 25.4

TABLE = [
    (7 / 16, 0.026, 0.1827, 1.678),
    (7 / 16, 0.041, 0.1075, 6.82),
    (7 / 16, 0.054, 0.0764, 16.13),
    (7 / 16, 0.0625, 0.0631, 25.6),
    (7 / 16, 0.080, 0.0448, 56.3),
    (7 / 16, 0.1055, 0.0293, 138.9),
    (7 / 16, 0.125, 0.0219, 245.0),
    (1 / 2, 0.026, 0.243, 1.456),
    (1 / 2, 0.0625, 0.0859, 21.9),
    (1 / 2, 0.0915, 0.0512, 73.6),
    (1 / 2, 0.1055, 0.0414, 116.9),
    (1 / 2, 0.125, 0.0316, 205.0),
]


@pytest.mark.parametrize(("outside", "wire", "deflection", "load"), TABLE)
def test_one_coil(outside: float, wire: float, deflection: float, load: float) -> None:
    mean = outside - wire
    k = rate_from_wire(
        Coil(
            wire_mm=wire * IN_MM,
            mean_mm=mean * IN_MM,
            active_count=1,
            shear_modulus_mpa=11.2e6 * PSI_MPA,
        )
    )
    stress = wire_stress_mpa(
        load_n=load * LBF_N, wire_mm=wire * IN_MM, mean_mm=mean * IN_MM, curved=False
    )

    assert load * LBF_N / k / IN_MM == pytest.approx(deflection, rel=0.004)
    assert stress / PSI_MPA == pytest.approx(100_000, rel=0.004)


def test_shigley_example_10_1() -> None:
    """Rate 4.13 lbf/in: value from memory; music wire .037 in, 7/16 in outside, 10.5 active,
    G 11.85 Mpsi.
    """
    k = rate_from_wire(
        Coil(
            wire_mm=0.037 * IN_MM,
            mean_mm=(7 / 16 - 0.037) * IN_MM,
            active_count=10.5,
            shear_modulus_mpa=11.85e6 * PSI_MPA,
        )
    )

    # The book rounds on the way: half a per cent.
    assert k / LBF_N * IN_MM == pytest.approx(4.13, rel=0.005)
    # 6.46 lbf press it by 1.56 in (value from memory; 1.566 of the inputs).
    assert 6.46 * LBF_N / k / IN_MM == pytest.approx(1.56, abs=0.01)
