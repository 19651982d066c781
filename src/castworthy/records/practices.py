"""How the trade does a step, in one quiet line beside it; the same on page and paper.

Common practice, no source, except where a line says otherwise.
"""

from castworthy.calc.leak.words import PRACTICES as AT_VACUUM
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.sealing.wire import PRACTICES as AT_RING
from castworthy.records.ring_words import PRACTICE as RING_STAND

MARK_VALVES = "Mark every valve to its place before it comes out: seat and stem heights differ."
OWN_PLACES = "Every valve goes back to its marked place: seat and stem heights differ."
SPRING_DOWN = "The close-wound end of a spring goes down, toward the head."
KEEPERS = "Seat the keepers by a light tap on the tip with a soft hammer."
SEALING_PORT = AT_VACUUM[0]

TOGETHER = (OWN_PLACES, SPRING_DOWN, KEEPERS, SEALING_PORT)
"""What to keep in hand from the last cut to the proof."""

_BY_KIND: dict[OperationKind, tuple[str, ...]] = {
    OperationKind.CLEAN: (MARK_VALVES,),
    OperationKind.RING_GROOVE: (RING_STAND,),
    OperationKind.RING: (AT_RING[0], AT_RING[1]),
}


def practices_of(kind: OperationKind, *, loaded: bool) -> tuple[str, ...]:
    """How the trade does an operation; empty where the figures say it all.

    A head that is not ``loaded`` came without valves, so there are none to mark.
    """
    if kind is OperationKind.CLEAN and not loaded:
        return ()
    return _BY_KIND.get(kind, ())
