"""A filed capture, read as it was read when it was filed."""

from __future__ import annotations

from collections.abc import Callable

from coldpin.capture import Capture, read_waveform
from coldpin.errors import InputError
from coldpin.records.entry import Entry
from coldpin.workbench.shelving import Bench


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
    if entry.evidence is None or not entry.evidence.file:
        raise InputError(f"entry {entry.id} shows a capture but names no file: withdraw it and file the capture again")
    path = bench.case.evidence_path(entry.evidence)
    beside = entry.evidence.companion
    return read_waveform(
        path,
        dialect=bench.case.dialect_for(entry.evidence.sha256),
        remembered=bench.remembered(entry.instrument),
        companion=None if beside is None else bench.case.evidence_path(beside),
        progress=progress,
    )
