"""What a record is computed with: program, its own files, interpreter, libraries."""

from __future__ import annotations

import hashlib
import platform
import re
from functools import cache
from importlib.metadata import PackageNotFoundError, requires, version
from pathlib import Path

import coldpin
from coldpin import __version__
from coldpin.records.bundle import Environment, Library

_NAME = re.compile(r"[A-Za-z0-9._-]+")
_OURS = (".py", ".toml", ".json")
"""Endings of the files of the program that a result may depend on: code, tables, kept records."""


@cache
def environment() -> Environment:
    """Return what this program computes with.

    Returns
    -------
    Environment
        Versions, and a hash of the program's own files; no name of a computer or a person.

    Examples
    --------
    >>> len(environment().source)
    64
    """
    return Environment(
        program_version=__version__,
        source=source_hash(),
        python=platform.python_version(),
        system=platform.system(),
        machine=platform.machine(),
        libraries=tuple(Library(name=name, version=_version(name)) for name in _libraries()),
    )


@cache
def source_hash() -> str:
    """Return the sha256 of the program's own files: two states of one version differ by it.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    root = Path(coldpin.__file__).parent
    digest = hashlib.sha256()
    for path in sorted(path for path in root.rglob("*") if path.suffix in _OURS):
        data = path.read_bytes()
        digest.update(f"{path.relative_to(root).as_posix()}\0{len(data)}\0".encode())
        digest.update(data)
    return digest.hexdigest()


def _libraries() -> list[str]:
    """Return the names of the libraries that the program asks for, optional ones that are there among them."""
    names = {found[0] for line in requires("coldpin") or () if (found := _NAME.match(line))}
    return sorted((name for name in names if _version(name)), key=str.lower)


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return ""
