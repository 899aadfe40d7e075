"""What is drawn beside a wave: its states, what happened in it, the windows of its levels."""

from __future__ import annotations

from itertools import pairwise

from coldpin.pilot.cycles import BLOCK as NOMINAL_CYCLE
from coldpin.quantity import format_quantity
from coldpin.records.pilot import FITS_NONE, MEANINGS, OutputKind, PilotReading, State, SwitchingEvent
from coldpin.records.wave import RibbonPiece, StateBand, Stretch, WaveEvent, WaveMarks, WaveState
from coldpin.report.delays import event_said
from coldpin.report.numbers import counted
from coldpin.report.times import duration
from coldpin.workbench.waves import Wave

MAINS_CYCLE = 20e-3
"""Ours: no mains of any country has a longer cycle. [s]"""

PARTS = 1000
"""A small ribbon is so many parts wide."""

NAMED = 45
"""Ours: a stretch of so many parts has room for the name of its state, also on a phone."""

TOLD = 12
"""Ours: so many states are named in words."""


def meaning_of(state: State) -> str:
    """Return what a state means, in a few words.

    Parameters
    ----------
    state : State
        The state.

    Returns
    -------
    str
        With how the oscillator stands, where that is told.

    Examples
    --------
    >>> meaning_of(State.B2), meaning_of(State.UNDEFINED)
    ('car, not asking; the unit sends pulses', 'no state fits')
    """
    meaning = MEANINGS.get(state.value[0], FITS_NONE)
    return f"{meaning}; the unit sends pulses" if state.oscillating else meaning


def marks_of(wave: Wave, reading: PilotReading | None, bands: tuple[StateBand, ...]) -> WaveMarks:
    """Return what is drawn beside a wave.

    Parameters
    ----------
    wave : Wave
        The wave.
    reading : PilotReading or None
        What was read from it; None where it was not yet.
    bands : tuple of StateBand
        The windows of the levels.

    Returns
    -------
    WaveMarks
        The marks, in order of time.
    """
    return WaveMarks(
        schema="coldpin.wave_marks/1",
        samples=wave.samples,
        sample_interval_s=wave.sample_interval,
        channels=wave.channels,
        prepared=wave.prepared,
        states=() if reading is None else states_of(reading),
        events=() if reading is None else events_of(reading),
        bands=bands,
        beats_s=beats_of(reading),
        sources=tuple(dict.fromkeys(source for band in bands for source in band.sources)),
    )


def beats_of(reading: PilotReading | None) -> tuple[float, ...]:
    """Return how long what repeats in a capture takes to do so.

    Parameters
    ----------
    reading : PilotReading or None
        What was read from it; None where it was not yet.

    Returns
    -------
    tuple of float
        A cycle of the pilot, the longest there is or the nominal one, and one of the mains where the output shows
        it. [s]

    Examples
    --------
    >>> beats_of(None)
    (0.001,)
    """
    runs = () if reading is None else reading.runs
    periods = [1.0 / run.frequency_hz.value for run in runs if run.frequency_hz is not None]
    mains = reading is not None and reading.output is not None and reading.output.kind is OutputKind.MAINS
    return (max(periods, default=NOMINAL_CYCLE), *((MAINS_CYCLE,) if mains else ()))


def states_of(reading: PilotReading) -> tuple[WaveState, ...]:
    """Return the stretches in one state, neighbours of one state joined.

    Parameters
    ----------
    reading : PilotReading
        What was read from a capture.

    Returns
    -------
    tuple of WaveState
        In order of time, without gap.
    """
    states: list[WaveState] = []
    for run in reading.runs:
        begun = run.start_s
        if states and states[-1].state is run.state:
            begun = states.pop().stretch.from_s
        states.append(
            WaveState(state=run.state, stretch=Stretch(from_s=begun, to_s=run.end_s), words=meaning_of(run.state))
        )
    return tuple(states)


def events_of(reading: PilotReading) -> tuple[WaveEvent, ...]:
    """Return what happened in a capture: changes of state, operations of the output, the glitches that are listed.

    Parameters
    ----------
    reading : PilotReading
        What was read from it.

    Returns
    -------
    tuple of WaveEvent
        In order of time.
    """
    events = [
        WaveEvent(kind="state", at_s=after.stretch.from_s, words=f"{before.state.value} to {after.state.value}")
        for before, after in pairwise(states_of(reading))
    ]
    events += [one for switching in reading.switching for one in _operations(switching)]
    events += [
        WaveEvent(
            kind="glitch",
            at_s=glitch.start_s,
            lasts_s=glitch.width_s,
            words=f"glitch in {glitch.state.value} to {_volts(glitch.peak_v)}",
        )
        for glitch in reading.glitches.longest
    ]
    return tuple(sorted(events, key=lambda event: (event.at_s, event.kind)))


def _operations(switching: SwitchingEvent) -> list[WaveEvent]:
    words = event_said(switching.event)
    delays = [format_quantity(delay) for delay in switching.delays_s]
    return [
        WaveEvent(
            kind="switching",
            at_s=at,
            words=f"output {words}" + (f", after {delays[place]}" if place < len(delays) else ""),
        )
        for place, at in enumerate(switching.at_s)
    ]


def _volts(volts: float) -> str:
    return f"{volts:.3g} V".replace("-", "−")


def small_ribbon(reading: PilotReading) -> tuple[RibbonPiece, ...]:
    """Return the states of a capture as a small ribbon; what is narrower than a part is drawn with its neighbour.

    Parameters
    ----------
    reading : PilotReading
        What was read from the capture.

    Returns
    -------
    tuple of RibbonPiece
        In order, without gap.
    """
    states = states_of(reading)
    whole = max((state.stretch.to_s for state in states), default=0.0)
    stretches: list[tuple[State, int, int]] = []
    for state in states:
        left, end = (round(PARTS * time / whole) for time in (state.stretch.from_s, state.stretch.to_s))
        if end == left:
            continue
        if stretches and stretches[-1][0] is state.state:
            left = stretches.pop()[1]
        stretches.append((state.state, left, end))
    return tuple(
        RibbonPiece(
            state=state,
            left_percent=100.0 * left / PARTS,
            width_percent=100.0 * (end - left) / PARTS,
            named=end - left >= NAMED,
        )
        for state, left, end in stretches
    )


def pilot_told(reading: PilotReading) -> tuple[str, tuple[str, ...]]:
    """Return what a capture shows, in few words.

    Parameters
    ----------
    reading : PilotReading
        What was read from it.

    Returns
    -------
    tuple
        Its states, and what else there is to be seen.
    """
    states = states_of(reading)
    named = [state.state.value for state in states[:TOLD]]
    more = len(states) - len(named)
    seen = []
    operations = sum(switching.operations for switching in reading.switching)
    if operations:
        seen.append(counted(operations, "operation of the output", "operations of the output"))
    if reading.glitches.count:
        seen.append(counted(reading.glitches.count, "glitch", "glitches"))
    length = duration(reading.source.duration_s)
    return f"{', '.join(named)}{f' and {more} more' if more > 0 else ''}, over {length}", tuple(seen)
