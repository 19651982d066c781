"""Vacuum logs kept with the tests of a head: written, read back, compared port by port."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from hashlib import sha256
from typing import Any

import numpy as np

from castworthy import __version__
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.leak.decay import Decay
from castworthy.calc.leak.flow import ratio_at
from castworthy.calc.leak.ports import FEWEST_PORTS_COUNT, PortComparison, PortLeak, compare_ports
from castworthy.calc.outcome import Refused
from castworthy.records.leak_trial import LogTrial
from castworthy.records.models import TestKind
from castworthy.records.proving import Proof, Tested

_POINTS = ("time_s", "pressure_kpa")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLog:
    """One log on record, pressures absolute; ``curve`` answers the fitted one at any time."""

    place: str
    time_s: tuple[float, ...]
    pressure_kpa: tuple[float, ...]
    strays_s: tuple[float, ...]
    atmosphere_kpa: float
    hold_s: float
    held_kpa: float
    u_held_kpa: float
    least_held_kpa: float | None
    dead_head_kpa: float
    volume_cm3: float
    u_volume_cm3: float
    gauge: str
    leak_pa_m3_per_s: float
    u_leak_pa_m3_per_s: float
    leak_std_cm3_per_min: float
    seen: bool
    verdict: Verdict
    clock_ratio: float
    turns_hz: float
    start_s: float
    software: str


def log_json(trial: LogTrial, *, decay: Decay, atmosphere_typed: str) -> dict[str, Any]:
    """What a test keeps of its log: every reading, the port, the fit, the verdict."""
    judgement = trial.judgement
    fit = asdict(decay)
    del fit["port"], fit["cautions"]
    return {
        "time_s": [round(float(each), 3) for each in trial.log.time_s],
        "pressure_kpa": [round(float(each), 4) for each in trial.log.pressure_kpa],
        "step_kpa": trial.log.step_kpa,
        "time_step_s": trial.log.time_step_s,
        **asdict(trial.port),
        "gauge": trial.gauge_name,
        "atmosphere_typed": atmosphere_typed.strip(),
        "fit": {key: list(each) if isinstance(each, tuple) else each for key, each in fit.items()},
        "least_held_kpa": trial.least_held_kpa,
        "verdict": trial.verdict.value,
        "probability": None if judgement is None else judgement.probability,
        "cautions": list(trial.cautions),
        "software": __version__,
    }


def kept_log(test: Tested | None) -> KeptLog | None:
    """The log of a test; ``None`` where its figure was only read off."""
    told = {} if test is None else test.conditions.get("log") or {}
    if test is None or not told:
        return None
    fit = told["fit"]
    return KeptLog(
        place=test.place,
        time_s=tuple(told["time_s"]),
        pressure_kpa=tuple(told["pressure_kpa"]),
        strays_s=tuple(fit["strays_s"]),
        atmosphere_kpa=told["atmosphere_kpa"],
        hold_s=fit["hold_s"],
        held_kpa=fit["held_kpa"],
        u_held_kpa=fit["u_held_kpa"],
        least_held_kpa=told["least_held_kpa"],
        dead_head_kpa=test.conditions["dead_head_kpa"],
        volume_cm3=told["volume_cm3"],
        u_volume_cm3=told.get("u_volume_cm3", 0.0),
        gauge=told.get("gauge", ""),
        leak_pa_m3_per_s=fit["leak_pa_m3_per_s"],
        u_leak_pa_m3_per_s=fit["u_leak_pa_m3_per_s"],
        leak_std_cm3_per_min=fit["leak_std_cm3_per_min"],
        seen=fit["seen"],
        verdict=Verdict(told["verdict"]),
        clock_ratio=fit["clock_ratio"],
        turns_hz=fit["turns_hz"],
        start_s=fit["start_s"],
        software=told["software"],
    )


def curve_kpa(
    time_s: Iterable[float], *, log: "KeptLog | Decay", atmosphere_kpa: float
) -> list[float]:
    """The fitted absolute pressure at some times of a log."""
    t = np.asarray(list(time_s), dtype=np.float64) - log.start_s
    turned = ratio_at(log.clock_ratio + log.turns_hz * t)
    return [float(each) for each in atmosphere_kpa * turned]


def compared(logs: Iterable[KeptLog]) -> PortComparison | Refused:
    """The ports of some logs beside each other."""
    return compare_ports(
        tuple(
            PortLeak(
                place=log.place,
                leak_pa_m3_per_s=log.leak_pa_m3_per_s,
                u_leak_pa_m3_per_s=log.u_leak_pa_m3_per_s,
            )
            for log in logs
        )
    )


def odd_port_words(proofs: Iterable[Proof]) -> str:
    """What the logs of a head's ports say beside each other; empty where none is logged."""
    logs = [
        log
        for proof in proofs
        if proof.kind is TestKind.VACUUM and proof.undone_by is None
        for log in (kept_log(proof.latest),)
        if log is not None
    ]
    found = compared(logs)
    if isinstance(found, PortComparison):
        return found.sentence
    if not logs:
        return ""
    left_count = FEWEST_PORTS_COUNT - len(logs)
    more = "one port more" if left_count == 1 else f"{left_count} ports more"
    return f"Log {more} to see whether one of them is the odd one out."


def told_conditions(conditions: Mapping[str, Any]) -> dict[str, Any]:
    """The conditions of a test for a record: of a log the digest stands for its readings."""
    told = dict(conditions)
    if log := told.get("log"):
        points = [[float(each) for each in log[name]] for name in _POINTS]
        digest = sha256(repr(points).encode()).hexdigest()
        kept = {key: value for key, value in log.items() if key not in _POINTS}
        told["log"] = kept | {"readings_count": len(log["time_s"]), "readings_digest": digest}
    return told
