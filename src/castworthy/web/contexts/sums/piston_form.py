"""The form of the sum piston to valve."""

from castworthy.calc.chamber.piston import CAUTION, PRACTICES
from castworthy.calc.quantity import Site
from castworthy.web.contexts.sums.form import ONE_READING, Field, Part, Sum, uncertainty
from castworthy.web.contexts.sums.piston import prefill, work
from castworthy.web.contexts.sums.ratio import SIDES

_VALVE_SIDES = (("under", "below the deck"), ("above", "above it"))


def _cut(name: str, label: str, *, hint: str) -> Field:
    return Field(
        name=name,
        label=label,
        suffix="mm",
        most=6.35,
        from_least=True,
        optional=True,
        hint=hint,
    )


_JOINT = Part(
    title="Piston and gasket",
    fields=(
        Field(name="side", label="The piston stands", choices=SIDES),
        Field(
            name="deck",
            label="Piston's stand",
            suffix="mm",
            most=50.0,
            from_least=True,
            hint="At top dead centre, by its pin.",
        ),
        Field(name="gasket", label="Gasket as clamped", suffix="mm", most=10.0, from_least=True),
    ),
)
_VALVE = Part(
    title="The valve",
    fields=(
        Field(name="valve_side", label="Its face lies", choices=_VALVE_SIDES),
        Field(name="recession", label="Valve's depth", suffix="mm", most=25.0, from_least=True),
        Field(
            name="pocket",
            label="Piston's pocket",
            suffix="mm",
            most=25.0,
            from_least=True,
            usual=0.0,
            hint="Its depth where the valve comes.",
        ),
        Field(
            name="tilt",
            label="Valve leans",
            suffix="deg",
            most=45.0,
            from_least=True,
            usual=0.0,
            hint="From the cylinder's axis.",
        ),
    ),
)
_OVERLAP = Part(
    title="The overlap",
    hint="How far the valve is open about top dead centre; left empty, it is taken as shut.",
    fields=(
        Field(
            name="lift",
            label="Lift at top dead centre",
            suffix="mm",
            most=25.0,
            from_least=True,
            optional=True,
        ),
        Field(
            name="lifts",
            label="Or its lifts",
            lines=6,
            optional=True,
            hint="A line each: degrees after top dead centre (a minus: before), lift.",
        ),
        Field(
            name="stroke",
            label="Stroke",
            suffix="mm",
            most=500.0,
            optional=True,
            hint="For the lifts.",
        ),
        Field(
            name="rod",
            label="Length of the rod",
            suffix="mm",
            most=1000.0,
            optional=True,
            hint="Eye to eye, for the lifts.",
        ),
    ),
)

PISTON = Sum(
    name="piston",
    title="Piston to valve",
    group="Chamber",
    says="How near valve and head come to the piston, now and after the work.",
    parts=(
        _JOINT,
        _VALVE,
        _OVERLAP,
        Part(
            title="The work",
            fields=(
                _cut("deck_cut", "Off the deck", hint="Brings the valve nearer."),
                _cut("sink", "Valve sinks by", hint="Seat and face, along the stem."),
                Field(
                    name="new_gasket",
                    label="Gasket afterwards",
                    suffix="mm",
                    most=10.0,
                    optional=True,
                    hint="As clamped; else the same.",
                ),
            ),
        ),
        Part(
            title="What is asked",
            fields=(
                Field(
                    name="least_valve",
                    label="Least valve to piston",
                    suffix="mm",
                    most=10.0,
                    optional=True,
                    hint="The maker's figure.",
                ),
                Field(
                    name="least_head",
                    label="Least piston to head",
                    suffix="mm",
                    most=10.0,
                    optional=True,
                ),
            ),
        ),
        Part(
            title="How sure the figures are",
            folded=True,
            fields=(
                uncertainty("u_gasket", "the gasket", hint=ONE_READING),
                uncertainty("u_deck", "the piston"),
                uncertainty("u_recession", "the valve"),
                uncertainty("u_pocket", "the pocket"),
                uncertainty("u_cut", "the cut"),
                uncertainty("u_sink", "the sinking"),
            ),
        ),
    ),
    work=work,
    example={
        "gasket": ("0.0510", "1.3"),
        "stroke": ("4.882", "124"),
        "rod": ("7.874", "200"),
        "side": "proud",
        "deck": ("0.0140", "0.35"),
        "recession": ("0.0390", "1"),
        "pocket": ("0.0160", "0.4"),
        "lifts": (
            "-12 0.0760\n-10 0.0665\n-8 0.0575\n-6 0.0496\n-4 0.0421\n-2 0.0354\n0 0.0291\n"
            "2 0.0236\n4 0.0185\n6 0.0142\n8 0.0102\n10 0.0067\n12 0.0035",
            "-12 1.93\n-10 1.69\n-8 1.46\n-6 1.26\n-4 1.07\n-2 0.90\n0 0.74\n"
            "2 0.60\n4 0.47\n6 0.36\n8 0.26\n10 0.17\n12 0.09",
        ),
        "deck_cut": ("0.0060", "0.15"),
        "least_valve": ("0.0320", "0.8"),
        "least_head": ("0.0280", "0.7"),
        "u_gasket": ("0.0012", "0.03"),
        "u_recession": ("0.0008", "0.02"),
    },
    prefill=prefill,
    practices=PRACTICES,
    cautions=(CAUTION,),
    steps=("plan", "assemble"),
    site=Site.VALVE,
)
