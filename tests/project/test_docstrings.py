"""Docstrings tell the truth about signatures: read with griffe in numpydoc form and compared, function by function."""

from __future__ import annotations

import ast
import builtins
import logging
import re
from collections.abc import Iterator
from pathlib import Path

import click
import griffe
import pytest

from coldpin import errors

SOURCE = Path(__file__).resolve().parent.parent.parent / "src"
PACKAGES = sorted(path.name.removesuffix(".py") for path in (SOURCE / "coldpin").iterdir() if path.name[0] != "_")
ORDER = ("Parameters", "Returns", "Yields", "Raises", "Warns", "Notes", "Examples", "Sources")
HEADING = re.compile(r"^(?P<title>\S.*)\n-{3,}$", re.MULTILINE)
KNOWN_ERRORS = {name for space in (errors, builtins) for name in vars(space)} | {
    f"click.{name}" for name in vars(click)
}
COMMANDS = ("command", "group")
"""Decorators that make a function a command: its docstring is the help that a person reads, not one for callers."""

logging.getLogger("griffe").setLevel(logging.ERROR)


def public_members(module: griffe.Object) -> Iterator[griffe.Function | griffe.Class]:
    """Yield the functions, classes and methods that a reader may call, wherever they are defined."""
    for member in module.members.values():
        if member.is_alias or member.name.startswith("_"):
            continue
        if isinstance(member, griffe.Function | griffe.Class):
            yield member
        if isinstance(member, griffe.Module | griffe.Class):
            yield from public_members(member)


def public_modules(package: griffe.Object) -> Iterator[griffe.Module]:
    """Yield a package and the modules below it whose names are public."""
    if isinstance(package, griffe.Module):
        yield package
        for member in package.members.values():
            if not member.is_alias and isinstance(member, griffe.Module) and not member.name.startswith("_"):
                yield from public_modules(member)


def sections(function: griffe.Object) -> dict[griffe.DocstringSectionKind, griffe.DocstringSection]:
    """Return the parsed sections of a docstring by kind."""
    assert function.docstring is not None
    return {section.kind: section for section in function.docstring.parse("numpy", warnings=False)}


def is_property(function: griffe.Function) -> bool:
    """Whether a function is read like an attribute."""
    return bool({"property", "cached", "setter"} & function.labels)


def is_command(function: griffe.Function) -> bool:
    """Whether a decorator makes a command of a function."""
    return any(str(decorator.value).split("(")[0].split(".")[-1] in COMMANDS for decorator in function.decorators)


def parameter_faults(function: griffe.Function) -> Iterator[str]:
    """Compare the documented parameters with the signature: names, order, shapes of arrays, units of floats."""
    wanted = [
        ("*" * _stars(p) + p.name, str(p.annotation)) for p in function.parameters if p.name not in ("self", "cls")
    ]
    section = sections(function).get(griffe.DocstringSectionKind.parameters)
    described = list(section.value) if section else []
    if [p.name for p in described] != [name for name, _ in wanted]:
        yield f"documents parameters {[p.name for p in described]}, its signature has {[name for name, _ in wanted]}"
        return
    for parameter, (name, annotation) in zip(described, wanted, strict=True):
        text = f"{parameter.annotation} {parameter.description}"
        if "NDArray" in annotation and "shape" not in text:
            yield f"parameter {name} is an array and its shape is not said"
        if annotation in ("float", "float | None", "NDArray[np.float64]") and not re.search(r"\[[^\]]+\]|unit", text):
            yield f"parameter {name} is a number and its unit is not said"


def _stars(parameter: griffe.Parameter) -> int:
    return {griffe.ParameterKind.var_positional: 1, griffe.ParameterKind.var_keyword: 2}.get(
        parameter.kind or griffe.ParameterKind.positional_only, 0
    )


def result_faults(function: griffe.Function) -> Iterator[str]:
    """Compare the documented results with the annotation."""
    kinds = sections(function)
    told = griffe.DocstringSectionKind.returns in kinds or griffe.DocstringSectionKind.yields in kinds
    returns = str(function.returns)
    if returns in ("None", "NoReturn", "Never") and griffe.DocstringSectionKind.returns in kinds:
        yield "documents a result and returns none"
    if returns not in ("None", "NoReturn", "Never") and not told and not is_property(function):
        yield f"returns {returns} and has no section Returns or Yields"


def raised_names(body: ast.AST) -> set[str]:
    """Return the classes that a function's own body raises by name, constructors included."""
    names = set()
    for node in ast.walk(body):
        if isinstance(node, ast.Raise) and node.exc is not None:
            target = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            parts = ast.unparse(target).split(".")
            names |= {part for part in parts[:2] if part[0].isupper()}
    return names


def error_faults(function: griffe.Function) -> Iterator[str]:
    """Hold documented errors against what exists, and what the body raises against what is documented."""
    section = sections(function).get(griffe.DocstringSectionKind.raises)
    documented = {str(item.annotation) for item in section.value} if section else set()
    if unknown := documented - KNOWN_ERRORS:
        yield f"documents errors that do not exist: {sorted(unknown)}"
    body = ast.parse(_dedented(function))
    if silent := (raised_names(body) & KNOWN_ERRORS) - documented - {"AssertionError"}:
        yield f"raises {sorted(silent)} and does not say so"


def _dedented(function: griffe.Function) -> str:
    lines = function.lines
    indent = len(lines[0]) - len(lines[0].lstrip())
    return "\n".join(line[indent:] if not line[:indent].strip() else line for line in lines)


def section_faults(documented: griffe.Object) -> Iterator[str]:
    """Hold the section titles against the known ones and their order."""
    assert documented.docstring is not None
    titles = [match["title"] for match in HEADING.finditer(documented.docstring.value)]
    known = [*ORDER, "Attributes"] if isinstance(documented, griffe.Class) else list(ORDER)
    if unknown := [title for title in titles if title not in known]:
        yield f"has sections nobody knows: {unknown}"
    elif titles != sorted(titles, key=known.index):
        yield f"has its sections in another order than {', '.join(known)}: {titles}"


def member_faults(member: griffe.Function | griffe.Class) -> Iterator[str]:
    """Yield everything that is wrong with one docstring."""
    if member.docstring is None:
        yield "has no docstring"
        return
    yield from section_faults(member)
    if isinstance(member, griffe.Function) and not is_command(member):
        yield from parameter_faults(member)
        yield from result_faults(member)
        yield from error_faults(member)


def faults(package: griffe.Module) -> list[str]:
    """Return one line for each fault of each docstring of a package or module."""
    found = [
        f"{module.path}: the module has no docstring" for module in public_modules(package) if not module.docstring
    ]
    for module in public_modules(package):
        for member in (m for m in public_members(module) if m.module is module):
            found += [f"{member.path}: {fault}" for fault in member_faults(member)]
    return found


@pytest.fixture(scope="module")
def coldpin() -> griffe.Module:
    """The package as griffe reads it from its source, without importing it."""
    package = griffe.load("coldpin", search_paths=[SOURCE], docstring_parser="numpy", allow_inspection=False)
    assert isinstance(package, griffe.Module)
    return package


@pytest.mark.parametrize("name", PACKAGES)
def test_docstrings_agree_with_signatures(coldpin: griffe.Module, name: str) -> None:
    """Every public name is documented, and what is documented is so."""
    package = coldpin.members.get(name)
    if not isinstance(package, griffe.Module):
        modules = sorted(str(path.relative_to(SOURCE)) for path in (SOURCE / "coldpin" / name).rglob("*.py"))
        assert modules == [], f"coldpin.{name} holds modules and has no __init__.py"
        return

    assert "\n".join(faults(package)) == ""


WRONG = '''
"""A module."""
import numpy as np
from numpy.typing import NDArray

def undocumented(): pass

def swapped(first: str, second: str) -> str:
    """Return something.

    Parameters
    ----------
    second : str
        The second.
    first : str
        The first.

    Remarks
    -------
    None.
    """
    raise ValueError("no")

def bare(voltage: NDArray[np.float64], current: float) -> None:
    """Do something.

    Parameters
    ----------
    voltage : array
        The voltage. [V]
    current : float
        The current.

    Returns
    -------
    float
        Nothing.

    Raises
    ------
    NoSuchError
        Never.
    """
'''


def test_the_test_sees_each_kind_of_fault(tmp_path: Path) -> None:
    """What this test is for is found in a module made wrong on purpose."""
    (tmp_path / "wrong.py").write_text(WRONG.lstrip(), encoding="utf-8")
    module = griffe.load("wrong", search_paths=[tmp_path], docstring_parser="numpy", allow_inspection=False)
    assert isinstance(module, griffe.Module)

    assert faults(module) == [
        "wrong.undocumented: has no docstring",
        "wrong.swapped: has sections nobody knows: ['Remarks']",
        "wrong.swapped: documents parameters ['second', 'first'], its signature has ['first', 'second']",
        "wrong.swapped: returns str and has no section Returns or Yields",
        "wrong.swapped: raises ['ValueError'] and does not say so",
        "wrong.bare: parameter voltage is an array and its shape is not said",
        "wrong.bare: parameter current is a number and its unit is not said",
        "wrong.bare: documents a result and returns none",
        "wrong.bare: documents errors that do not exist: ['NoSuchError']",
    ]
