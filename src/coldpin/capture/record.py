"""What reading a capture gives, and what a reader is asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from coldpin.capture.choices import Choices
from coldpin.records.dialect import Dialect
from coldpin.records.samples import SampleSource
from coldpin.records.waveform import Waveform

Progress = Callable[[float], object]
"""Told how much of the file has been read, from 0 to 1; it may raise ``Interrupted`` to stop the work."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Capture:
    """A capture as it was read.

    ``dialect`` says how it was read and where each part of that came from. ``remarks`` say what the reader had
    to do. ``preamble`` holds the lines above the header as they stand in the file (the first ones of many).
    ``rows_read`` counts the rows of samples met, ``rows_kept`` those that became samples. ``reader`` is the
    name of the reader. ``companion`` is the other file of a capture that comes in two, None where it comes in one.
    """

    waveform: Waveform
    dialect: Dialect
    remarks: tuple[str, ...] = ()
    preamble: tuple[str, ...] = ()
    rows_read: int = 0
    rows_kept: int = 0
    reader: str = ""
    companion: Path | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What a reader is asked: a dialect to follow to the letter, choices by hand, a dialect remembered, progress.

    ``companion`` is the other file of a capture that comes in two; the reader looks beside the file where it is None.
    """

    dialect: Dialect | None = None
    choices: Choices = field(default_factory=Choices)
    remembered: Dialect | None = None
    progress: Progress | None = None
    companion: Path | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """A reader of one open format.

    ``name`` is what a dialect or a message calls it, ``title`` a line for people. ``endings`` are the endings its
    files usually have (lower case, with the dot). ``sniffs`` says from the first bytes whether the content is
    of this format; ``read`` reads it and ``sniff`` says how it would be read. ``source`` names the standard.
    ``open`` gives a stream of samples that stay on disk; without it the capture is read whole and given out in parts.
    """

    name: str
    title: str
    endings: tuple[str, ...]
    sniffs: Callable[[bytes], bool]
    read: Callable[[Path, Request], Capture]
    sniff: Callable[[Path, Request], Dialect]
    source: str
    open: Callable[[Path, Request], SampleSource] | None = None
