"""A long capture in a case: read in parts, in bounded memory, with the pictures that a short one has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from coldpin.capture.frames import FrameSource
from coldpin.pilot import clean_cycles, glitch_pictures, read_pilot_stream
from coldpin.pilot.picture import AROUND_GLITCH, DRAWN_CYCLES, DRAWN_GLITCHES, LEAST_NEAR, NEAR_GLITCH, STRETCHES
from coldpin.records.assessment import CyclePicture, GlitchPicture, Trace
from coldpin.records.pilot import Glitch, Glitches, PilotReading, Run
from coldpin.records.waveform import Waveform
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.workbench.wave_levels import extremes_of

LONG = 1 << 25
"""Samples, and bytes, from which on a capture is read in parts: half a minute at 1 MS/s; whole, it takes gigabytes."""

CHUNK = 1 << 22
"""Ours: about so many samples are looked at together when the trace is made. [1]"""

OUTPUT_NOT_JUDGED: Final = (
    "the output beside the pilot is not judged: so long a capture is read in parts, and when an output was live shows "
    "only in one that is read whole; cut out the seconds around a switching and file those"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LongReading:
    """What a long capture told, and what is drawn of it."""

    reading: PilotReading
    trace: Trace
    cycles: tuple[CyclePicture, ...]
    glitches: tuple[GlitchPicture, ...]


def left_out(output: str) -> tuple[str, ...]:
    """Return what is not told of a capture that is read in parts.

    Parameters
    ----------
    output : str
        The name of its second channel; empty where it has none.

    Returns
    -------
    tuple of str
        Remarks.

    Examples
    --------
    >>> len(left_out("")), len(left_out("CH2"))
    (1, 2)
    """
    remarks = (
        "read in parts: rise and fall, dips within a plateau, a diode that goes in a standing state are not told",
    )
    if output:
        return (*remarks, OUTPUT_NOT_JUDGED)
    return remarks


def read_long(
    source: FrameSource,
    *,
    book: Book,
    edition: Edition,
    accuracy: ScopeAccuracy | None = None,
    progress: Callable[[float], None] | None = None,
) -> LongReading:
    """Read a long capture of the pilot, and what is drawn of it.

    Parameters
    ----------
    source : FrameSource
        The capture on disk.
    book : Book
        The constants.
    edition : Edition
        The edition whose windows and duty zones are used.
    accuracy : ScopeAccuracy or None
        What is stated of the instrument.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    LongReading
        The reading, the envelope of the whole, a clean cycle of each state, the longest glitches.

    Raises
    ------
    InputError
        The capture cannot be read.
    """
    reading = read_pilot_stream(source, book=book, edition=edition, accuracy=accuracy, progress=progress)
    cycles = [_clean_cycles(source, run, reading, book, edition) for run in _longest(reading)]
    return LongReading(
        reading=reading,
        trace=trace_of(source),
        cycles=tuple(picture for found in cycles for picture in found),
        glitches=tuple(_glitch_picture(source, reading, one) for one in reading.glitches.longest[:DRAWN_GLITCHES]),
    )


def window(source: FrameSource, first: int, stop: int) -> Waveform:
    """Return a part of a capture.

    Parameters
    ----------
    source : FrameSource
        The capture on disk.
    first, stop : int
        Its first sample and one past its last; what lies outside the capture is left out. [1]

    Returns
    -------
    Waveform
        The pilot, and the output where there is one.

    Raises
    ------
    CaptureError
        The file became shorter, or cannot be read.
    """
    first, stop = max(first, 0), min(stop, source.samples)
    volts, beyond = source.volts(first, stop - first)
    return Waveform(
        voltage=volts,
        sample_interval=source.sample_interval,
        start=source.start + first * source.sample_interval,
        output=source.read_output(first, stop - first),
        overload=beyond,
        resolution=source.resolution,
    )


def trace_of(source: FrameSource, stretches: int = STRETCHES) -> Trace:
    """Return a capture as the lowest and highest sample of each of many stretches.

    Parameters
    ----------
    source : FrameSource
        The capture on disk.
    stretches : int
        How many stretches at most. [1]

    Returns
    -------
    Trace
        Times and the envelope; a stretch without a sample is left out.

    Raises
    ------
    CaptureError
        The file became shorter, or cannot be read.
    """
    block = -(-source.samples // stretches)
    chunk = block * max(CHUNK // block, 1)
    found = np.concatenate([extremes_of(stored, block) for stored, _ in source.chunks(chunk)]).astype(np.float64)
    volts = np.sort(found * source.gain + source.zero, axis=1)
    first = np.arange(volts.shape[0]) * block
    last = np.minimum(first + block, source.samples) - 1
    middle = source.start + 0.5 * (first + last) * source.sample_interval
    present = np.flatnonzero(np.isfinite(volts[:, 0]))
    return Trace(
        time_s=tuple(middle[present].tolist()),
        low_v=tuple(volts[present, 0].tolist()),
        high_v=tuple(volts[present, 1].tolist()),
        every_sample=False,
    )


def _longest(reading: PilotReading) -> list[Run]:
    """Return the longest run of each state in which the oscillator runs, in the order of the states."""
    longest: dict[str, Run] = {}
    for run in reading.runs:
        before = longest.get(run.state.value)
        if run.state.oscillating and run.cycles:
            longest[run.state.value] = max(before or run, run, key=lambda one: one.end_s - one.start_s)
    return [longest[state] for state in sorted(longest)]


def _clean_cycles(
    source: FrameSource, run: Run, reading: PilotReading, book: Book, edition: Edition
) -> tuple[CyclePicture, ...]:
    """Return the clean cycle of a run, looked for in the cycles in its middle."""
    share = min(1.0, DRAWN_CYCLES / run.cycles)
    middle, half = 0.5 * (run.start_s + run.end_s), 0.5 * share * (run.end_s - run.start_s)
    part = window(
        source, round((middle - half) / source.sample_interval) - 1, round((middle + half) / source.sample_interval) + 2
    )
    alone = replace(run, start_s=0.0, end_s=part.duration, cycles=min(run.cycles, DRAWN_CYCLES))
    return clean_cycles(part, replace(reading, runs=(alone,)), book=book, edition=edition)


def _glitch_picture(source: FrameSource, reading: PilotReading, glitch: Glitch) -> GlitchPicture:
    interval = source.sample_interval
    begin, length = round(glitch.start_s / interval), round(glitch.width_s / interval)
    margin = max(round(AROUND_GLITCH / interval), LEAST_NEAR, round(NEAR_GLITCH * length)) + 1
    first = max(begin - margin, 0)
    moved = replace(glitch, start_s=(begin - first) * interval)
    part = window(source, first, begin + length + margin)
    (picture,) = glitch_pictures(part, replace(reading, glitches=Glitches(count=1, longest=(moved,))))
    return replace(picture, glitch=glitch)
