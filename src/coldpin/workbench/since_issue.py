"""What has changed in a case since it was published, told from its files: by whomever, and after any restart.

With an issue the state of the case's files is kept in the cache: names and hashes, which stay on this disk. Where that
was deleted nothing is told, and nothing is guessed.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path

from coldpin.casefile import Case
from coldpin.casefile.storage import LOCK, TEMPORARY, make_folder, write_over
from coldpin.casefile.untrusted import MAXIMUM_TEXT, parse_json, read_regular
from coldpin.errors import CaseError, StorageError
from coldpin.records.instrument import SHELF_FILE
from coldpin.workbench.drafting import NOT_READ

PRIVATE = "private.toml"
"""What no assessment reads and what is published rests on all the same."""

STATE = Path("cache") / "issued.json"
ENTRIES, ISSUED = "entries/", "issued"

HASHED = 1 << 20
"""Ours: files up to so much are told apart by what is in them; larger ones, which are evidence and never rewritten, by
their size. [bytes]"""


def files_of(case: Case) -> Mapping[str, str]:
    """Return what tells the files of a case that a report is made of from those of another state.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    mapping of str to str
        By name; folders with a stroke behind them.
    """
    left_out = {*NOT_READ, ISSUED} - {PRIVATE}
    shelf = case.folder.parent
    found = dict(_below(case.folder, "", left_out))
    found |= dict(_file(shelf / SHELF_FILE, SHELF_FILE))
    return found | dict(_below(shelf / "dialects", "dialects of the shelf/", set()))


def _below(folder: Path, before: str, left_out: set[str]) -> list[tuple[str, str]]:
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError:
        return []
    found: list[tuple[str, str]] = []
    for entry in entries:
        if entry.name in left_out or entry.name == LOCK or entry.name.startswith(TEMPORARY):
            continue
        if entry.is_dir(follow_symlinks=False):
            found += _below(Path(entry.path), f"{before}{entry.name}/", set())
        else:
            found += _file(Path(entry.path), f"{before}{entry.name}")
    return found


def _file(path: Path, name: str) -> list[tuple[str, str]]:
    try:
        size = path.lstat().st_size
        data = read_regular(path, limit=HASHED) if size <= HASHED else b""
    except (CaseError, OSError):
        return []
    return [(name, hashlib.sha256(data).hexdigest() if size <= HASHED else str(size))]


def keep_state(case: Case, number: str, files: Mapping[str, str]) -> None:
    """Keep the state of a case that was published; where the disk refuses, the issue stands all the same.

    Parameters
    ----------
    case : Case
        The case.
    number : str
        Of the issue, as "02".
    files : mapping of str to str
        As :func:`files_of` gave them before anything was read.
    """
    data = json.dumps({"number": number, "files": dict(files)}, ensure_ascii=False, indent=1)
    try:
        make_folder(case.folder / STATE.parent, what="the cache")
        write_over(case.folder / STATE, data.encode(), what="the state that was published", durable=False)
    except (CaseError, StorageError):
        return


def changed_since(case: Case, number: str) -> tuple[str, ...] | None:
    """Say what has changed since an issue was published.

    Parameters
    ----------
    case : Case
        The case.
    number : str
        Of the last issue, as "02".

    Returns
    -------
    tuple of str or None
        In words, empty where nothing has; None where the state that was published is not kept.
    """
    try:
        kept = parse_json(read_regular(case.folder / STATE, limit=MAXIMUM_TEXT), where=STATE.name)
    except CaseError:
        return None
    before = kept.get("files")
    if kept.get("number") != number or not isinstance(before, dict):
        return None
    return _said({*before.items()} ^ {*files_of(case).items()})


def _said(unlike: set[tuple[str, str]]) -> tuple[str, ...]:
    """Say which files are others than before: entries by how many they are, what lies in folders as one."""
    names = sorted({name for name, _ in unlike})
    entries = sum(name.startswith(ENTRIES) for name in names)
    if not entries and any("/" in name for name in names):
        names.append("a file of the case")
    said = ("1 entry was recorded" if entries == 1 else f"{entries} entries were recorded",) if entries else ()
    return (*said, *(f"{name} was changed" for name in names if "/" not in name))
