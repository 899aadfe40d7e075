"""The logs of a case, each read as it was read when it was filed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from coldpin.capture import dialect_lines
from coldpin.capture.log import LogCapture, read_log
from coldpin.checks import LogEvidence
from coldpin.errors import InputError
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry
from coldpin.records.heating_words import PARTS
from coldpin.records.keeping import Keeping, made_anew
from coldpin.records.log import Log
from coldpin.records.vocabulary import showing
from coldpin.workbench.capture_reading import kept_of_capture
from coldpin.workbench.same_content import digest_of_log, keep_digest
from coldpin.workbench.same_recording import Recordings
from coldpin.workbench.shelving import Bench

_NAME_COLUMNS = (*PARTS, "air")
"""Conditions of a log that say which of its columns are read."""


def read_filed_log(bench: Bench, entry: Entry, *, progress: Callable[[float], None] | None = None) -> LogCapture:
    """Read the log of an entry as it was read when it was filed.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed log.
    progress : callable, optional
        Told the fraction read; what it raises stops the reading.

    Returns
    -------
    LogCapture
        Log, dialect and remarks.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    if entry.evidence is None or not entry.evidence.file:
        raise InputError(f"entry {entry.id} shows a log but names no file: withdraw it and file the log again")
    return read_log(
        bench.case.evidence_path(entry.evidence),
        dialect=bench.case.dialect_for(entry.evidence.sha256),
        remembered=bench.remembered(entry.instrument, log=True),
        progress=progress,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FiledLog:
    """A log of a case: what the checks are given, and how it was read, name by name."""

    evidence: LogEvidence
    dialect: tuple[tuple[str, str], ...]


def read_logs(
    bench: Bench,
    entries: tuple[Entry, ...],
    problems: list[Problem],
    *,
    keep: Keeping = made_anew,
    progress: Callable[[float], None] | None = None,
) -> tuple[FiledLog, ...]:
    """Read the logs of a case; one that cannot be read costs its own entry and no other.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entries : tuple of Entry
        The entries that count.
    problems : list of Problem
        What could not be used is added to it.
    keep : Keeping
        Gives back what was read before.
    progress : callable, optional
        Told the fraction read of each log in turn; what it raises stops the reading.

    Returns
    -------
    tuple of FiledLog
        The logs, in the order of their entries; one that was filed twice for the same columns stands here once.
    """
    found = []
    met = Recordings()
    for entry in entries:
        if showing(entry.shows).recorded_as != "log":
            continue
        try:
            remembered = bench.remembered(entry.instrument, log=True)
            make = partial(_read, bench, entry, progress, digest=keep is not made_anew)
            log, dialect = kept_of_capture(bench, entry, keep, "log", remembered, make)
            if told := met.again(entry, dialect, _columns_named(entry)):
                problems.append(told)
                continue
            filed = LogEvidence(entry=entry, log=log)
            found.append(FiledLog(evidence=filed, dialect=dialect))
        except InputError as error:
            if all(problem.what != str(error) for problem in problems):
                problems.append(Problem(where=f"entry {entry.id}", what=str(error)))
    return tuple(found)


def _read(
    bench: Bench, entry: Entry, progress: Callable[[float], None] | None, *, digest: bool
) -> tuple[Log, tuple[tuple[str, str], ...]]:
    read = read_filed_log(bench, entry, progress=progress)
    if digest and entry.evidence is not None:
        keep_digest(bench.case, entry.evidence, digest_of_log(read.log))
    return read.log, dialect_lines(read.dialect)


def _columns_named(entry: Entry) -> tuple[tuple[str, str], ...]:
    return tuple((name, entry.conditions[name]) for name in _NAME_COLUMNS if entry.conditions.get(name))
