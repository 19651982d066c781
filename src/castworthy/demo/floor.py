"""From the last reading to the customer: what the invented people do with a measured head."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from castworthy.actions import assembly, heads, leak_log, plans, proof, release, work
from castworthy.actions.deed import deeds_at
from castworthy.actions.people import Person as PersonRow
from castworthy.calc.leak.flow import Port, filling_kpa
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.results import NoPlan, Objective
from castworthy.demo.arrivals import Arrival, Reached
from castworthy.records.leak_trial import LogTyped
from castworthy.records.lookups.machine import machine_page
from castworthy.records.lookups.plan import plan_page
from castworthy.records.standing import standing_of

_MOST_ROUNDS = 4


@dataclass(slots=True, kw_only=True)
class Floor:
    """One head on the floor; ``clock`` is the shop's time, moved on by every deed."""

    arrival: Arrival
    clock: datetime
    by: PersonRow
    rng: np.random.Generator
    measure_again: Callable[[str, datetime], int]

    def go(self) -> None:
        """As far as the arrival says."""
        tag, reached = self.arrival.tag, self.arrival.reached
        if reached in {Reached.SENT_BACK, Reached.SCRAPPED}:
            let_go = heads.send_back if reached is Reached.SENT_BACK else heads.scrap
            self._do(lambda: plans.make_plans(tag=tag, by=self.by), minutes=10)
            self._do(lambda: let_go(tag=tag, note=self.arrival.why or _SHORT, by=self.by))
            return
        for step, deed in (
            (Reached.PLANNED, self._plan),
            (Reached.MACHINING, self._half_the_work),
            (Reached.MACHINED, self._work),
            (Reached.ASSEMBLING, self._half_the_list),
            (Reached.ASSEMBLED, self._list),
            (Reached.PROVING, self._half_the_tests),
            (Reached.PROVED, self._tests),
            (Reached.RELEASED, self._release),
        ):
            if reached < step:
                return
            deed()

    def _do(self, deed: Callable[[], object], *, minutes: float = 4) -> None:
        self.clock += timedelta(minutes=minutes)
        with deeds_at(self.clock):
            deed()

    def _plan(self) -> None:
        tag = self.arrival.tag
        self._do(lambda: plans.make_plans(tag=tag, by=self.by), minutes=15)
        page = plan_page(tag)
        answer = page.answers[Objective.COST]
        if isinstance(answer, Refused) or (isinstance(answer, NoPlan) and answer.surest is None):
            raise StuckError(tag)
        self._do(lambda: plans.choose_plan(plan_id=page.ids[Objective.COST], by=self.by))

    def _planned(self) -> list[int]:
        return [op.id for op in machine_page(self.arrival.tag).operations if op.state == "planned"]

    def _sign(self, operation_id: int) -> None:
        self._do(lambda: work.sign_operation(operation_id=operation_id, by=self.by), minutes=25)

    def _half_the_work(self) -> None:
        for operation_id in self._planned()[: max(1, len(self._planned()) // 2)]:
            self._sign(operation_id)

    def _work(self) -> None:
        """Work and measure until everything stands; what came out outside is planned again."""
        tag = self.arrival.tag
        for _ in range(_MOST_ROUNDS):
            while planned := self._planned():
                self._sign(planned[0])
            self.clock += timedelta(minutes=self.measure_again(tag, self.clock))
            standing = standing_of(tag)
            if not standing.outside and not standing.missing and not standing.close:
                return
            self._plan()
        raise StuckError(tag)

    def _half_the_list(self) -> None:
        for valve in standing_of(self.arrival.tag).sheet.valves[:2]:
            place = valve.name
            self._do(
                lambda place=place: assembly.tick(tag=self.arrival.tag, place=place, by=self.by)
            )

    def _list(self) -> None:
        self._do(lambda: assembly.tick(tag=self.arrival.tag, by=self.by), minutes=50)

    def _half_the_tests(self) -> None:
        tag = self.arrival.tag
        self._do(
            lambda: proof.record_crack_check(
                tag=tag, method="magnetic particle", clear=True, by=self.by
            )
        )
        self._do(
            lambda: proof.record_pressure(
                tag=tag, medium="water", start="45 psi", held="44.7 psi", by=self.by
            ),
            minutes=25,
        )

    def _tests(self) -> None:
        for at, valve in enumerate(standing_of(self.arrival.tag).sheet.valves):
            lost = abs(float(self.rng.normal(0, 0.5)))
            if self.arrival.logged:
                self._log(valve.name, hole_um=_ODD_UM if at == _ODD_AT else 18.0 + 16.0 * lost)
                continue
            held = f"{25.6 - lost:.1f} inHg"
            place = valve.name
            self._do(
                lambda place=place, held=held: proof.record_vacuum(
                    tag=self.arrival.tag,
                    place=place,
                    held=held,
                    dead_head="26.8 inHg",
                    by=self.by,
                ),
                minutes=1,
            )

    def _log(self, place: str, *, hole_um: float) -> None:
        """A port that fills through one small hole, its gauge read every five seconds."""
        port = Port(volume_cm3=230.0)
        t = np.arange(0.0, 35.0, 5.0)
        start_kpa = port.atmosphere_kpa - 26.2 * _INHG_KPA
        p = filling_kpa(t, port=port, start_kpa=start_kpa, hole_um=hole_um)
        vacuum = (port.atmosphere_kpa - p) / _INHG_KPA
        typed = LogTyped(
            readings="\n".join(f"{s:.1f} {v:.1f}" for s, v in zip(t, vacuum, strict=True)),
            volume="230",
            u_volume="8",
            gauge="VG-2",
            dead_head="26.8 inHg",
        )
        self._do(
            lambda: leak_log.record_vacuum_log(
                tag=self.arrival.tag, place=place, typed=typed, by=self.by
            ),
            minutes=1,
        )

    def _release(self) -> None:
        self._do(lambda: release.release_head(tag=self.arrival.tag, by=self.by))


_INHG_KPA = 3.386389
_ODD_AT, _ODD_UM = 5, 58.0
_SHORT = "Outside its limits as received."


class StuckError(Exception):
    """An invented head cannot go on: the demo's own figures are at fault."""
