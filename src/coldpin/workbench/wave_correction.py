"""What a capture would show if it were read otherwise: by another factor, from another channel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from coldpin.capture.frames import FrameSource
from coldpin.pilot import read_pilot
from coldpin.records.entry import Entry
from coldpin.records.pilot import PilotReading, Run
from coldpin.records.waveform import Waveform
from coldpin.standards.book import load_book
from coldpin.workbench.capture_reading import ASIDE, dialect_of, is_seekable, open_capture, read_capture
from coldpin.workbench.long_capture import window
from coldpin.workbench.look import accuracy_of
from coldpin.workbench.opening import edition_for
from coldpin.workbench.shelving import Bench, open_bench
from coldpin.workbench.wave_captures import find_capture

PREVIEWED = 1 << 20
"""Ours: what a correction would make of a capture is shown by its first samples, half a second's work. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What a capture would show if it were read otherwise.

    Parameters
    ----------
    reading : PilotReading
        Of as much of it as was read.
    read_s : float
        How much of it that is, from its beginning. [s]
    whole : bool
        True where that is all of it.
    levels : tuple of Run
        The longest run of each state that has a high level.
    """

    reading: PilotReading
    read_s: float
    whole: bool
    levels: tuple[Run, ...]


def preview_correction(folder: Path | str, entry: str, conditions: Mapping[str, str]) -> Preview:
    """Say what a capture would show if its entry were corrected; nothing is written.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed it.
    conditions : mapping of str to str
        What would be different, as for :func:`coldpin.workbench.entries.correct`.

    Returns
    -------
    Preview
        The reading, of a long capture that of its beginning.

    Raises
    ------
    UnknownName
        There is no such capture.
    InputError
        It could not be read so.
    """
    bench = open_bench(folder)
    found = find_capture(bench, entry)
    found = replace(found, conditions={**found.conditions, **conditions})
    description = bench.case.description()
    waveform = _beginning(bench, found)
    reading = read_pilot(
        waveform[0],
        book=load_book().with_own(description.constants),
        edition=edition_for(description),
        accuracy=accuracy_of(
            bench.instruments.get(found.instrument), found.conditions.get("full scale", ""), found.instrument
        ),
    )
    longest: dict[str, Run] = {}
    for run in reading.runs:
        before = longest.get(run.state, run)
        if run.high_v is not None:
            longest[run.state] = max(before, run, key=lambda one: one.end_s - one.start_s)
    return Preview(reading=reading, read_s=waveform[0].duration, whole=waveform[1], levels=tuple(longest.values()))


def _beginning(bench: Bench, entry: Entry) -> tuple[Waveform, bool]:
    """Return the first samples of a capture, and whether these are all."""
    evidence = entry.evidence
    assert evidence is not None, "a capture names its file"
    if not is_seekable(dialect_of(bench, entry)) and evidence.size <= ASIDE:
        waveform = read_capture(bench, entry).waveform
        cut = slice(0, PREVIEWED)
        part = replace(
            waveform,
            voltage=waveform.voltage[cut],
            output=None,
            overload=None if waveform.overload is None else waveform.overload[cut],
        )
        return part, waveform.samples <= PREVIEWED
    with open_capture(bench, entry) as source:
        if isinstance(source, FrameSource):
            part = window(source, 0, PREVIEWED)
            return replace(part, output=None), source.samples <= PREVIEWED
        stored, _ = next(iter(source.chunks(PREVIEWED)))
        part = Waveform(
            voltage=stored * source.gain + source.zero,
            sample_interval=source.sample_interval,
            start=source.start,
            resolution=source.resolution,
        )
        return part, source.samples <= PREVIEWED
