"""Sums worked out, as a page hands them to the deed."""

from castworthy.records.kept_sums import (
    KeptAnswer,
    Row,
    Table,
    TypedField,
    WorkedSum,
)


def seat_sunk(*, place: str = "2B", cut: str = "0.010") -> WorkedSum:
    """A seat sunk by ten thou: 30/45/60 degrees make it 5.278 times as much wider."""
    return WorkedSum(
        name="seat",
        title="Seat and contact",
        place=place,
        units="thou",
        typed=(
            TypedField(name="taken", label="Taken", typed="sunk", said="depth"),
            TypedField(name="cut", label="How much", typed=cut, unit="in"),
        ),
        answer=KeptAnswer(
            headline="Sunk 10.0 thou, the seat is 52.8 thou wider.",
            tone="plain",
            rows=(
                Row(label="Wider along the face", value="52.8 thou"),
                Row(label="Top cut, 30°", value="10.0 thou deeper", note="a", inset=True),
            ),
            table=Table(heads=("Cut", "Depth"), rows=(("30°", "10.0 thou"),), chosen=0),
            sentences=("Cut it back from above.",),
            cautions=("Mind the guide.",),
        ),
    )
