"""The air at the bench: its own pressure, typed as such or as the height of the shop."""

from django.utils import timezone

from castworthy.calc.errors import InputError
from castworthy.calc.leak.flow import standard_atmosphere_kpa
from castworthy.calc.leak.proof import ATMOSPHERE_KPA
from castworthy.records.models import ProofTest, TestKind
from castworthy.records.proof_words import vacuum_unit, vacuum_words
from castworthy.units import Show, UnitError, read_number, read_value

_FOOT_MM = 304.8
_LEAST_KPA, _MOST_KPA = 40.0, 120.0


def bench_air_kpa(typed: str, *, show: Show) -> float:
    """The air's own pressure [kPa]; that of sea level where nothing is typed.

    Raises
    ------
    UnitError
        If it is neither a pressure nor a height, or no shop has it.

    """
    if not typed.strip():
        return ATMOSPHERE_KPA
    value_kpa = _read(typed, show=show)
    if not _LEAST_KPA <= value_kpa <= _MOST_KPA:
        least, most = (vacuum_words(each, show=show) for each in (_LEAST_KPA, _MOST_KPA))
        raise UnitError(
            f"The air at the bench lies from {least} to {most}, as the bench has it (got "
            f"{typed.strip()})."
        )
    return value_kpa


def last_air_typed() -> str:
    """The air as last typed in the shop: a height for good, a pressure for the day."""
    newest = ProofTest.objects.filter(kind__in=(TestKind.VACUUM, TestKind.PRESSURE)).order_by("-id")
    logged = newest.filter(conditions__has_key="log").first()
    named = newest.filter(conditions__has_key="atmosphere_typed").first()
    last = max((each for each in (logged, named) if each), key=lambda each: each.pk, default=None)
    if last is None:
        return ""
    told = last.conditions.get("log", last.conditions)
    typed = str(told.get("atmosphere_typed", ""))
    height = typed.lower().endswith(("m", "ft")) and not typed.lower().endswith("atm")
    today = timezone.localdate(last.at) == timezone.localdate()
    return typed if height or today else ""


def _read(typed: str, *, show: Show) -> float:
    try:
        return read_value(typed, suffix="kpa", bare_unit=vacuum_unit(show)).value
    except UnitError as fault:
        try:
            return standard_atmosphere_kpa(altitude_mm=_height_mm(typed))
        except (UnitError, InputError):
            raise UnitError(
                "The air at the bench is a pressure or a height, as 98.2 kPa or 1200 m (got "
                f"{typed.strip()})."
            ) from fault


def _height_mm(typed: str) -> float:
    feet = typed.strip().lower().removesuffix("ft")
    if feet != typed.strip().lower():
        return read_number(feet) * _FOOT_MM
    return read_value(typed, suffix="mm").value
