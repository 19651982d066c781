"""What can hurt, said at the step where it can; shown by pages and printed on papers.

From the shop's own habits and public safety rules (compressed air under 30 psi for cleaning:
29 CFR 1910.242(b)); the engine maker's manual and local rules come first.
"""

from castworthy.calc.leak.pressure import CAUTION as UNDER_PRESSURE
from castworthy.calc.rework.results import OperationKind
from castworthy.records.models import Step

LAST_WORD = (
    "The engine maker's manual, local rules and a qualified machinist have the last word; "
    "this tool advises."
)

LIFTING = (
    "An iron head is heavy, a bare six-cylinder one about 56 kg (125 lb): use a hoist, keep "
    "everybody out from under it, and mind machined edges, they cut."
)
BLOWING_OFF = (
    "Blow out with air under 30 psi (207 kPa), behind a chip guard and with eye protection; "
    "never toward skin or clothes."
)
SPRING_FORCE = (
    "A compressed valve spring holds enough force to blind: seat the compressor fully, keep "
    "your face out of line, wear glasses."
)
WASHING = (
    "Caustic wash eats aluminium and gives off hydrogen: know the material first. Goggles, face "
    "shield and apron, and never alone."
)
CRACK_LIGHT = (
    "Use filtered UV-A only, stop if the filter is cracked, cover skin, do not look into the "
    "lamp. Penetrant sprays burn: no flame, fresh air."
)
CUTTING = (
    "Clear the cutter path, check the clamps, wear eye protection and no gloves near the "
    "spindle. Chips are hot and sharp; draw iron dust off."
)
HOT_AND_COLD = (
    "Hot and chilled parts burn: gloves and face shield. Liquid nitrogen and dry ice take the "
    "place of air: open doors, never a closed vessel, oxygen at 19.5 % or more."
)
HOT_HEAD = "Mark a heated head HOT and let it cool slowly; no solvent near it."
UNDER_VACUUM = "Keep fingers off the ports while the pump runs."
SHIPPING = "Drain it, plug the ports, guard the face, and write weight and lifting points on it."

_BY_KIND: dict[OperationKind, tuple[str, ...]] = {
    OperationKind.CLEAN: (WASHING, BLOWING_OFF),
    OperationKind.CRACK_CHECK: (CRACK_LIGHT,),
    OperationKind.STRAIGHTEN: (HOT_HEAD,),
    OperationKind.GUIDE: (HOT_AND_COLD,),
    OperationKind.SURFACE: (CUTTING,),
    OperationKind.RING_GROOVE: (CUTTING,),
    OperationKind.INSERT: (HOT_AND_COLD,),
    OperationKind.VALVE: (),
    OperationKind.FACE: (CUTTING,),
    OperationKind.SEAT: (CUTTING,),
    OperationKind.TIP: (CUTTING,),
    OperationKind.WASH: (WASHING, BLOWING_OFF),
    OperationKind.RING: (),
    OperationKind.SHIM: (SPRING_FORCE,),
    OperationKind.WASHER: (),
}

_BY_STEP: dict[str, tuple[str, ...]] = {
    Step.TAKE_IN: (LIFTING,),
    Step.MEASURE: (LIFTING, SPRING_FORCE),
    Step.PLAN: (),
    Step.MACHINE: (CUTTING, LIFTING),
    Step.ASSEMBLE: (BLOWING_OFF, SPRING_FORCE),
    Step.PROVE: (UNDER_PRESSURE, UNDER_VACUUM, CRACK_LIGHT),
    Step.RELEASE: (LIFTING, SHIPPING),
}


def cautions_for(*kinds: OperationKind) -> tuple[str, ...]:
    """The cautions of some operations, each said once, with whose word is last."""
    told = dict.fromkeys(sentence for kind in kinds for sentence in _BY_KIND[kind])
    return (*told, LAST_WORD) if told else ()


def cautions_at(step: str) -> tuple[str, ...]:
    """The cautions of a step of the shop, with whose word is last."""
    return (*_BY_STEP[step], LAST_WORD)
