"""Tables of the reference pages, made from the code they describe."""

import re
from collections.abc import Callable, Iterable

import click

from castworthy.calc.quantity import FACTS, Quantity
from castworthy.cli.main import COMMANDS, main
from castworthy.sheets.keys import LIMITED, TABLES, Key, Kind
from castworthy.sheets.readings import COLUMNS
from castworthy.units import SUFFIXES, UNITS, Unit

_BLOCK = re.compile(r"(<!-- begin ([a-z-]+) -->\n).*?(<!-- end \2 -->)", re.DOTALL)

_TAKES = {
    Kind.TEXT: "text",
    Kind.NAME: "name",
    Kind.CODE: "code",
    Kind.FLAG: "`true` or `false`",
    Kind.LENGTH: "length",
    Kind.AREA: "area",
    Kind.ANGLE: "degrees",
    Kind.RATE: "spring rate with its unit",
    Kind.SECONDS: "time with its unit",
    Kind.NUMBER: "number",
    Kind.COUNT: "whole number",
    Kind.LENGTHS: "list of lengths",
    Kind.LIMIT: "value of the quantity",
    Kind.FINISH: "surface finish",
    Kind.VOLUME: "volume with its unit",
}
_SITES = {
    "valve": "each valve",
    "cylinder": "each cylinder",
    "thickness": "each thickness place",
    "height": "each height place",
    "head": "the head",
}


def filled(text: str) -> str:
    """A page with every marked block made anew.

    Raises
    ------
    KeyError
        If the page marks a block that nothing makes.

    """
    return _BLOCK.sub(lambda found: f"{found[1]}{BLOCKS[found[2]]()}{found[3]}", text)


def _rows(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    names = list(head)
    lines = [names, ["---"] * len(names), *(list(row) for row in rows)]
    return "".join(f"| {' | '.join(cells)} |\n" for cells in lines)


def _suffixes() -> str:
    rows = ((f"`_{suffix}`", says, _units_of(suffix)) for suffix, says in SUFFIXES.items())
    return _rows(("suffix", "for", "read as"), rows)


def _units_of(suffix: str) -> str:
    units = [unit for unit in UNITS if unit.suffix == suffix]
    return ", ".join(_named(unit) for unit in units) or "a bare number"


def _named(unit: Unit) -> str:
    others = [name for name in unit.names if name.isprintable() and len(name) <= 4]
    return f"`{unit.symbol}`" + (f" ({' '.join(f'`{o}`' for o in others)})" if others else "")


def _quantities() -> str:
    rows = (
        (
            f"`{quantity.value}`",
            facts.title,
            _SITES[facts.site.value],
            f"`_{facts.suffix}`",
            _about(quantity),
        )
        for quantity, facts in FACTS.items()
    )
    return _rows(("quantity", "is", "read at", "held in", ""), rows)


def _about(quantity: Quantity) -> str:
    facts = FACTS[quantity]
    said = []
    if facts.sided:
        said.append("needs a side")
    if facts.tested:
        said.append("proved at the end, not measured at the bench")
    if quantity not in LIMITED:
        said.append("has no limit of its own")
    return ", ".join(said)


def _table(name: str) -> Callable[[], str]:
    def made() -> str:
        rows = ((f"`{key.name}`", _takes(key), _needed(key), key.says) for key in TABLES[name].keys)
        return _rows(("key", "takes", "", ""), rows)

    return made


def _takes(key: Key) -> str:
    if key.kind is Kind.CHOICE:
        return " \\| ".join(f"`{choice}`" for choice in key.choices)
    bounds = []
    if key.least is not None:
        bounds.append(f"{'above' if key.open_least else 'from'} {key.least:g}")
    if key.most is not None:
        bounds.append(f"to {key.most:g}")
    return ", ".join([_TAKES[key.kind], " ".join(bounds)] if bounds else [_TAKES[key.kind]])


def _needed(key: Key) -> str:
    return "needed" if key.required else ""


def _columns() -> str:
    return f"```csv\n{','.join(COLUMNS)}\n```\n"


def _commands() -> str:
    return "\n".join(_command(name) for name in COMMANDS)


def _command(name: str) -> str:
    context = click.Context(main, info_name="castworthy", **main.context_settings)
    command = main.get_command(context, name)
    if command is None:
        raise KeyError(name)
    own = click.Context(command, info_name=name, parent=context)
    usage = " ".join(["castworthy", name, *command.collect_usage_pieces(own)])
    text = "\n".join(line.strip() for line in (command.help or "").splitlines())
    options = [
        record
        for parameter in command.get_params(own)
        if (record := parameter.get_help_record(own)) is not None
    ]
    rows = _rows(("option", "does"), ((f"`{_bar(o)}`", _bar(says)) for o, says in options))
    return f"### {name}\n\n```\n{usage}\n```\n\n{text}\n\n{rows}"


def _bar(text: str) -> str:
    return text.replace("|", "\\|")


BLOCKS: dict[str, Callable[[], str]] = {
    "suffixes": _suffixes,
    "quantities": _quantities,
    "columns": _columns,
    "commands": _commands,
    **{f"table-{name}": _table(name) for name in TABLES},
}
"""Every block a page may mark with ``<!-- begin name -->`` and ``<!-- end name -->``."""
