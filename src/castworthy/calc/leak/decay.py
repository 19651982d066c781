"""What a log of a port's pressure says once the pump is shut off: leak, hole, loss in the hold."""

from dataclasses import dataclass, replace
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.ndimage import median_filter

from castworthy.calc.errors import InputError
from castworthy.calc.head import Gauge
from castworthy.calc.leak.doubt import Part, combined, coverage_factor, shared_kpa
from castworthy.calc.leak.fit import (
    FEWEST_FOR_STRAYS_COUNT,
    Filling,
    fit_filling,
    with_vacuum,
)
from castworthy.calc.leak.flow import (
    STD_CM3_PER_MIN_PA_M3_PER_S,
    Port,
    equivalent_hole_um,
    flow_function,
    ratio_at,
)
from castworthy.calc.outcome import Refused

FEWEST_COUNT = 3
MOST_STRAY_SHARE = 0.25
FAR_HOLD_RATIO = 3.0
"""A hold this many times the length of the log is reached by the curve alone."""

_PUMP_SHARE = 0.2
_PUMP_SCATTERS = 8.0
_SURE_TIMES = 2.0
_BENT_RATIO = 0.5
_ABOVE_RATIO = 1.02

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PressureLog:
    """Absolute pressures against time, both shape (n,), times rising.

    ``step_kpa`` is the step the gauge reads in and ``time_step_s`` the one of the clock, 0 where
    none is known.
    """

    time_s: Floats
    pressure_kpa: Floats
    step_kpa: float = 0.0
    time_step_s: float = 0.0

    def __post_init__(self) -> None:
        t, p = self.time_s, self.pressure_kpa
        if t.ndim != 1 or t.shape != p.shape:
            raise InputError(
                f"A log needs as many times as pressures, got {t.size} and {p.size}; pair them."
            )
        if not (np.isfinite(t).all() and np.isfinite(p).all()):
            raise InputError("A log holds a time or pressure that is no number; leave it out.")
        if (np.diff(t) <= 0.0).any():
            raise InputError("The times of a log must grow from reading to reading; sort them.")
        if (p < 0.0).any():
            raise InputError(
                f"Absolute pressures are 0 kPa or more, got {p.min():.1f} kPa; give vacuum below "
                "the atmosphere as such."
            )
        for name, step in (("step_kpa", self.step_kpa), ("time_step_s", self.time_step_s)):
            if not 0.0 <= step < np.inf:
                raise InputError(f"{name} must be 0 or more (got {step:g}); check the log.")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Decay:
    """A port's leak from its log, every interval with 95 % coverage.

    The leak rate is the one at ``start_s``, the first reading, where the fitted pressure is
    ``start_kpa`` (absolute).  ``held_kpa`` is the vacuum left at the end of the hold, counted as a
    positive figure.  ``seen`` is false where the log cannot tell the leak from none; the upper
    ends of the intervals then bound it.  ``strays_s`` are the times of readings left out.

    ``freedom_count`` is the fit's; the ones of loss and held vacuum, not whole, count what is
    known apart from it.  ``u_shared_kpa`` is the part of the gauge that shifts the whole log.
    """

    port: Port
    hold_s: float
    start_s: float
    start_kpa: float
    leak_pa_m3_per_s: float
    u_leak_pa_m3_per_s: float
    leak_interval_pa_m3_per_s: tuple[float, float]
    leak_std_cm3_per_min: float
    leak_interval_std_cm3_per_min: tuple[float, float]
    hole_um: float
    hole_interval_um: tuple[float, float]
    loss_in_hold_kpa: float
    u_loss_kpa: float
    loss_freedom_count: float
    loss_interval_kpa: tuple[float, float]
    held_kpa: float
    u_held_kpa: float
    held_freedom_count: float
    u_shared_kpa: float
    seen: bool
    points_count: int
    freedom_count: int
    scatter_kpa: float
    strays_s: tuple[float, ...]
    cautions: tuple[str, ...]
    clock_ratio: float
    turns_hz: float


def fit_decay(
    log: PressureLog, *, port: Port, hold_s: float = 30.0, gauge: Gauge | None = None
) -> Decay | Refused:
    """A port's leak from the rise of its pressure after the pump is shut off.

    Leak and hole grow with the volume, so they carry its uncertainty; loss and held vacuum do
    not.  A shift of the gauge moves what is held one for one, the loss hardly, a choked leak not
    at all.  The temperature's own uncertainty is left out: the leak does not rest on it, and the
    hole goes with its fourth root (5 °C are 0.4 %).  Air that warms in the port by 1 °C does look
    like a leak, of 0.3 % of its absolute pressure.

    Parameters
    ----------
    log : PressureLog
        Readings, the pump shut off.
    port : Port
        Volume, atmosphere and temperature.
    hold_s : float
        How long the sheet has the vacuum watched [s], > 0.
    gauge : Gauge or None
        What the log was read with, in kPa; ``None`` leaves its uncertainty out.

    Returns
    -------
    Decay or Refused
        ``Refused`` where there are too few readings with a vacuum, where the pump was still
        running, or where the readings follow no one leak.

    Raises
    ------
    InputError
        If the hold is not positive, or pressures lie above the atmosphere.

    References
    ----------
    V dP/dt = Cd A p0 sqrt(R T) psi(P / p0), isothermal, in closed form
    (:mod:`castworthy.calc.leak.flow`); JCGM 100:2008, 5.1.2, G.3 and G.4 (Student's t, effective
    degrees of freedom).

    """
    if gauge is not None and gauge.suffix != "kpa":
        raise InputError(f"Gauge {gauge.name} reads no pressure; choose another.")
    if not 0.0 < hold_s <= 86_400.0:
        raise InputError(f"A hold lasts more than 0 s and at most a day, got {hold_s:g} s.")
    refused = _unfit(log, port=port)
    if refused is not None:
        return refused
    length_s = float(log.time_s[-1] - log.time_s[0])
    log = _while_filling(log, port=port)
    filling = fit_filling(
        log.time_s - log.time_s[0],
        pressure_kpa=log.pressure_kpa,
        atmosphere_kpa=port.atmosphere_kpa,
        step_kpa=log.step_kpa,
        time_step_s=log.time_step_s,
    )
    refused = _unlike(filling, log=log, port=port)
    if refused is not None:
        return refused
    cautions = _cautions(filling, length_s=length_s, hold_s=hold_s)
    return _decay(filling, log=log, port=port, hold_s=hold_s, gauge=gauge, cautions=cautions)


def fitted_kpa(time_s: ArrayLike, *, decay: Decay) -> Floats:
    """The fitted curve, for drawing beside the readings.

    Parameters
    ----------
    time_s
        times as in the log [s], any shape
    decay
        the fit

    Returns
    -------
    ndarray
        absolute pressure [kPa], shape of ``time_s``

    References
    ----------
    :func:`castworthy.calc.leak.flow.ratio_at`.

    """
    t = np.asarray(time_s, dtype=np.float64) - decay.start_s
    return decay.port.atmosphere_kpa * ratio_at(decay.clock_ratio + decay.turns_hz * t)


def _unfit(log: PressureLog, *, port: Port) -> Refused | None:
    p0, p = port.atmosphere_kpa, log.pressure_kpa
    count = len(p)
    if (p > _ABOVE_RATIO * p0).sum() > MOST_STRAY_SHARE * count:
        raise InputError(
            f"A port under vacuum stays below the atmosphere of {p0:.1f} kPa, got "
            f"{p.max():.1f} kPa; check the atmosphere and the unit of the log."
        )
    if count < FEWEST_COUNT:
        return Refused(
            code="too-few-readings",
            reason=f"The leak cannot be judged: {count} of {FEWEST_COUNT} readings.",
            remedy="Shut the pump off and read every few seconds, five times or more.",
        )
    left_count = int(with_vacuum(p, atmosphere_kpa=p0).sum())
    if left_count < FEWEST_COUNT:
        return Refused(
            code="no-vacuum",
            reason=(
                f"The leak cannot be judged: {left_count} of {count} readings show a vacuum; the "
                "port was at the atmosphere too soon."
            ),
            remedy="Check adapter and seat, then read more often from the moment of shutting off.",
        )
    return _pump_running(log)


def _while_filling(log: PressureLog, *, port: Port) -> PressureLog:
    """The log up to its last reading with a vacuum; the full port after it says nothing."""
    there = np.flatnonzero(with_vacuum(log.pressure_kpa, atmosphere_kpa=port.atmosphere_kpa))
    last = int(there[-1]) + 1
    return replace(log, time_s=log.time_s[:last], pressure_kpa=log.pressure_kpa[:last])


def _pump_running(log: PressureLog) -> Refused | None:
    """Whether the vacuum deepens at the beginning, by much more than the readings scatter."""
    smooth = median_filter(log.pressure_kpa, size=3, mode="nearest")
    noise = max(1.05 * float(np.median(np.abs(np.diff(log.pressure_kpa)))), log.step_kpa)
    fall = float(smooth[0] - smooth.min())
    if fall <= _PUMP_SCATTERS * noise or fall < _PUMP_SHARE * float(np.ptp(smooth)):
        return None
    return _deepens(until_s=float(log.time_s[int(smooth.argmin())]))


def _deepens(*, until_s: float) -> Refused:
    return Refused(
        code="vacuum-deepens",
        reason=(
            f"The leak cannot be judged: the vacuum still deepens until {until_s:g} s, as with the "
            "pump running or the port cooling."
        ),
        remedy="Give only the readings after the pump is shut off and the gauge has settled.",
    )


def _unlike(filling: Filling, *, log: PressureLog, port: Port) -> Refused | None:
    if filling.turns_hz + _SURE_TIMES * _least_seen_hz(filling) < 0.0:
        return _deepens(until_s=float(log.time_s[-1]))
    count, stray_count = len(filling.strays), int(filling.strays.sum())
    left = with_vacuum(log.pressure_kpa[~filling.strays], atmosphere_kpa=port.atmosphere_kpa)
    if stray_count <= MOST_STRAY_SHARE * count and left.sum() >= FEWEST_COUNT:
        return None
    return Refused(
        code="no-one-leak",
        reason=(
            f"The leak cannot be judged: {stray_count} of {count} readings lie far off the curve "
            "of any one leak."
        ),
        remedy=(
            "Check the atmosphere given and that nothing was touched meanwhile, then log the port "
            "again."
        ),
    )


def _decay(
    filling: Filling,
    *,
    log: PressureLog,
    port: Port,
    hold_s: float,
    gauge: Gauge | None,
    cautions: tuple[str, ...],
) -> Decay:
    p0 = port.atmosphere_kpa
    tau, k = filling.clock_ratio, filling.turns_hz
    shift_kpa = _shift_kpa(filling, gauge=gauge)
    start, end = (float(r) for r in ratio_at([tau, tau + max(k, 0.0) * hold_s]))
    flows = tuple(float(f) for f in flow_function([start, end]))
    leak = port.volume_cm3 * 1e-6 * p0 * 1e3 * max(k, 0.0) * flows[0]
    loss_u, held_u = _hold_doubts(filling, port=port, flows=flows, hold_s=hold_s, shift=shift_kpa)
    leak_u = _leak_doubt(filling, port=port, leak=leak, flow=flows[0], shift=shift_kpa)
    leaks = _between(leak, leak_u, most=np.inf)
    hole, low_hole, high_hole = (
        _hole_um(each, start_kpa=start * p0, port=port) for each in (leak, *leaks)
    )
    return Decay(
        port=port,
        hold_s=hold_s,
        start_s=float(log.time_s[0]),
        start_kpa=start * p0,
        leak_pa_m3_per_s=leak,
        u_leak_pa_m3_per_s=leak_u.u,
        leak_interval_pa_m3_per_s=leaks,
        leak_std_cm3_per_min=leak / STD_CM3_PER_MIN_PA_M3_PER_S,
        leak_interval_std_cm3_per_min=(
            leaks[0] / STD_CM3_PER_MIN_PA_M3_PER_S,
            leaks[1] / STD_CM3_PER_MIN_PA_M3_PER_S,
        ),
        hole_um=hole,
        hole_interval_um=(low_hole, high_hole),
        loss_in_hold_kpa=p0 * (end - start),
        u_loss_kpa=loss_u.u,
        loss_freedom_count=loss_u.freedom_count,
        loss_interval_kpa=_between(p0 * (end - start), loss_u, most=p0),
        held_kpa=p0 * (1.0 - end),
        u_held_kpa=held_u.u,
        held_freedom_count=held_u.freedom_count,
        u_shared_kpa=shift_kpa,
        seen=k > _least_seen_hz(filling),
        points_count=len(log.time_s),
        freedom_count=filling.freedom_count,
        scatter_kpa=filling.scatter_kpa,
        strays_s=tuple(float(each) for each in log.time_s[filling.strays]),
        cautions=cautions,
        clock_ratio=tau,
        turns_hz=k,
    )


def _least_seen_hz(filling: Filling) -> float:
    """Turns of the clock that the fit can tell from none."""
    return coverage_factor(filling.freedom_count) * sqrt(filling.covariance[1, 1])


def _shift_kpa(filling: Filling, *, gauge: Gauge | None) -> float:
    if gauge is None:
        return 0.0
    return shared_kpa(u_kpa=gauge.u, u_bias_kpa=gauge.u_bias, scatter_kpa=filling.scatter_kpa)


def _hold_doubts(
    filling: Filling, *, port: Port, flows: tuple[float, ...], hold_s: float, shift: float
) -> tuple[Part, Part]:
    """Uncertainty of the loss in the hold and of what is held then [kPa]."""
    p0, (at_start, at_end) = port.atmosphere_kpa, flows
    loss = p0 * np.array([at_end - at_start, at_end * hold_s])
    held = p0 * np.array([at_end, at_end * hold_s])
    loss_u, held_u = (combined(*_parts(each, filling, shift=shift / p0)) for each in (loss, held))
    return loss_u, held_u


def _leak_doubt(filling: Filling, *, port: Port, leak: float, flow: float, shift: float) -> Part:
    """Uncertainty of the leak [Pa m3/s], the volume's counted in."""
    p0, scale = port.atmosphere_kpa, port.volume_cm3 * 1e-6 * port.atmosphere_kpa * 1e3
    slopes = scale * np.array([filling.turns_hz * _bend(filling.clock_ratio), flow])
    of_volume = Part(u=leak * port.u_volume_cm3 / port.volume_cm3)
    return combined(*_parts(slopes, filling, shift=shift / p0), of_volume)


def _parts(slopes: Floats, filling: Filling, *, shift: float) -> tuple[Part, Part]:
    """What the fit and a shift of the gauge make of a figure with these slopes."""
    return (
        Part(
            u=float(np.sqrt(slopes @ filling.covariance @ slopes)),
            freedom_count=filling.freedom_count,
        ),
        Part(u=abs(float(slopes @ filling.shift_slopes)) * shift),
    )


def _bend(tau: float) -> float:
    """How psi changes along the clock."""
    step = 1e-6
    return float(np.diff(flow_function(ratio_at([tau - step, tau + step])))[0]) / (2.0 * step)


def _between(value: float, doubt: Part, *, most: float) -> tuple[float, float]:
    half = coverage_factor(doubt.freedom_count) * doubt.u
    return max(value - half, 0.0), min(value + half, most)


def _hole_um(leak_pa_m3_per_s: float, *, start_kpa: float, port: Port) -> float:
    return equivalent_hole_um(
        leak_pa_m3_per_s=leak_pa_m3_per_s,
        before_kpa=port.atmosphere_kpa,
        behind_kpa=start_kpa,
        temperature_degc=port.temperature_degc,
        discharge_ratio=port.discharge_ratio,
    )


def _cautions(filling: Filling, *, length_s: float, hold_s: float) -> tuple[str, ...]:
    said = []
    kept_count = int((~filling.strays).sum())
    if kept_count < FEWEST_FOR_STRAYS_COUNT:
        said.append(
            f"{kept_count} readings cannot show a stray one and leave the leak loosely known; "
            f"read {FEWEST_FOR_STRAYS_COUNT} times or more."
        )
    if hold_s > FAR_HOLD_RATIO * length_s:
        said.append(
            f"The log ends after {length_s:g} s; the loss in {hold_s:g} s is reached by the curve "
            "alone. Log it for longer."
        )
    if filling.alike_ratio > _BENT_RATIO:
        said.append(
            "The readings bend away from the curve of a steady leak, as with oil drawn into the "
            "gap, a valve that moved or a port still warming; the interval is widened for it."
        )
    return tuple(said)
