"""A case copied to be handed on, whole."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile.case import Case
from coldpin.casefile.description import CASE_FILE
from coldpin.casefile.shelf import Shelf
from coldpin.casefile.storage import disk_refusals, make_folder
from coldpin.casefile.untrusted import names_in, open_regular
from coldpin.records.entry import Entry
from coldpin.records.instrument import SHELF_FILE

CHUNK = 1 << 20
"""How much is copied at a time. [bytes]"""

_EVERYTHING = ("entries", "evidence", "boards", "dialects", "ticks", "issued")


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """A copy of a case on a shelf of its own, what was left out of it, and what stands changed in it."""

    case: Case
    left_out: tuple[str, ...] = ()
    withheld: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()


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
            copy_file(shelf.folder / SHELF_FILE, target / SHELF_FILE)
    copy_file(case.folder / CASE_FILE, target / name / CASE_FILE)
    for part in _EVERYTHING:
        _copy_folder(case.folder / part, target / name / part)
    return Copied(case=Case(target / name))


def not_shown(case: Case, shown: Collection[Entry]) -> Iterator[str]:
    """Say how many entries a copy of what may be seen leaves out.

    Parameters
    ----------
    case : Case
        The case.
    shown : collection of Entry
        The entries that may be seen.

    Yields
    ------
    str
        One sentence for those that are private, one for files that are no entries.
    """
    loaded = case.entries()
    ids = {entry.id for entry in shown}
    hidden = sum(entry.id not in ids for entry in loaded.entries)
    if hidden:
        yield f"{hidden} of {len(loaded.entries)} entries are private, or belong to one that is"
    unread = len(names_in(case.folder / "entries")) - len(loaded.entries)
    if unread > 0:
        yield f"{unread} files under entries cannot be used as entries"


def _copy_folder(source: Path, target: Path) -> None:
    for name in names_in(source):
        path = source / name
        if path.is_dir() and not path.is_symlink():
            _copy_folder(path, target / name)
        else:
            copy_file(path, target / name)


def copy_file(source: Path, target: Path) -> None:
    """Copy a plain file byte for byte.

    Parameters
    ----------
    source : Path
        The file.
    target : Path
        The copy, in a folder that is made where it is missing.

    Raises
    ------
    CaseError
        It is no plain file.
    StorageError
        The disk refused.
    FileExistsError
        There is such a file already.
    """
    make_folder(target.parent, what="the copy")
    with (
        open_regular(source) as read,
        disk_refusals(f"a copy of {source.name!r}", target.parent),
        target.open("xb") as written,
    ):
        while piece := os.read(read, CHUNK):
            written.write(piece)
