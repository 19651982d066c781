"""What imports cannot show: names and docstrings at calc's doors, writes in pages, big modules."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from castworthy.units import SUFFIXES

SOURCE = Path(__file__).parents[2] / "src" / "castworthy"
UNIT_BLIND = {
    "x",
    "value",
    "values",
    "low",
    "high",
    "aim",
    "u",
    "u_bias",
    "likely_value",
    "neighbours",
}
NUMBER = re.compile(r"\b(float|int|NDArray|ArrayLike)\b")
LONGEST_MODULE = 450
LONGEST_FUNCTION = 50


def public_functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node


def door_faults(source: str) -> list[str]:
    """Every way a calc module's public functions break the rules of the door."""
    faults: list[str] = []
    for function in public_functions(ast.parse(source)):
        faults += [f"{function.name}: {fault}" for fault in _faults_of(function)]
    return faults


def _faults_of(function: ast.FunctionDef) -> Iterator[str]:
    positional = [*function.args.posonlyargs, *function.args.args]
    if len(positional) > 1:
        yield "more than one positional argument"
    numbers = [a for a in (*positional, *function.args.kwonlyargs) if _is_number(a)]
    for argument in numbers:
        if argument.arg not in UNIT_BLIND and not _has_suffix(argument.arg):
            yield f"argument {argument.arg} carries no unit suffix"
    text = ast.get_docstring(function) or ""
    if not text:
        yield "no docstring"
    if numbers and "Parameters\n" not in text:
        yield "docstring without Parameters"
    if numbers and "References\n" not in text:
        yield "docstring without References"
    yield from (f"{a.arg} missing from the docstring" for a in numbers if a.arg not in text)
    if _raises(function) and "Raises\n" not in text:
        yield "raises, but the docstring has no Raises"


def _is_number(argument: ast.arg) -> bool:
    return argument.annotation is not None and bool(NUMBER.search(ast.unparse(argument.annotation)))


def _has_suffix(name: str) -> bool:
    return any(name.endswith(f"_{suffix}") for suffix in SUFFIXES)


def _raises(function: ast.FunctionDef) -> bool:
    return any(isinstance(node, ast.Raise) for node in ast.walk(function))


def modules(room: str) -> list[Path]:
    return sorted((SOURCE / room).rglob("*.py"))


DOORS = modules("calc")


@pytest.mark.parametrize("path", DOORS, ids=lambda p: str(p.relative_to(SOURCE)))
def test_doors_of_calc(path: Path) -> None:
    assert door_faults(path.read_text()) == []


def test_door_guard_sees_each_fault() -> None:
    broken = '''
def stock(depth: float, width_mm: float) -> float:
    """Stock."""
    if depth < 0:
        raise ValueError
    return depth
'''

    assert door_faults(broken) == [
        "stock: more than one positional argument",
        "stock: argument depth carries no unit suffix",
        "stock: docstring without Parameters",
        "stock: docstring without References",
        "stock: depth missing from the docstring",
        "stock: width_mm missing from the docstring",
        "stock: raises, but the docstring has no Raises",
    ]


WRITES = re.compile(
    r"\.(save(?!\(out,)|delete|create|bulk_create|update_or_create|get_or_create)\("
)


def page_writes(source: str) -> list[str]:
    return [line.strip() for line in source.splitlines() if WRITES.search(line)]


@pytest.mark.parametrize("path", modules("web"), ids=lambda p: str(p.relative_to(SOURCE)))
def test_pages_write_no_rows(path: Path) -> None:
    assert page_writes(path.read_text()) == []


def test_write_guard_sees_a_write() -> None:
    assert page_writes(
        "head.save()\nrow = Head.objects.create(tag='X')\nshown = form.cleaned()"
    ) == [
        "head.save()",
        "row = Head.objects.create(tag='X')",
    ]


@pytest.mark.parametrize("path", sorted(SOURCE.rglob("*.py")), ids=lambda p: str(p.name))
def test_modules_and_functions_stay_short(path: Path) -> None:
    if "migrations" in path.parts:
        return
    text = path.read_text()
    long = [
        node.name
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef) and _body_lines(node) > LONGEST_FUNCTION
    ]

    assert len(text.splitlines()) <= LONGEST_MODULE
    assert long == []


def _body_lines(function: ast.FunctionDef) -> int:
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


BANNED_NAMES = {"utils", "helpers", "manager", "process", "data", "misc", "common"}


def test_no_catch_all_modules() -> None:
    assert [p for p in SOURCE.rglob("*.py") if p.stem in BANNED_NAMES] == []
