"""The limits and the springs of a sheet, for all valves or for intake and exhaust apart."""

from typing import Any

from castworthy.calc.head import Limit, PlaceKind, Rule, Spring, ValveKind
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.sheets.inspection import Inspection
from castworthy.sheets.keys import LIMITED, NEVER_NEGATIVE, TABLES, by_kind
from castworthy.sheets.lines import Path

_KINDS = tuple(kind.value for kind in ValveKind)


def read_limits(
    tables: dict[str, Any], *, source: str, inspection: Inspection
) -> list[tuple[Path, Limit]]:
    """Every limit of the sheet with its path; what is unsound becomes findings."""
    if "limit" not in tables:
        return []
    table = inspection.table(tables["limit"], path=("limit",))
    known = tuple(quantity.value for quantity in LIMITED)
    inspection.unknown(
        {name: raw for name, raw in table.items() if name != Quantity.HEIGHT},
        path=("limit",),
        known=known,
    )
    if Quantity.HEIGHT in table:
        inspection.note(("limit", "height"), "single heights have no limit; limit flatness.")
    limits: list[tuple[Path, Limit]] = []
    for name in known:
        if name in table:
            quantity, path = Quantity(name), ("limit", name)
            raw = inspection.table(table[name], path=path)
            for kind, each, at in _kinds(raw, quantity=quantity, path=path, inspection=inspection):
                limit = _read_limit(
                    each,
                    quantity=quantity,
                    kind=kind,
                    path=at,
                    source=source,
                    inspection=inspection,
                )
                if limit is not None:
                    limits.append((at, limit))
    return limits


def _kinds(
    raw: dict[str, Any], *, quantity: Quantity, path: Path, inspection: Inspection
) -> list[tuple[ValveKind | None, dict[str, Any], Path]]:
    """A limit for all, and those of its own for intake and exhaust."""
    kinds = {kind: raw[kind] for kind in _KINDS if kind in raw}
    rest = {key: value for key, value in raw.items() if key not in kinds}
    if kinds and not by_kind(quantity):
        for kind in kinds:
            inspection.note(
                (*path, kind), f"{quantity} is not read at valves and has one limit for all."
            )
        return []
    found: list[tuple[ValveKind | None, dict[str, Any], Path]] = []
    if rest or not kinds:
        found.append((None, rest, path))
    for kind, each in kinds.items():
        at = (*path, kind)
        found.append((ValveKind(kind), inspection.table(each, path=at), at))
    return found


def _read_limit(
    raw: dict[str, Any],
    *,
    quantity: Quantity,
    kind: ValveKind | None,
    path: Path,
    source: str,
    inspection: Inspection,
) -> Limit | None:
    before = len(inspection.found)
    table = TABLES["limit"]
    known = (*table.by_name, *(_KINDS if by_kind(quantity) and kind is None else ()))
    inspection.unknown(raw, path=path, known=known)
    fields = inspection.fields(raw, keys=table.keys, path=path, suffix=FACTS[quantity].suffix)
    _check_bounds(fields, raw=raw, quantity=quantity, path=path, inspection=inspection)
    if len(inspection.found) > before:
        return None
    rule = Rule(fields.pop("rule", Rule.GUARDED))
    return Limit(
        quantity=quantity,
        valve_kind=kind,
        rule=rule,
        **{"source": source, **fields},
    )


def _check_bounds(
    fields: dict[str, Any],
    *,
    raw: dict[str, Any],
    quantity: Quantity,
    path: Path,
    inspection: Inspection,
) -> None:
    low, high, aim = (fields.get(name) for name in ("low", "high", "aim"))
    if "low" not in raw and "high" not in raw:
        inspection.note(path, "a limit needs low, high or both.")
    if low is not None and high is not None and low > high:
        inspection.note(
            (*path, "low"), f"low must not lie above high (got {raw['low']} and {raw['high']})."
        )
    elif aim is not None and not ((low is None or low <= aim) and (high is None or aim <= high)):
        inspection.note((*path, "aim"), f"the aim must lie within its limits (got {raw['aim']}).")
    for name in ("low", "high"):
        value = fields.get(name)
        if value is not None and value < 0.0 and quantity in NEVER_NEGATIVE:
            inspection.note((*path, name), f"{quantity} is never negative (got {raw[name]}).")
    if quantity is Quantity.LOCAL_FLATNESS and "span" not in raw:
        inspection.note((*path, "span"), "this key is missing: the window, as span = 6.0.")
    if quantity is not Quantity.LOCAL_FLATNESS and "span" in raw:
        inspection.note((*path, "span"), "only local_flatness has a span.")


def check_sites(
    limits: list[tuple[Path, Limit]],
    *,
    places: list[tuple[Path, dict[str, Any]]],
    inspection: Inspection,
) -> None:
    """A finding for every limit that has no place to be measured at."""
    thickness = any(row.get("kind") == PlaceKind.THICKNESS.value for _, row in places)
    for path, limit in limits:
        if limit.quantity is Quantity.DECK_THICKNESS and not thickness:
            inspection.note(path, 'there is no [[place]] with kind = "thickness" to measure it at.')


def read_gaskets(
    tables: dict[str, Any], *, source: str, inspection: Inspection
) -> list[dict[str, Any]]:
    """The gaskets of the sheet, field by field; what is unsound becomes findings."""
    table = TABLES["gasket"]
    rows = inspection.rows(tables["gasket"], path=("gasket",)) if "gasket" in tables else []
    found: list[dict[str, Any]] = []
    for path, row in rows:
        inspection.unknown(row, path=path, known=table.by_name)
        fields = inspection.fields(row, keys=table.keys, path=path)
        low, high = fields.get("ra_low_um"), fields.get("ra_high_um")
        if low is not None and high is not None and low > high:
            inspection.note(
                (*path, "ra_low"),
                f"ra_low must not lie above ra_high (got {row['ra_low']} and {row['ra_high']}).",
            )
        if not {"ra_low", "ra_high", "rz_high", "wt_high"} & set(row):
            inspection.note(path, "a gasket needs ra_high or another finish figure.")
        name = fields.get("name")
        if name is not None and name in {each.get("name") for each in found}:
            inspection.note((*path, "name"), f"there are two gaskets {name!r}; give another name.")
        found.append({"source": source, **fields})
    return found


def read_springs(tables: dict[str, Any], *, inspection: Inspection) -> tuple[Spring, ...]:
    """The springs of the sheet; what is unsound becomes findings."""
    if "spring" not in tables:
        return ()
    raw = inspection.table(tables["spring"], path=("spring",))
    springs: list[Spring] = []
    for kind, each, path in _kinds(
        raw, quantity=Quantity.SPRING_HEIGHT, path=("spring",), inspection=inspection
    ):
        before = len(inspection.found)
        table = TABLES["spring"]
        inspection.unknown(each, path=path, known=(*table.by_name, *(() if kind else _KINDS)))
        fields = inspection.fields(each, keys=table.keys, path=path)
        if len(inspection.found) > before:
            continue
        if fields["solid_mm"] + fields["lift_mm"] >= fields["free_mm"]:
            inspection.note(
                path, "a spring's solid height and lift together must be less than its free height."
            )
            continue
        springs.append(Spring(valve_kind=kind, **fields))
    return tuple(springs)
