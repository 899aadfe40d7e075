"""A case copied to be handed on: what may be seen, and nothing that was not asked for."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile.camera_marks import camera_marks
from coldpin.casefile.case import Case
from coldpin.casefile.description import CASE_FILE, render_description
from coldpin.casefile.shelf import SHELF_FILE, Shelf, render_shelf
from coldpin.casefile.storage import disk_refusals, make_folder, write_new
from coldpin.casefile.untrusted import names_in, open_regular, printable, read_regular
from coldpin.errors import CaseError
from coldpin.records.entry import Entry, EvidenceFile

CHUNK = 1 << 20
"""How much is copied at a time. [bytes]"""

_LARGEST_PICTURE = 1 << 28
"""Ours: a picture larger than this is not looked into. [bytes]"""

_EVERYTHING = ("entries", "evidence", "boards", "dialects", "issued")


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """A copy of a case on a shelf of its own, and what was left out of it."""

    case: Case
    left_out: tuple[str, ...]


def copy_whole(case: Case, shelf: Shelf | None, target: Path, *, name: str) -> Copied:
    """Copy a case with all that is private, and the shelf's file and dialects.

    Parameters
    ----------
    case : Case
        The case.
    shelf : Shelf or None
        The shelf it stands on.
    target : Path
        An empty folder, which becomes the shelf of the copy.
    name : str
        The folder of the copy.

    Returns
    -------
    Copied
        The copy.

    Raises
    ------
    CaseError
        Something in the case is no plain file.
    StorageError
        The disk refused.
    """
    if shelf is not None:
        _copy_folder(shelf.folder / "dialects", target / "dialects")
        if os.path.lexists(shelf.folder / SHELF_FILE):
            _copy(shelf.folder / SHELF_FILE, target / SHELF_FILE)
    _copy(case.folder / CASE_FILE, target / name / CASE_FILE)
    for part in _EVERYTHING:
        _copy_folder(case.folder / part, target / name / part)
    return Copied(case=Case(target / name), left_out=())


def copy_public(case: Case, shelf: Shelf | None, target: Path, *, name: str, shown: Collection[Entry]) -> Copied:
    """Copy what of a case may be seen by anybody.

    Comments in the files that people write are left out, and so are pictures with what their camera wrote into them.

    Parameters
    ----------
    case : Case
        The case.
    shelf : Shelf or None
        The shelf it stands on.
    target : Path
        An empty folder, which becomes the shelf of the copy.
    name : str
        The folder of the copy.
    shown : collection of Entry
        The entries that may be seen.

    Returns
    -------
    Copied
        The copy.

    Raises
    ------
    CaseError
        ``case.toml`` cannot be read.
    StorageError
        The disk refused.
    """
    if shelf is not None:
        make_folder(target, what="the copy")
        write_new(target / SHELF_FILE, render_shelf(shelf.description()), what=SHELF_FILE)
        _copy_dialects(shelf.folder / "dialects", target / "dialects", {entry.instrument for entry in shown})
    make_folder(target / name, what="the copy")
    write_new(target / name / CASE_FILE, render_description(case.description()), what=CASE_FILE)
    for entry in shown:
        _copy(case.folder / "entries" / f"{entry.id}.json", target / name / "entries" / f"{entry.id}.json")
    files = {(file.media, file.file): file for entry in shown if entry.evidence for file in entry.evidence.files}
    told = [line for file in files.values() if (line := _copy_evidence(case, file, target / name))]
    known = {file.sha256 for file in files.values()}
    _copy_dialects(case.folder / "dialects", target / name / "dialects", known)
    return Copied(case=Case(target / name), left_out=(*_counted(case, shown), *told))


def _counted(case: Case, shown: Collection[Entry]) -> Iterator[str]:
    loaded = case.entries()
    ids = {entry.id for entry in shown}
    hidden = sum(entry.id not in ids for entry in loaded.entries)
    if hidden:
        yield f"{hidden} of {len(loaded.entries)} entries are private, or belong to one that is"
    unread = len(names_in(case.folder / "entries")) - len(loaded.entries)
    if unread > 0:
        yield f"{unread} files under entries cannot be used as entries"


def _copy_evidence(case: Case, file: EvidenceFile, target: Path) -> str:
    """Copy a piece of evidence, and return why not where it is left out."""
    try:
        path = case.evidence_path(file)
    except CaseError as error:
        return f"{file.file}: {printable(str(error).replace(f'{case.folder}{os.sep}', ''))}"
    if file.media == "photograph" and (told := camera_marks(read_regular(path, limit=_LARGEST_PICTURE))):
        return f"{file.file}: the picture holds {told}"
    _copy(path, target / path.parent.name / path.name)
    return ""


def _copy_dialects(source: Path, target: Path, known: Collection[str]) -> None:
    """Copy the dialects of what is known, by the name before the file's ending."""
    for name in names_in(source):
        stem = name.removesuffix(".json").removesuffix(".log.")
        if stem in known:
            _copy(source / name, target / name)


def _copy_folder(source: Path, target: Path) -> None:
    for name in names_in(source):
        path = source / name
        if path.is_dir() and not path.is_symlink():
            _copy_folder(path, target / name)
        else:
            _copy(path, target / name)


def _copy(source: Path, target: Path) -> None:
    """Copy a plain file byte for byte."""
    make_folder(target.parent, what="the copy")
    with (
        open_regular(source) as read,
        disk_refusals(f"a copy of {source.name!r}", target.parent),
        target.open("xb") as written,
    ):
        while piece := os.read(read, CHUNK):
            written.write(piece)
