"""Captures from files: one reader per open format, its content decides which; what was guessed is shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from os import PathLike
from pathlib import Path

from coldpin.capture.choices import CHOICES, Choices, Value, parse_choices
from coldpin.capture.in_memory import given_out
from coldpin.capture.record import Capture, Progress, Reader, Request
from coldpin.capture.registry import READERS, all_readers, find_reader
from coldpin.capture.telling import dialect_lines
from coldpin.records.dialect import Dialect
from coldpin.records.samples import SampleSource

__all__ = [
    "read_waveform",
    "open_samples",
    "sniff",
    "dialect_lines",
    "Capture",
    "Progress",
    "CHOICES",
    "Choices",
    "parse_choices",
    "Reader",
    "Request",
    "READERS",
    "all_readers",
]


def read_waveform(
    path: str | PathLike[str],
    *,
    dialect: Dialect | None = None,
    choices: Mapping[str, Value] | None = None,
    remembered: Dialect | None = None,
    companion: str | PathLike[str] | None = None,
    progress: Progress | None = None,
) -> Capture:
    """Read a capture with equal steps.

    Parameters
    ----------
    path : str or path
        The file.
    dialect : Dialect or None
        How the file is to be read, to the letter (as kept with the evidence).
    choices : mapping of str to str, float or int
        Options by hand, which go before everything else; the keys are ``CHOICES``.
    remembered : Dialect or None
        How the instrument's files were read before: tried first, dropped with a remark where it does not fit.
    companion : str or path or None
        The other file of a capture that comes in two (the samples of a COMTRADE header); looked for beside it if None.
    progress : callable or None
        Told between two batches how much of the file has been read, from 0 to 1; what it raises
        (``Interrupted``) stops the work.

    Returns
    -------
    Capture
        The waveform [V, s], the dialect with the origin of each field, remarks and preamble.

    Raises
    ------
    CaptureError
        The file cannot be read: the message names file, row, column and text, and what to do.
    AmbiguousDialect
        It can be read in several ways: the message lists them with the option to type.
    UnknownName
        A key of ``choices`` is unknown.
    """
    reader, remarks, request = _ask(path, dialect, choices, remembered, progress, companion)
    capture = reader.read(Path(path), request)
    if not remarks:
        return capture
    both = (*remarks, *capture.remarks)
    return replace(capture, remarks=both, waveform=replace(capture.waveform, remarks=both))


def open_samples(
    path: str | PathLike[str],
    *,
    dialect: Dialect | None = None,
    choices: Mapping[str, Value] | None = None,
    remembered: Dialect | None = None,
    companion: str | PathLike[str] | None = None,
) -> SampleSource:
    """Open a capture with equal steps whose samples stay on disk until they are wanted.

    WAV and raw files may be of any length; samples come as they are stored. It refuses what :func:`read_waveform`
    refuses, except for length.

    Parameters
    ----------
    path : str or path
        The file.
    dialect : Dialect or None
        How the file is to be read, to the letter (as kept with the evidence).
    choices : mapping of str to str, float or int
        Options by hand, which go before everything else; the keys are ``CHOICES``.
    remembered : Dialect or None
        How the instrument's files were read before: tried first, dropped with a remark where it does not fit.
    companion : str or path or None
        The other file of a capture that comes in two (the samples of a COMTRADE header); looked for beside it if None.

    Returns
    -------
    SampleSource
        The capture on disk; it is to be closed, or used in a ``with`` block.

    Raises
    ------
    CaptureError
        The file cannot be read: the message names file and place, and what to do.
    AmbiguousDialect
        It can be read in several ways: the message lists them with the option to type.
    UnknownName
        A key of ``choices`` is unknown.
    """
    reader, remarks, request = _ask(path, dialect, choices, remembered, None, companion)
    if reader.open is None:
        return given_out(reader.read(Path(path), request), remarks)
    source = reader.open(Path(path), request)
    source.remarks = (*remarks, *source.remarks)
    return source


def sniff(
    path: str | PathLike[str],
    *,
    choices: Mapping[str, Value] | None = None,
    remembered: Dialect | None = None,
) -> Dialect:
    """Say how a capture would be read, from its first lines.

    Parameters
    ----------
    path : str or path
        The file.
    choices : mapping of str to str, float or int
        Options by hand; the keys are ``CHOICES``.
    remembered : Dialect or None
        How the instrument's files were read before.

    Returns
    -------
    Dialect
        The dialect; ``origin`` says where each field comes from.

    Raises
    ------
    CaptureError
        The file cannot be read.
    AmbiguousDialect
        It can be read in several ways.
    """
    reader, _, request = _ask(path, None, choices, remembered, None, None)
    return reader.sniff(Path(path), request)


def _ask(
    path: str | PathLike[str],
    dialect: Dialect | None,
    choices: Mapping[str, Value] | None,
    remembered: Dialect | None,
    progress: Progress | None,
    companion: str | PathLike[str] | None,
) -> tuple[Reader, tuple[str, ...], Request]:
    parsed = parse_choices(choices or {})
    request = Request(
        dialect=dialect,
        choices=parsed,
        remembered=remembered,
        progress=progress,
        companion=None if companion is None else Path(companion),
    )
    reader, remarks = find_reader(Path(path), request)
    return reader, remarks, request
