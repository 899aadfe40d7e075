"""No limit and no constant from outside stands in the code: they stand in the tables, with source and standing.

Every number written in the packages that judge, read, keep or show is looked at. Free are the numbers that only count,
halve, index or shift a decimal point, and those written in hexadecimal or octal (characters, file modes). Any other
must be a named constant of its module, listed here with the reason why it is not a value from outside.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent.parent / "src" / "coldpin"
SCANNED = ("capture", "casefile", "checks", "cli", "conclusion", "pilot", "report", "web", "workbench")
FREE = {0, 0.5, 1, 2, 100} | {10**n for n in range(1, 13)} | {10.0**-n for n in range(1, 13)}
FREE_COUNTS = {3, 4}
"""Free as whole numbers, which count; 3.0 could be a level."""
ROUNDING = ("round", "range")
SOURCED = ("Bearing",)
"""Records whose numbers stand beside a source of their own, which the report prints."""
BENCH_WORK = ("minutes", "repeats")
DRAWN = ("report", "web")

CONSTANTS: dict[str, str] = {}
"""Named constants that hold another number, by ``package/module.py:NAME``, and why it is no value from outside."""


def _parents(tree: ast.Module) -> dict[ast.AST, ast.AST]:
    return {child: parent for parent in ast.walk(tree) for child in ast.iter_child_nodes(parent)}


def _ancestors(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> Iterator[ast.AST]:
    while node in parents:
        node = parents[node]
        yield node


def constant_name(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> str | None:
    """Return the name of the module's constant whose value a number belongs to, or None."""
    above = list(_ancestors(node, parents))
    statement = above[-2] if len(above) > 1 else node
    if isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name):
        return statement.target.id
    if isinstance(statement, ast.Assign) and isinstance(statement.targets[0], ast.Name):
        return statement.targets[0].id
    return None


def only_counts(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a number is a place in a sequence, a number of digits, or a power of two: there it can be no limit."""
    for ancestor in _ancestors(node, parents):
        if isinstance(ancestor, ast.Subscript | ast.FormattedValue):
            return True
        if isinstance(ancestor, ast.BinOp) and isinstance(ancestor.op, ast.LShift):
            return True
        if isinstance(ancestor, ast.Call) and _called(ancestor) in ROUNDING:
            return True
        if isinstance(ancestor, ast.stmt):
            return False
    return False


def carries_its_source(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a number belongs to a record that says where it is from, or how long the work takes."""
    return any(
        (isinstance(ancestor, ast.Call) and _called(ancestor) in SOURCED)
        or (isinstance(ancestor, ast.keyword) and ancestor.arg in BENCH_WORK)
        for ancestor in _ancestors(node, parents)
    )


def lays_out(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a number is handed on as it is: where things are drawn that is a width or a place on paper."""
    for ancestor in _ancestors(node, parents):
        if isinstance(ancestor, ast.Compare | ast.BinOp | ast.arguments):
            return False
        if isinstance(ancestor, ast.Call):
            return True
        if isinstance(ancestor, ast.stmt):
            return False
    return False


def _called(call: ast.Call) -> str:
    return ast.unparse(call.func).split(".")[-1]


def numbers(source: str, *, drawn: bool = False) -> Iterator[tuple[int, float, str | None]]:
    """Yield line, value and constant's name of each number that is not free."""
    tree = ast.parse(source)
    parents = _parents(tree)
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or isinstance(node.value, bool | str | bytes | complex):
            continue
        if not isinstance(node.value, int | float) or node.value in FREE or only_counts(node, parents):
            continue
        if isinstance(node.value, int) and node.value in FREE_COUNTS:
            continue
        if (ast.get_source_segment(source, node) or "")[:2].lower() in ("0x", "0o", "0b"):
            continue
        if carries_its_source(node, parents) or (drawn and lays_out(node, parents)):
            continue
        yield node.lineno, node.value, constant_name(node, parents)


def unexplained(path: Path, source: str) -> list[str]:
    """Return a line for each number of a module that is neither free nor a constant listed here."""
    place = str(path)
    return [
        f"{place}, line {line}: {value:g}" + (f" in {name}, which is not listed" if name else " has no name")
        for line, value, name in numbers(source, drawn=path.parts[0] in DRAWN)
        if f"{place}:{name}" not in CONSTANTS
    ]


@pytest.mark.parametrize("package", SCANNED)
def test_no_number_from_outside_stands_in_the_code(package: str) -> None:
    """Each number of the package is free, or a named constant with a reason why it is not from outside."""
    found = [
        fault
        for path in sorted((SOURCE / package).rglob("*.py"))
        for fault in unexplained(path.relative_to(SOURCE), path.read_text(encoding="utf-8"))
    ]

    assert "\n".join(found) == ""


def test_every_listed_constant_still_exists() -> None:
    """The list holds nothing that the code no longer has."""
    existing = {
        f"{path.relative_to(SOURCE)}:{name}"
        for package in SCANNED
        for path in (SOURCE / package).rglob("*.py")
        for _, _, name in numbers(path.read_text(encoding="utf-8"), drawn=package in DRAWN)
    }

    assert sorted(set(CONSTANTS) - existing) == []


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("def f(v):\n    return v > 10.7", "checks/x.py, line 2: 10.7 has no name"),
        ("def f(v):\n    return v < 3.0", "checks/x.py, line 2: 3 has no name"),
        ("LIMIT = 230.0", "checks/x.py, line 1: 230 in LIMIT, which is not listed"),
        ("class A:\n    share: float = 0.89", "checks/x.py, line 2: 0.89 has no name"),
        ("f = max(v, limit=-11.4)", "checks/x.py, line 1: 11.4 in f, which is not listed"),
    ],
)
def test_a_limit_in_the_code_is_seen(line: str, expected: str) -> None:
    """A level, a voltage, a share, as it would be slipped in, is found."""
    assert unexplained(Path("checks/x.py"), line) == [expected]


@pytest.mark.parametrize(
    "line", ["a = b[7:16]", "a = round(b, 6)", "a = f'{b:12.6f}'", "a = 0.5 * (b + 1e-6)", "a = -1", "a = 0x2126"]
)
def test_counting_and_halving_are_free(line: str) -> None:
    """A place in a sequence, digits to print and a decimal shift are not constants from outside."""
    assert unexplained(Path("checks/x.py"), line) == []
