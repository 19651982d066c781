"""The gauges a person may name beside a figure."""

from castworthy.records.lookups.gauges import GaugeFacts


def gauge_choices(gauges: tuple[GaugeFacts, ...]) -> list[tuple[str, str]]:
    """None named, then every gauge by name; one past its calibration says so."""
    named = [(each.name, f"{each.name}, overdue" if each.overdue else each.name) for each in gauges]
    return [("", "none named"), *named]
