"""A filed capture, read as it was read when it was filed, and as its entry was corrected since."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

from coldpin.capture import Capture, open_samples, read_waveform, sniff
from coldpin.errors import InputError
from coldpin.records.dialect import Dialect
from coldpin.records.entry import Entry, EvidenceFile
from coldpin.records.keeping import Keeping
from coldpin.records.samples import SampleSource
from coldpin.records.showing import OUTPUT_CHANNEL, OUTPUT_FACTOR, PILOT_CHANNEL, PILOT_FACTOR
from coldpin.workbench.shelving import Bench

T = TypeVar("T")

LONG = 1 << 22
"""Ours: a capture with more samples than this is never held whole where it is only to be looked at. [1]"""

ASIDE = 48 << 20
"""Ours: a file whose samples cannot be fetched from any place is read at once up to this size, a second. [bytes]"""

SEEKABLE = ("wav", "npy", "raw")
"""Formats whose samples lie evenly in the file."""


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
    dialect = bench.case.dialect_for(evidence.sha256)
    return read_waveform(
        path,
        dialect=dialect,
        choices=choices_of(bench, entry),
        remembered=bench.remembered(entry.instrument),
        companion=companion,
        progress=progress,
    )


def open_capture(bench: Bench, entry: Entry) -> SampleSource:
    """Open the capture of an entry as it was read when it was filed, for reading its samples when they are wanted.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    SampleSource
        The capture on disk; it is to be closed, or used in a ``with`` block.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    path, companion, evidence = _files(bench, entry)
    return open_samples(
        path,
        dialect=bench.case.dialect_for(evidence.sha256),
        choices=choices_of(bench, entry),
        remembered=bench.remembered(entry.instrument),
        companion=companion,
    )


def require_readable(bench: Bench, entry: Entry) -> None:
    """Refuse the entry of a capture that could not be read as its conditions say.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture, not yet written.

    Raises
    ------
    InputError
        It cannot be read so; the message says why.
    """
    if choices_of(bench, entry):
        with open_capture(bench, entry):
            pass


def dialect_of(bench: Bench, entry: Entry) -> Dialect:
    """Return how the capture of an entry was read when it was filed, before any correction.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    Dialect
        As kept with the case; looked for in the file where nothing is kept.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    path, _, evidence = _files(bench, entry)
    return bench.case.dialect_for(evidence.sha256) or sniff(path, remembered=bench.remembered(entry.instrument))


def is_seekable(dialect: Dialect) -> bool:
    """Say whether the samples of a capture can be fetched from any place of its file.

    Parameters
    ----------
    dialect : Dialect
        How it is read.

    Returns
    -------
    bool
        False for what has to be read from its beginning.

    Examples
    --------
    >>> is_seekable(Dialect(format="raw int16")), is_seekable(Dialect())
    (True, False)
    """
    return dialect.format.split(" ", maxsplit=1)[0] in SEEKABLE


def choices_of(bench: Bench, entry: Entry) -> dict[str, str | float | int]:
    """Return what the conditions of an entry change in how its capture is read.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    dict
        Choices as for :func:`coldpin.capture.read_waveform`; none where nothing was corrected.

    Raises
    ------
    InputError
        A factor cannot be read, or there is no output to be corrected; the file is gone or cannot be read.
    """
    if not any(name in entry.conditions for name in (PILOT_FACTOR, OUTPUT_FACTOR, PILOT_CHANNEL, OUTPUT_CHANNEL)):
        return {}
    where = f"capture {entry.evidence.file}" if entry.evidence else "the capture"
    return corrected_choices(dialect_of(bench, entry), entry.conditions, where=where)


def corrected_choices(dialect: Dialect, conditions: Mapping[str, str], *, where: str) -> dict[str, str | float | int]:
    """Return how a capture is read by the conditions of its entry, where it was read otherwise when it was filed.

    A channel that takes the place of another keeps its own scale.

    Parameters
    ----------
    dialect : Dialect
        How it was read when it was filed.
    conditions : mapping of str to str
        Those of the entry.
    where : str
        What a message begins with.

    Returns
    -------
    dict
        Choices as for :func:`coldpin.capture.read_waveform`.

    Raises
    ------
    InputError
        A factor cannot be read, or there is no output to be corrected.

    Examples
    --------
    >>> filed = Dialect(voltage="CH1", output="CH2", scale=1.0, output_scale=200.0)
    >>> corrected_choices(filed, {"pilot factor": "10"}, where="capture a.csv")
    {'voltage': 'CH1', 'output': 'CH2', 'scale': 10.0, 'output_scale': 200.0}
    >>> corrected_choices(filed, {"pilot channel": "CH2", "output channel": "CH1"}, where="capture a.csv")
    {'voltage': 'CH2', 'output': 'CH1', 'scale': 200.0, 'output_scale': 1.0}
    """
    own = {dialect.voltage: dialect.scale} | ({dialect.output: dialect.output_scale} if dialect.output else {})
    pilot = conditions.get(PILOT_CHANNEL, "").strip() or dialect.voltage
    output = conditions.get(OUTPUT_CHANNEL, "").strip() or dialect.output
    beside = _factor(conditions, OUTPUT_FACTOR, where)
    if not output and beside != 1.0:
        raise InputError(f"{where}: condition '{OUTPUT_FACTOR}' is given, but the capture has no output: leave it out")
    if output and output == pilot:
        raise InputError(
            f"{where}: {pilot!r} would be pilot and output at once: say '{PILOT_CHANNEL}' and '{OUTPUT_CHANNEL}' both"
        )
    choices: dict[str, str | float | int] = {"voltage": pilot}
    if output:
        choices["output"] = output
    choices["scale"] = own.get(pilot, dialect.scale) * _factor(conditions, PILOT_FACTOR, where)
    if output:
        choices["output_scale"] = own.get(output, dialect.output_scale) * beside
    return choices


def _factor(conditions: Mapping[str, str], name: str, where: str) -> float:
    text = conditions.get(name, "").strip()
    try:
        factor = float(text.replace("−", "-") or 1.0)
    except ValueError:
        factor = math.nan
    if not math.isfinite(factor) or factor == 0.0:
        raise InputError(f"{where}: condition '{name}' = {text!r}: give a number such as '10', '0.1' or '-1', not zero")
    return factor


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


def capture_files(bench: Bench, entry: Entry) -> tuple[Path, ...]:
    """Return the files of a capture: one, or two where it comes in two.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    tuple of Path
        Where they stand in the case.

    Raises
    ------
    InputError
        One is gone.
    """
    path, companion, _ = _files(bench, entry)
    return (path,) if companion is None else (path, companion)


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
