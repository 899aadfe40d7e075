"""A folder made to a bag (RFC 8493): its files with their hashes, and the check of such a bag."""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import ModuleType
from typing import Any

from coldpin.casefile.storage import disk_refusals
from coldpin.casefile.untrusted import printable
from coldpin.errors import CaseError
from coldpin.records.assessment import Problem

PAYLOAD = "data"
ALGORITHM = "sha256"
DECLARATION = "bagit.txt"
VERSION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
"""RFC 8493, 2.1.1. The library writes the draft before it (0.97), from which a bag like ours differs in this alone."""

TAG_MANIFEST = f"tagmanifest-{ALGORITHM}.txt"
MANIFEST = f"manifest-{ALGORITHM}.txt"
FETCH = "fetch.txt"
_TOTAL = "Payload-Oxum"
_ESCAPED = ("%", "\r", "\n")


def make_bag(folder: Path, about: Mapping[str, str]) -> None:
    """Make a folder a bag: what is in it goes under ``data``, beside it the manifests.

    Parameters
    ----------
    folder : Path
        The folder.
    about : mapping of str to str
        What ``bag-info.txt`` says.

    Raises
    ------
    CaseError
        A file's name holds a character that manifests of different programs write in different ways.
    StorageError
        The disk refused.
    """
    for path in folder.rglob("*"):
        if any(character in path.name for character in _ESCAPED):
            raise CaseError(f"file name {printable(path.name)!r} cannot stand in a manifest: rename it")
    bagit = _library()
    with disk_refusals("the bag", folder):
        bagit.make_bag(str(folder), dict(about), checksums=[ALGORITHM])
        (folder / DECLARATION).write_text(VERSION, encoding="utf-8", newline="\n")
        lines = [f"{_hash(path)} {path.name}\n" for path in sorted(_tag_files(folder))]
        (folder / TAG_MANIFEST).write_text("".join(lines), encoding="utf-8", newline="\n")


def check_bag(folder: Path) -> tuple[Problem, ...]:
    """Compare every file of a bag with its manifests.

    Parameters
    ----------
    folder : Path
        The bag.

    Returns
    -------
    tuple of Problem
        What is missing, changed, or in no manifest.

    Raises
    ------
    CaseError
        It is no bag that this program reads.
    """
    for name in (DECLARATION, MANIFEST, TAG_MANIFEST):
        if not (folder / name).is_file():
            raise CaseError(f"{folder.name} has no {name}: this is no bundle of a case (coldpin bundle makes one)")
    if (folder / FETCH).exists():
        raise CaseError(f"{folder.name} wants files fetched from elsewhere ({FETCH}): only whole bundles are checked")
    bagit = _library()
    try:
        bag = bagit.Bag(str(folder))
        if found := _validated(bagit, bag):
            return found
        listed = {line.split(None, 1)[1].strip() for line in _lines(folder / TAG_MANIFEST)}
    except (bagit.BagError, ValueError, OSError, LookupError) as error:
        return (Problem(where=folder.name, what=f"the bag cannot be read ({error}): fetch the bundle again"),)
    told = "is in no manifest: it was added since the bundle was made"
    return tuple(Problem(where=path.name, what=told) for path in _tag_files(folder) if path.name not in listed)


def _validated(bagit: ModuleType, bag: Any) -> tuple[Problem, ...]:
    """Return what the library finds, file by file."""
    try:
        bag.validate()
    except bagit.BagValidationError as error:
        if error.details:
            return tuple(map(_told, error.details))
        if bag.info.pop(_TOTAL, None) is not None and (found := _validated(bagit, bag)):
            return found  # the total of the bytes is off, and here is why
        return (Problem(where=bag.tag_file_name, what=str(error)),)
    return ()


def _told(detail: Exception) -> Problem:
    """Say what the library found of one file."""
    path = printable(str(getattr(detail, "path", "a file")))
    match type(detail).__name__:
        case "ChecksumMismatch":
            found = getattr(detail, "found", None)
            what = "was changed since the bundle was made" if found else "is missing"
        case "FileMissing":
            what = "is missing"
        case "UnexpectedFile":
            what = "is in no manifest: it was added since the bundle was made"
        case _:
            what = str(detail)
    return Problem(where=path, what=what)


def _tag_files(folder: Path) -> Iterator[Path]:
    """Give what stands beside the payload, except the manifest of these files themselves."""
    return (path for path in sorted(folder.iterdir()) if path.name not in (PAYLOAD, TAG_MANIFEST))


def _lines(path: Path) -> Iterator[str]:
    return (line for line in path.read_text(encoding="utf-8").splitlines() if len(line.split(None, 1)) > 1)


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _library() -> ModuleType:
    import bagit  # type: ignore[import-untyped]  # the library has no types

    logging.getLogger(bagit.LOGGER.name).disabled = True  # what it finds is told as problems
    return bagit  # type: ignore[no-any-return]  # the library has no types
