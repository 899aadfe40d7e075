"""What captures of the pilot show: each filed one read, whole or in parts, for the checks and for the report."""

from __future__ import annotations

from functools import partial

from coldpin.capture import dialect_lines
from coldpin.capture.frames import FrameSource
from coldpin.checks import PilotCapture
from coldpin.errors import InputError
from coldpin.pilot import clean_cycles, glitch_pictures, read_pilot, reduce_trace
from coldpin.records.assessment import PilotEvidence, Problem
from coldpin.records.entry import Entry
from coldpin.records.keeping import made_anew
from coldpin.records.pilot import PilotReading
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.workbench.capture_reading import (
    choices_of,
    dialect_of,
    is_seekable,
    kept_of_capture,
    open_capture,
    read_capture,
)
from coldpin.workbench.long_capture import LONG, left_out, read_long
from coldpin.workbench.look import accuracy_of, output_sensor
from coldpin.workbench.opening import OpenedCase
from coldpin.workbench.progress import Progress, between
from coldpin.workbench.same_content import digest_of_waveform, keep_digest
from coldpin.workbench.same_recording import Recordings
from coldpin.workbench.shelving import Bench

CAPTURE = "pilot capture"
"""The word of the vocabulary for a capture of the pilot."""

SEEN_AT_COIL = "relay coil"
"""The word of the vocabulary for an output seen at the coil of its relay."""


def read_pilots(
    opened: OpenedCase, problems: list[Problem], progress: Progress = None, *, last_first: bool = False
) -> tuple[tuple[PilotCapture, ...], tuple[PilotEvidence, ...]]:
    """Read every capture of the pilot of a case; what was kept of it before is taken.

    Parameters
    ----------
    opened : OpenedCase
        The case.
    problems : list of Problem
        Gets what could not be read, and what was filed twice.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.
    last_first : bool
        Whether the last that was filed is read first.

    Returns
    -------
    tuple of PilotCapture
        What the checks look at.
    tuple of PilotEvidence
        What the report shows of each.
    """
    wanted = [entry for entry in opened.usable if entry.shows == CAPTURE][:: -1 if last_first else 1]
    captures: list[PilotCapture] = []
    pictures: list[PilotEvidence] = []
    met = Recordings()
    for index, entry in enumerate(wanted):
        if progress:
            progress(index / len(wanted))
        try:
            part = between(progress, index / len(wanted), (index + 1) / len(wanted))
            reading, picture = _kept(opened, entry, part)
        except InputError as error:
            if all(problem.what != str(error) for problem in problems):
                problems.append(Problem(where=f"entry {entry.id}", what=str(error)))
            continue
        if told := met.again(entry, picture.dialect):
            problems.append(told)
            continue
        captures.append(PilotCapture(entry=entry, reading=reading))
        pictures.append(picture)
    return tuple(captures), tuple(pictures)


def _kept(opened: OpenedCase, entry: Entry, progress: Progress) -> tuple[PilotReading, PilotEvidence]:
    bench, edition = opened.bench, opened.edition
    given = (str(edition), opened.description.constants)
    make = partial(_read_one, bench, entry, opened.book, edition, progress, digest=opened.keep is not made_anew)
    return kept_of_capture(bench, entry, opened.keep, "pilot", given, make)


def _read_one(
    bench: Bench, entry: Entry, book: Book, edition: Edition, progress: Progress, *, digest: bool
) -> tuple[PilotReading, PilotEvidence]:
    full_scale = entry.conditions.get("full scale", "")
    accuracy = accuracy_of(bench.instruments.get(entry.instrument), full_scale, entry.instrument)
    evidence = entry.evidence
    assert evidence is not None, "a capture that was read names its file"
    if evidence.size >= LONG and is_seekable(dialect_of(bench, entry)):
        with open_capture(bench, entry) as source:
            if isinstance(source, FrameSource) and source.samples >= LONG:
                return _read_in_parts(source, entry, book, edition, accuracy, progress)
    capture = read_capture(bench, entry)
    waveform = capture.waveform
    if digest and not choices_of(bench, entry):
        keep_digest(bench.case, evidence, digest_of_waveform(waveform))
    kind = "coil" if entry.conditions.get("seen at") == SEEN_AT_COIL else entry.conditions.get("output kind", "")
    sensor = output_sensor(kind, entry.conditions.get("output delay", ""))
    reading = read_pilot(waveform, book=book, edition=edition, accuracy=accuracy, sensor=sensor)
    picture = PilotEvidence(
        entry=entry.id,
        file=evidence.file,
        sha256=evidence.sha256,
        conditions=tuple(sorted(entry.conditions.items())),
        edition=str(edition),
        dialect=dialect_lines(capture.dialect),
        reading=reading,
        trace=reduce_trace(waveform.voltage, waveform.sample_interval, waveform.start),
        cycles=clean_cycles(waveform, reading, book=book, edition=edition),
        glitches=glitch_pictures(waveform, reading),
        remarks=tuple(dict.fromkeys((*capture.remarks, *waveform.remarks))),
    )
    return reading, picture


def _read_in_parts(
    source: FrameSource, entry: Entry, book: Book, edition: Edition, accuracy: ScopeAccuracy | None, progress: Progress
) -> tuple[PilotReading, PilotEvidence]:
    read = read_long(source, book=book, edition=edition, accuracy=accuracy, progress=progress)
    evidence = entry.evidence
    assert evidence is not None, "a capture that was read names its file"
    picture = PilotEvidence(
        entry=entry.id,
        file=evidence.file,
        sha256=evidence.sha256,
        conditions=tuple(sorted(entry.conditions.items())),
        edition=str(edition),
        dialect=dialect_lines(source.dialect),
        reading=read.reading,
        trace=read.trace,
        cycles=read.cycles,
        glitches=read.glitches,
        remarks=tuple(dict.fromkeys((*source.remarks, *left_out(source.dialect.output)))),
    )
    return read.reading, picture
