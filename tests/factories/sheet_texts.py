"""Invented spec sheets as text."""

SMALL = """
format = 1
unit = "in"

[head]
code = "F2"
title = "Fen 2, two cylinders, 4 valves"
material = "grey iron"
source = "invented for the tests"
outline = [[0, 0], [12, 0], [12, 7], [0, 7]]

[[cylinder]]
name = "1"
x = 3.5
y = 3.5
bore = 4.0

[[cylinder]]
name = "2"
x = 8.5
y = 3.5
bore = 4.0

[[valve]]
name = "1A"
cylinder = "1"
kind = "intake"
x = 2.6
y = 3.5
head_diameter = 1.5

[[valve]]
name = "1B"
cylinder = "1"
kind = "exhaust"
x = 4.4
y = 3.5
head_diameter = 1.4

[[valve]]
name = "2A"
cylinder = "2"
kind = "intake"
x = 7.6
y = 3.5
head_diameter = 1.5

[[valve]]
name = "2B"
cylinder = "2"
kind = "exhaust"
x = 9.4
y = 3.5
head_diameter = 1.4

[[place]]
name = "T1"
kind = "thickness"
x = 6.0
y = 1.0

[limit.recession]
low = 0.0325
high = 0.0465
aim = 0.039

[limit.deck_thickness]
low = 0.350

[limit.flatness]
high = 0.003

[limit.finish_ra]
low = 15
high = 60
"""
"""Two cylinders, four valves, one thickness place: seven required readings."""


def big_sheet_text(*, cylinders_count: int = 6, heights_count: int = 60) -> str:
    """Four valves a cylinder, a row of thickness places, a grid of height places."""
    length = 5.0 * cylinders_count + 2.0
    parts = [
        f"""
format = 1
unit = "in"

[head]
code = "F66"
title = "Fen 66, {cylinders_count} cylinders, {4 * cylinders_count} valves"
material = "grey iron"
source = "invented for the tests"
outline = [[0, 0], [{length}, 0], [{length}, 9.0], [0, 9.0]]
"""
    ]
    for number in range(1, cylinders_count + 1):
        x = 5.0 * number - 1.5
        parts.append(f'[[cylinder]]\nname = "{number}"\nx = {x}\ny = 4.5\nbore = 4.2\n')
        for letter, kind, dx, dy in (
            ("A", "intake", -0.8, 0.8),
            ("B", "intake", 0.8, 0.8),
            ("C", "exhaust", -0.8, -0.8),
            ("D", "exhaust", 0.8, -0.8),
        ):
            parts.append(
                f'[[valve]]\nname = "{number}{letter}"\ncylinder = "{number}"\nkind = "{kind}"\n'
                f"x = {x + dx:.2f}\ny = {4.5 + dy:.2f}\nhead_diameter = 1.4\n"
            )
        parts.append(f'[[place]]\nname = "T{number}"\nkind = "thickness"\nx = {x}\ny = 1.2\n')
    for number in range(heights_count):
        x = 1.0 + (length - 2.0) * (number // 3) / max(1, (heights_count - 1) // 3)
        parts.append(
            f'[[place]]\nname = "H{number + 1}"\nkind = "height"\nx = {x:.2f}\n'
            f"y = {(0.5, 4.5, 8.5)[number % 3]}\n"
        )
    parts.append(
        """
[limit.recession]
low = 0.0325
high = 0.0465
aim = 0.039
[limit.deck_thickness]
low = 0.350
[limit.flatness]
high = 0.003
[limit.finish_ra]
low = 15
high = 60
[limit.tip_height]
low = 1.90
high = 2.02
[limit.spring_height]
low = 1.50
high = 1.60
[limit.guide_clearance]
low = 0.0015
high = 0.0040
[limit.margin]
low = 0.050
[limit.seat_runout]
high = 0.002
"""
    )
    return "\n".join(parts)
