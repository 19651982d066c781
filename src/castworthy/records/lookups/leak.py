"""The page of one port's vacuum log: what it is judged by, what was typed last, what is kept."""

from dataclasses import dataclass

from castworthy.calc.head import HeadSheet
from castworthy.records.bench_air import last_air_typed
from castworthy.records.errors import NotOnRecord
from castworthy.records.leak_logs import KeptLog, kept_log
from castworthy.records.lookups.gauges import GaugeFacts, gauges_for
from castworthy.records.lookups.prove import ProvePage, prove_page
from castworthy.records.models import TestKind
from castworthy.records.proving import Proof, Tested


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakPage:
    """One port and the logs around it.

    ``kept`` is the log behind its last test (``None``: none), ``last`` the head's last log, whose
    volume and gauge are likely those of the next; ``atmosphere_typed`` is the air of the shop's
    last one where it still holds.  ``next_place`` is the next port that is still to be tested,
    empty when none is.
    """

    record: ProvePage
    proof: Proof
    kept: KeptLog | None
    last: KeptLog | None
    gauges: tuple[GaugeFacts, ...]
    atmosphere_typed: str
    next_place: str

    @property
    def sheet(self) -> HeadSheet:
        """The sheet the head is judged by."""
        return self.record.sheet

    @property
    def place(self) -> str:
        """The port."""
        return self.proof.place


def leak_page(tag: str, *, place: str) -> LeakPage:
    """One port of a head.

    Raises
    ------
    NotOnRecord
        If there is no such head or port.

    """
    record = prove_page(tag)
    ports = [proof for proof in record.proofs if proof.kind is TestKind.VACUUM]
    proof = next((each for each in ports if each.place == place), None)
    if proof is None:
        raise NotOnRecord(
            f"Sheet {record.sheet.code} has no port {place!r}; choose one on the Prove page."
        )
    logs = [log for test in _newest(record) if (log := kept_log(test)) is not None]
    at = ports.index(proof)
    following = [each.place for each in (*ports[at + 1 :], *ports[:at]) if not each.stands]
    return LeakPage(
        record=record,
        proof=proof,
        kept=kept_log(proof.latest),
        last=logs[0] if logs else None,
        gauges=gauges_for("kpa"),
        atmosphere_typed=last_air_typed(),
        next_place=following[0] if following else "",
    )


def _newest(record: ProvePage) -> list[Tested]:
    tests = [test for tests in record.history.values() for test in tests]
    vacuum = [test for test in tests if test.kind is TestKind.VACUUM]
    return sorted(vacuum, key=lambda test: test.id, reverse=True)
