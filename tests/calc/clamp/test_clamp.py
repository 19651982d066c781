"""Preload by three ways, and the clamp beside the gas: hand sums and what must always hold."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.clamp.joint import Clamp, clamp_over_gas
from castworthy.calc.clamp.preload import (
    Friction,
    Method,
    Preload,
    most_preload_n,
    preload_from_angle,
    preload_from_factor,
    preload_from_stretch,
    preload_from_torque,
    stud_rate_n_per_mm,
    torque_arm_mm,
)
from castworthy.calc.clamp.thread import thread_of
from castworthy.calc.errors import InputError

M14 = thread_of(diameter_mm=14.0, pitch_mm=1.5)
POUND_N = 4.4482216152605
INCH_MM = 25.4
PSI_MPA = 6.894757293168361e-3


def held(preload_n: float, *, studs_count: int = 6, scatter_ratio: float = 0.0, **more: float):
    preload = Preload(
        method=Method.TORQUE,
        preload_n=preload_n,
        interval_n=(preload_n * (1 - scatter_ratio), preload_n * (1 + scatter_ratio)),
        scatter_ratio=scatter_ratio,
    )
    setting = {"cylinders_count": 1, "bore_mm": 100.0, "pressure_mpa": 15.0} | more
    return clamp_over_gas(preload, studs_count=studs_count, **setting)


def test_the_three_ways_agree_on_one_stud() -> None:
    """A stud of 100 mm2 and 200 mm at 205 GPa: 102 500 N/mm; 0.4 mm stretch it by 41 kN."""
    rate = stud_rate_n_per_mm(lengths_mm=(200.0,), areas_mm2=(100.0,))
    stretched = preload_from_stretch(0.4, stud_n_per_mm=rate)
    turned = preload_from_angle(0.4 / 1.5 * 360.0, thread=M14, stud_n_per_mm=rate)
    friction = Friction(thread_ratio=0.12, head_ratio=0.10, head_diameter_mm=18.0)
    arm_mm = torque_arm_mm(thread=M14, friction=friction)
    by_torque = preload_from_torque(41e3 * arm_mm / 1e3, thread=M14, friction=friction)

    # 1.5 / 2 pi + 0.12 * 13.0257 / (2 * 0.866025) + 0.10 * 9 = 0.238732 + 0.902449 + 0.9
    assert arm_mm == pytest.approx(2.041181, abs=1e-6)
    assert stretched.preload_n == pytest.approx(41e3)
    assert turned.preload_n == pytest.approx(41e3)
    assert by_torque.preload_n == pytest.approx(41e3)
    assert preload_from_factor(
        41e3 * arm_mm / 1e3, diameter_mm=14.0, factor_ratio=arm_mm / 14.0
    ).preload_n == pytest.approx(41e3)


def test_scatter_of_each_way() -> None:
    """Torque 25 to 30 %, angle 15 %, stretch 1 to 5 %: common practice, no source."""
    ways = (
        (preload_from_torque(180.0, thread=M14, friction=Friction()), 0.30),
        (preload_from_angle(90.0, thread=M14, stud_n_per_mm=1e5), 0.15),
        (preload_from_stretch(0.2, stud_n_per_mm=1e5), 0.05),
        (preload_from_stretch(0.2, stud_n_per_mm=1e5, scatter_ratio=0.01), 0.01),
    )
    for found, scatter in ways:
        assert found.interval_n == pytest.approx(
            (found.preload_n * (1 - scatter), found.preload_n * (1 + scatter))
        )


def test_a_soft_joint_takes_its_part_of_the_angle() -> None:
    """Stud and joint of one rate share the pitch in halves; the snug preload stays."""
    rigid = preload_from_angle(90.0, thread=M14, stud_n_per_mm=1e5)
    soft = preload_from_angle(90.0, thread=M14, stud_n_per_mm=1e5, joint_n_per_mm=1e5, snug_n=5e3)

    assert rigid.preload_n == pytest.approx(1.5 / 4 * 1e5)
    assert soft.preload_n == pytest.approx(5e3 + rigid.preload_n / 2)
    assert "taken as rigid" in rigid.cautions[0]
    assert soft.cautions == ()


@given(st.floats(0.02, 0.3), st.floats(0.02, 0.3), st.floats(1.1, 2.0))
def test_more_friction_leaves_less_preload(mu: float, other: float, factor: float) -> None:
    def preload_n(thread_ratio: float, head_ratio: float) -> float:
        friction = Friction(thread_ratio=thread_ratio, head_ratio=head_ratio)
        return preload_from_torque(180.0, thread=M14, friction=friction).preload_n

    assert preload_n(mu * factor, other) < preload_n(mu, other)
    assert preload_n(mu, other * factor) < preload_n(mu, other)


def test_the_share_of_torque_that_stretches() -> None:
    """Half under the head, 40 % in the threads, 10 % stretches: common practice, no source."""
    friction = Friction(thread_ratio=0.13, head_ratio=0.13)
    arm_mm = torque_arm_mm(thread=M14, friction=friction)

    assert 1.5 / (2 * pi) / arm_mm == pytest.approx(0.10, abs=0.02)
    assert 0.13 * 1.25 * 14.0 / 2 / arm_mm == pytest.approx(0.50, abs=0.05)


def test_twist_takes_from_the_most_a_stud_can_bear() -> None:
    slippery = most_preload_n(thread=M14, yield_mpa=940.0, thread_friction_ratio=0.02)
    rough = most_preload_n(thread=M14, yield_mpa=940.0, thread_friction_ratio=0.20)

    assert rough < slippery < 0.9 * 940.0 * M14.stress_area_mm2


def test_gas_force_of_the_trade() -> None:
    """4 in bore at 1,100 psi: 13,800 lbf; three times that over six studs is 6,900 lbf each
    (common practice; the sum was checked by hand)."""
    found = held(6_900 * POUND_N, bore_mm=4 * INCH_MM, pressure_mpa=1_100 * PSI_MPA)

    assert found.gas_n / POUND_N == pytest.approx(13_800, abs=50)
    assert found.over_gas_ratio == pytest.approx(3.0, abs=0.01)


def test_ring_load_by_hand() -> None:
    """600 kN on a ring of 120 mm: 600000 / (pi 120) = 1591.55 N/mm; 15 MPa on 100 mm lifts 117.81
    kN, which leaves 1279.05 N/mm."""
    found = held(100e3, ring_diameter_mm=120.0)

    assert found.total_n == found.cylinder_n == 600e3
    assert found.gas_n == pytest.approx(117_809.7, abs=0.1)
    assert found.ring_n_per_mm == pytest.approx(1591.549, abs=1e-3)
    assert found.ring_firing_n_per_mm == pytest.approx(1279.051, abs=1e-2)


def test_a_head_of_several_cylinders_and_its_scatter() -> None:
    found = held(80e3, studs_count=26, scatter_ratio=0.3, cylinders_count=6, ring_diameter_mm=118.0)

    assert found.total_n == pytest.approx(26 * 80e3)
    assert found.cylinder_n == pytest.approx(26 * 80e3 / 6)
    assert found.cylinder_interval_n == pytest.approx((26 * 56e3 / 6, 26 * 104e3 / 6))
    low, high = found.ring_interval_n_per_mm
    assert low < found.ring_n_per_mm < high


def test_never_a_pass_and_a_lift_is_told() -> None:
    sound, lifted = held(100e3), held(15e3, scatter_ratio=0.3)

    assert sound.cautions[0].startswith("Information, no pass")
    assert "the head would lift" in lifted.cautions[0]
    assert held(1e3, ring_diameter_mm=120.0).ring_firing_n_per_mm == 0.0
    assert sound.ring_n_per_mm is None
    assert isinstance(sound, Clamp)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: thread_of(diameter_mm=0.0, pitch_mm=1.0), "above 0 mm"),
        (lambda: thread_of(diameter_mm=14.0, pitch_mm=16.0), "25.4 mm over their number"),
        (lambda: Friction(thread_ratio=12.0), "Friction of the thread lies between"),
        (
            lambda: preload_from_torque(
                180.0, thread=M14, friction=Friction(head_diameter_mm=10.0)
            ),
            "turning face's mean diameter",
        ),
        (lambda: preload_from_torque(0.0, thread=M14, friction=Friction()), "above 0"),
        (lambda: preload_from_factor(180.0, diameter_mm=14.0, factor_ratio=20.0), "nut factor"),
        (lambda: preload_from_angle(90.0, thread=M14, stud_n_per_mm=1e5, snug_n=-1.0), "0 or more"),
        (lambda: preload_from_stretch(float("nan"), stud_n_per_mm=1e5), "above 0"),
        (lambda: preload_from_stretch(0.1, stud_n_per_mm=1e5, scatter_ratio=30.0), "30 %"),
        (lambda: stud_rate_n_per_mm(lengths_mm=(), areas_mm2=()), "a length and an area"),
        (lambda: stud_rate_n_per_mm(lengths_mm=(1.0,), areas_mm2=(0.0,)), "areas_mm2"),
        (lambda: most_preload_n(thread=M14, yield_mpa=0.0), "yield_mpa"),
        (lambda: held(1e3, bore_mm=0.0), "bore_mm"),
        (lambda: held(1e3, ring_diameter_mm=0.0), "ring_diameter_mm"),
    ],
)
def test_wrong_calls(call, words: str) -> None:
    with pytest.raises(InputError, match=words):
        call()
