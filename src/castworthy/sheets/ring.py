"""The sealing ring of a sheet."""

from typing import Any

from castworthy.sheets.inspection import Inspection
from castworthy.sheets.keys import TABLES
from castworthy.sheets.lines import Path

_TOLERANCES = (
    ("tol_wire", "wire"),
    ("tol_depth", "groove_depth"),
    ("tol_width", "groove_width"),
)


def read_ring(
    tables: dict[str, Any],
    *,
    source: str,
    cylinders: list[tuple[Path, dict[str, Any]]],
    inspection: Inspection,
) -> dict[str, Any] | None:
    """The sealing ring, field by field; what is unsound becomes findings."""
    if "ring" not in tables:
        return None
    table = inspection.table(tables["ring"], path=("ring",))
    inspection.unknown(table, path=("ring",), known=TABLES["ring"].by_name)
    fields = inspection.fields(table, keys=TABLES["ring"].keys, path=("ring",))
    for tolerance, size in _TOLERANCES:
        either, whole = fields.get(f"{tolerance}_mm"), fields.get(f"{size}_mm")
        if either is not None and whole is not None and either >= whole:
            inspection.note(("ring", tolerance), f"a tolerance must be smaller than {size} itself.")
    _check_round_bores(fields, cylinders=cylinders, inspection=inspection)
    return {"source": source, **fields}


def _check_round_bores(
    fields: dict[str, Any],
    *,
    cylinders: list[tuple[Path, dict[str, Any]]],
    inspection: Inspection,
) -> None:
    """The groove runs round every bore, and is narrower than it is across."""
    across, width = fields.get("groove_diameter_mm"), fields.get("groove_width_mm")
    if across is None:
        return
    if width is not None and width >= across:
        inspection.note(
            ("ring", "groove_width"), "the groove must be narrower than its own diameter."
        )
    bores = [(row["bore_mm"], row.get("name", "")) for _, row in cylinders if "bore_mm" in row]
    largest, name = max(bores, default=(0.0, ""))
    if across <= largest:
        inspection.note(
            ("ring", "groove_diameter"),
            f"the groove must run outside the bore of cylinder {name}; give the diameter of its "
            "centreline, not the radius.",
        )
