"""How captures were read: kept beside a case by the sha256 of the capture, on a shelf by the instrument."""

from __future__ import annotations

import os
from pathlib import Path

from coldpin.casefile.storage import disk_refusals, make_folder, write_over
from coldpin.casefile.untrusted import MAXIMUM_TEXT, parse_json, read_regular, require_folder
from coldpin.records.dialect import Dialect
from coldpin.records.plain import from_plain, to_json

_WHAT = "the folder 'dialects'"


def load_dialect(folder: Path, name: str) -> Dialect | None:
    """Return a dialect that was kept.

    Parameters
    ----------
    folder : Path
        The folder ``dialects``; it need not be there.
    name : str
        What it is kept under, checked by the caller.

    Returns
    -------
    Dialect or None
        None where nothing is kept under this name.

    Raises
    ------
    CaseError
        What is kept cannot be read.
    """
    path = folder / f"{name}.json"
    if not os.path.lexists(path):
        return None
    require_folder(folder, what=_WHAT)
    where = f"dialects/{path.name}"
    return from_plain(Dialect, parse_json(read_regular(path, limit=MAXIMUM_TEXT), where=where), where=where)


def keep_dialect(folder: Path, name: str, dialect: Dialect) -> None:
    """Keep a dialect, in the place of an earlier one.

    Parameters
    ----------
    folder : Path
        The folder ``dialects``; made where it is missing.
    name : str
        What it is kept under, checked by the caller.
    dialect : Dialect
        How the capture is read.

    Raises
    ------
    StorageError
        The disk refused; the earlier one is still there.
    """
    make_folder(folder, what=_WHAT)
    write_over(folder / f"{name}.json", to_json(dialect).encode(), what=f"the dialect of {name!r}")


def forget_dialect(folder: Path, name: str) -> bool:
    """Remove a dialect that was kept.

    Parameters
    ----------
    folder : Path
        The folder ``dialects``; it need not be there.
    name : str
        What it is kept under, checked by the caller.

    Returns
    -------
    bool
        False where nothing was kept.

    Raises
    ------
    CaseError
        The folder is a link.
    StorageError
        The disk refused; it is still there.
    """
    if not os.path.lexists(folder):
        return False
    require_folder(folder, what=_WHAT)
    with disk_refusals(f"that the dialect of {name!r} is forgotten", folder):
        try:
            (folder / f"{name}.json").unlink()
        except FileNotFoundError:
            return False
    return True
