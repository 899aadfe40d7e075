"""What is drawn of a capture: its envelope, one clean cycle of each state beside its windows, its longest glitches."""

from __future__ import annotations

import numpy as np

from coldpin.errors import InputError
from coldpin.pilot.crossings import Flags, Indices, Numbers
from coldpin.pilot.cycles import CycleTable, decode
from coldpin.pilot.scale import scale_of
from coldpin.pilot.states import STATES, classify_cycles, windows_of
from coldpin.records.assessment import CyclePicture, GlitchPicture, Trace
from coldpin.records.finding import Limit
from coldpin.records.pilot import Glitch, PilotReading, State
from coldpin.records.waveform import Waveform
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition

DRAWN_CYCLES = 64
"""Ours: the clean cycle is chosen among so many from the middle of the longest run of its state."""

MARGIN = 0.05
"""Ours: of the neighbouring cycles this part of a period is drawn as well, so that the edges can be seen. [1]"""

DRAWN_GLITCHES = 4
"""Ours: so many of the longest glitches are drawn."""

AROUND_GLITCH = 0.6e-3
"""Ours: a glitch is drawn with so much time to either side: a whole cycle of the nominal oscillator. [s]"""

NEAR_GLITCH = 3.0
LEAST_NEAR = 12
"""Ours: near by it is drawn with so many times its own width to either side, or so many samples. [1]"""

STRETCHES = 1200
"""Ours: about as many as a printed figure has points side by side."""


def reduce_trace(voltage: Numbers, interval: float, start: float = 0.0, stretches: int = STRETCHES) -> Trace:
    """Return a waveform as the lowest and highest sample of each of many stretches.

    No sample is thinned out: each lies within the envelope at its time. A capture with no more samples than twice the
    stretches keeps every one. Where samples are missing the trace has a gap.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), one value per sample, NaN where missing. [V]
    interval : float
        Time between samples. [s]
    start : float
        Time of the first sample. [s]
    stretches : int
        How many stretches, at least 1. [1]

    Returns
    -------
    Trace
        Times and the envelope.

    Raises
    ------
    InputError
        Fewer than one stretch is asked for.

    Examples
    --------
    >>> trace = reduce_trace(np.array([1.0, 9.0, -12.0, 2.0, 3.0, 4.0]), 1.0, stretches=2)
    >>> trace.time_s, trace.low_v, trace.high_v
    ((1.0, 4.0), (-12.0, 2.0), (9.0, 4.0))
    """
    if stretches < 1:
        raise InputError(f"a trace of {stretches} stretches was asked for; at least 1 is needed")
    if voltage.size <= 2 * stretches:
        present = np.flatnonzero(np.isfinite(voltage))
        shown = tuple(voltage[present].tolist())
        return Trace(time_s=tuple((start + present * interval).tolist()), low_v=shown, high_v=shown, every_sample=True)
    bound = np.linspace(0, voltage.size, stretches + 1).astype(np.int64)
    # fmin and fmax pass over missing samples
    low = np.fmin.reduceat(voltage, bound[:-1])
    high = np.fmax.reduceat(voltage, bound[:-1])
    present = np.flatnonzero(np.isfinite(low))
    middle = start + 0.5 * (bound[:-1] + bound[1:] - 1) * interval
    return Trace(
        time_s=tuple(middle[present].tolist()),
        low_v=tuple(low[present].tolist()),
        high_v=tuple(high[present].tolist()),
        every_sample=False,
    )


def clean_cycles(
    waveform: Waveform, reading: PilotReading, *, book: Book, edition: Edition
) -> tuple[CyclePicture, ...]:
    """Return one cycle for each state in which the oscillator runs, beside the windows of the state.

    The cycle is the one nearest to the medians of period, on-time, levels and spread of the plateaus among those in
    the middle of the longest run of the state. Its time counts from its rising crossing of 0 V. [s]

    Parameters
    ----------
    waveform : Waveform
        The capture.
    reading : PilotReading
        What was read from it.
    book : Book
        The constants.
    edition : Edition
        The edition whose windows are shown.

    Returns
    -------
    tuple of CyclePicture
        In the order A2, B2, C2, D2; states that do not occur are left out.

    Examples
    --------
    >>> from coldpin.pilot.reading import read_pilot
    >>> from coldpin.standards.book import load_book
    >>> waveform = Waveform(voltage=np.tile(np.repeat([-12.0, 9.0], [733, 267]), 20), sample_interval=1e-6)
    >>> reading = read_pilot(waveform, book=load_book(), edition=Edition.IEC_3)
    >>> [picture.state for picture in clean_cycles(waveform, reading, book=load_book(), edition=Edition.IEC_3)]
    ['B2']
    """
    pictures = []
    for state in (State.A2, State.B2, State.C2, State.D2):
        runs = [run for run in reading.runs if run.state is state and run.cycles]
        if not runs:
            continue
        longest = max(runs, key=lambda run: run.end_s - run.start_s)
        trace = _clean_cycle(waveform, longest.start_s, longest.end_s, longest.cycles, state, book, edition)
        if trace is not None:
            pictures.append(_picture(state, trace, book, edition))
    return tuple(pictures)


def glitch_pictures(waveform: Waveform, reading: PilotReading) -> tuple[GlitchPicture, ...]:
    """Return the longest glitches of a capture, each in its cycle and near by.

    Parameters
    ----------
    waveform : Waveform
        The capture.
    reading : PilotReading
        What was read from it.

    Returns
    -------
    tuple of GlitchPicture
        `DRAWN_GLITCHES` at most, longest first.

    Examples
    --------
    >>> from coldpin.pilot.reading import read_pilot
    >>> from coldpin.standards.book import load_book
    >>> voltage = np.tile(np.repeat([-12.0, 9.0], [733, 267]), 20)
    >>> voltage[5900:5908] = 3.0
    >>> waveform = Waveform(voltage=voltage, sample_interval=1e-6)
    >>> (picture,) = glitch_pictures(waveform, read_pilot(waveform, book=load_book(), edition=Edition.IEC_3))
    >>> round(picture.glitch.width_s * 1e6), len(picture.near.time_s)
    (8, 56)
    """
    return tuple(_glitch_picture(waveform, glitch) for glitch in reading.glitches.longest[:DRAWN_GLITCHES])


def _glitch_picture(waveform: Waveform, glitch: Glitch) -> GlitchPicture:
    interval = waveform.sample_interval
    begin, length = round(glitch.start_s / interval), round(glitch.width_s / interval)

    def cut(margin: int) -> Trace:
        first, stop = max(0, begin - margin), min(waveform.samples, begin + length + margin)
        return reduce_trace(waveform.voltage[first:stop], interval, (first - begin) * interval)

    return GlitchPicture(
        glitch=glitch,
        around=cut(max(1, round(AROUND_GLITCH / interval))),
        near=cut(max(LEAST_NEAR, round(NEAR_GLITCH * length))),
    )


def _picture(state: State, trace: Trace, book: Book, edition: Edition) -> CyclePicture:
    windows = windows_of(book, edition)
    letter = state.value[0]
    high, low = windows.high_of(letter), windows.low_of(letter)
    sources = {"high": _named(high.limit), "low": _named(low.limit)}
    same = sources["high"] == sources["low"]
    return CyclePicture(
        state=state.value,
        trace=trace,
        high_window_v=(high.minimum, high.maximum),
        low_window_v=(low.minimum, low.maximum),
        windows_source=sources["high"] if same else f"high: {sources['high']}; low: {sources['low']}",
    )


def _named(limit: Limit) -> str:
    where = ", ".join(filter(None, (limit.asserted_by, limit.source, limit.place)))
    return f"{where} (standing: {limit.standing})"


def _clean_cycle(
    waveform: Waveform, start: float, end: float, cycles: int, state: State, book: Book, edition: Edition
) -> Trace | None:
    """Return the trace of the most usual cycle near the middle of a run."""
    interval = waveform.sample_interval
    half = 0.5 * (end - start) * min(1.0, DRAWN_CYCLES / cycles)
    middle = 0.5 * (start + end)
    first = max(0, round((middle - half) / interval) - 1)
    stop = min(waveform.samples, round((middle + half) / interval) + 2)
    voltage = waveform.voltage[first:stop]
    overload = None if waveform.overload is None else waveform.overload[first:stop]
    scale = scale_of(
        voltage if overload is None else np.where(overload, np.nan, voltage), interval, waveform.resolution
    )
    table = decode(voltage, scale, overload=overload).cycles
    codes = classify_cycles(table.high.levels.level, table.low.levels.level, windows_of(book, edition))
    usable = (codes == STATES.index(state)) & table.clean
    if not usable.any():
        return None
    row = _most_usual(table, usable)
    rise, last = int(table.rise.index[row]), int(table.end.index[row])
    margin = int(np.ceil(MARGIN * (last - rise)))
    begin = max(0, rise + 1 - margin)
    return reduce_trace(
        voltage[begin : last + 1 + margin], interval, (begin - rise - float(table.rise.fraction[row])) * interval
    )


def _most_usual(table: CycleTable, usable: Flags) -> int:
    rows: Indices = np.flatnonzero(usable).astype(np.int64)
    distance = np.zeros(rows.size)
    levels = [getattr(side.levels, name) for side in (table.high, table.low) for name in ("level", "lowest", "highest")]
    for figure in (table.period_samples(), table.on_samples(), *levels):
        values = figure[rows]
        apart = np.abs(values - np.nanmedian(values)) if np.isfinite(values).any() else np.zeros(rows.size)
        typical = float(np.nanmedian(apart))
        distance += np.nan_to_num(apart, nan=np.inf) / typical if typical > 0.0 else apart > 0.0
    return int(rows[distance.argmin()])
