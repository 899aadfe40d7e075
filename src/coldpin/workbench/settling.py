"""What filing that was stopped, or whose server was killed, leaves in a case: put right, so that nothing is left half.

A file is filed in three steps: its bytes are copied, its entry is written, it is taken from among those that wait.
Ended before the second it waits still and the copy goes; ended after it, the entry stands and it waits no longer.
"""

from __future__ import annotations

import contextlib
import hashlib
from pathlib import Path

from coldpin.casefile import Case, open_case
from coldpin.casefile.arrivals import FILING, Arrival, arrivals, clear_unfinished
from coldpin.casefile.description import CASE_FILE
from coldpin.casefile.dialects import forget_dialect
from coldpin.casefile.entries import Loaded, instant_of
from coldpin.casefile.leftovers import clear_ended
from coldpin.casefile.storage import disk_refusals
from coldpin.casefile.untrusted import names_in, open_regular
from coldpin.errors import ColdpinError

EVIDENCE, DIALECTS = "evidence", "dialects"

WRITTEN = (EVIDENCE, DIALECTS, "entries", "boards", "report", "cache")
"""Folders of a case that filing and packing write into."""

MILLISECOND = 0.001
"""To so much the instant of an entry is written. [s]"""


def settle(folder: Path | str) -> None:
    """Put right what filing left half-way that nobody works at any more; what is being filed is left alone.

    Parameters
    ----------
    folder : Path or str
        The case.

    Raises
    ------
    CaseError
        The folder is not a case, or a link stands in it.
    StorageError
        The disk refused.
    """
    case = open_case(folder)
    clear_unfinished(case.folder)
    for arrival in arrivals(case.folder):
        since = arrival.left(FILING)
        if since is not None:
            _settle(case, arrival, since)
    for name in WRITTEN:
        clear_ended(case.folder / name)


def settle_shelf(folder: Path | str) -> None:
    """Put right what a server that was killed left half-way in the cases of a shelf.

    Parameters
    ----------
    folder : Path or str
        The shelf; a case that cannot be opened or put right is left as it is.
    """
    clear_unfinished(Path(folder))
    for place in sorted(path for path in Path(folder).iterdir() if (path / CASE_FILE).is_file()):
        with contextlib.suppress(ColdpinError, OSError):
            settle(place)


def _settle(case: Case, arrival: Arrival, since: float) -> None:
    loaded = case.entries()
    filed = [
        file
        for entry in loaded.entries
        if entry.evidence is not None and instant_of(entry.recorded) >= since - MILLISECOND
        for file in entry.evidence.files
    ]
    for name in arrival.names():
        path = arrival.file(name)
        size = path.stat().st_size
        unnamed = _unnamed(case, loaded, size)
        alike = [file for file in filed if file.original_name == name and file.size == size]
        if not (unnamed or alike):
            continue
        sha256 = _sha256(path)
        if any(file.sha256 == sha256 for file in alike):
            arrival.drop(name)
        else:
            _remove_copies(case, unnamed, sha256)
    arrival.settled()


def _unnamed(case: Case, loaded: Loaded, size: int) -> list[Path]:
    """Return the evidence of a size that no entry names; none where an entry that cannot be read may name it."""
    if loaded.problems:
        return []
    every = (*loaded.entries, *loaded.set_aside)
    named = {file.file for entry in every if entry.evidence is not None for file in entry.evidence.files}
    found = [case.folder / EVIDENCE / name for name in names_in(case.folder / EVIDENCE) if name not in named]
    return [path for path in found if path.lstat().st_size == size]


def _remove_copies(case: Case, unnamed: list[Path], sha256: str) -> None:
    """Remove copies of what waits still, and how they were read."""
    for path in unnamed:
        if _sha256(path) == sha256:
            with disk_refusals("that a copy no entry names is removed", path.parent):
                path.unlink()
            forget_dialect(case.folder / DIALECTS, sha256)


def _sha256(path: Path) -> str:
    with open_regular(path) as descriptor, open(descriptor, "rb", closefd=False) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
