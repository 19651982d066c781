"""Options that say nothing without another one: told, not passed over."""

import click
from click.core import ParameterSource

NEEDS: dict[str, dict[str, tuple[str, ...]]] = {
    "seat": {
        "face_cut_mm": ("margin_mm",),
        "least_margin_mm": ("margin_mm",),
        "face_angle_deg": ("face_outer_mm",),
    },
    "guide": {
        "ring_bore_mm": ("ring_mm",),
        "boss_mm": ("ring_mm",),
        "length_mm": ("ring_mm",),
        "service_head_degc": ("ring_mm",),
        "low_mm": ("stems",),
        "high_mm": ("stems",),
    },
    "spring": {
        "seat_aim_n": ("seat_n",),
        "shims_mm": ("seat_n", "height_mm", "springs"),
        "hardened_mm": ("seat_n", "height_mm"),
        "best": ("springs",),
    },
    "ratio": {
        "u_deck_cut_mm": ("deck_cut_mm",),
        "area_mm2": ("deck_cut_mm", "wanted_ratio"),
        "pocket_mm": ("recession_mm",),
        "lift_mm": ("recession_mm",),
        "washers_mm": ("stand_mm",),
        "low_ratio": ("grades",),
        "high_ratio": ("grades",),
        "aim_ratio": ("grades",),
        "low_gap_mm": ("grades",),
        "high_gap_mm": ("grades",),
        "aim_gap_mm": ("grades",),
    },
    "clamp": {
        "factor_ratio": ("torque_n_m",),
        "joint_n_per_mm": ("angle_deg",),
        "snug_n": ("angle_deg",),
        "length_mm": ("angle_deg", "stretch_mm"),
        "shank_mm": ("angle_deg", "stretch_mm"),
    },
}
"""By command: options that rest on one of others, by the names of their parameters."""


def check_needs() -> None:
    """Every option given on the command line has one of those it rests on beside it.

    Raises
    ------
    click.UsageError
        If an option stands alone.

    """
    context = click.get_current_context()
    needs = NEEDS[context.command.name or ""]
    called = {each.name: each.opts[0] for each in context.command.params}
    for name, others in needs.items():
        if not _given(context, name) or any(_given(context, other) for other in others):
            continue
        *rest, last = (called[other] for other in others)
        wanted = f"{', '.join(rest)} or {last}" if rest else last
        raise click.UsageError(f"{called[name]} says nothing without {wanted}.")


def _given(context: click.Context, name: str) -> bool:
    source = context.get_parameter_source(name)
    return source in {ParameterSource.COMMANDLINE, ParameterSource.ENVIRONMENT}
