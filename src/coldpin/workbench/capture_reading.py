"""A filed capture, read as it was read when it was filed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from coldpin.capture import Capture, read_waveform
from coldpin.errors import InputError
from coldpin.records.entry import Entry, EvidenceFile
from coldpin.records.keeping import Keeping
from coldpin.workbench.shelving import Bench

T = TypeVar("T")


def read_capture(bench: Bench, entry: Entry, progress: Callable[[float], None] | None = None) -> Capture:
    """Read the capture of an entry as it was read when it was filed.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.
    progress : callable, optional
        Told the fraction done.

    Returns
    -------
    Capture
        Waveform, dialect and remarks.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    path, companion, evidence = _files(bench, entry)
    return read_waveform(
        path,
        dialect=bench.case.dialect_for(evidence.sha256),
        remembered=bench.remembered(entry.instrument),
        companion=companion,
        progress=progress,
    )


def capture_rests_on(bench: Bench, entry: Entry) -> object:
    """Return all that :func:`read_capture` reads of a case, so that what was made of it is known again.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    object
        Hashes of the files as they are now, and how captures are read; for comparing and for
        :func:`coldpin.records.exact.to_exact`.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    path, companion, evidence = _files(bench, entry)
    # a reader may look beside a file for the other one of a capture that comes in two
    beside = {one for one in path.parent.iterdir() if one.stem.casefold() == path.stem.casefold()}
    files = sorted(beside | {path} | ({companion} if companion else set()))
    return (
        entry,
        tuple((one.name, sha256_of(one)) for one in files),
        bench.case.dialect_for(evidence.sha256),
        bench.remembered(entry.instrument),
        tuple(sorted(bench.instruments.items())),
    )


def kept_of_capture(bench: Bench, entry: Entry, keep: Keeping, what: str, given: object, make: Callable[[], T]) -> T:
    """Return what a capture showed when it was read before, else read it.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.
    keep : Keeping
        Gives back what was made before.
    what : str
        What is made of it.
    given : object
        What else it is made of.
    make : callable
        Reads the capture and makes it.

    Returns
    -------
    object
        What ``make`` returns.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    before = capture_rests_on(bench, entry)
    return keep(what, (before, given), make, unchanged=lambda: capture_rests_on(bench, entry) == before)


def _files(bench: Bench, entry: Entry) -> tuple[Path, Path | None, EvidenceFile]:
    if entry.evidence is None or not entry.evidence.file:
        raise InputError(f"entry {entry.id} shows a capture but names no file: withdraw it and file the capture again")
    other = entry.evidence.companion
    companion = None if other is None else bench.case.evidence_path(other)
    return bench.case.evidence_path(entry.evidence), companion, entry.evidence


def sha256_of(path: Path) -> str:
    """Return the hash of a file as it is now.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        64 hexadecimal digits.

    Raises
    ------
    InputError
        It cannot be read.
    """
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror})") from error
