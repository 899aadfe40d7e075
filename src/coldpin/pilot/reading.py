"""One capture of the pilot, read: runs of states with their figures."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from coldpin.errors import InputError
from coldpin.pilot.changes import find_changes, split_by_diode
from coldpin.pilot.coupling import with_coupling
from coldpin.pilot.crossings import Indices, Numbers
from coldpin.pilot.cycles import Decoded, Plateaus, decode
from coldpin.pilot.delay import Chain
from coldpin.pilot.diode import compare_loads, read_diode
from coldpin.pilot.duty_cycle import offered_current
from coldpin.pilot.edges import Edges, ReadSamples, edges_of
from coldpin.pilot.figures import Source, stated_step, without_steps
from coldpin.pilot.flicker import without_flicker
from coldpin.pilot.glitches import across_zero, extra_halves, joined, list_glitches, without_parts_of
from coldpin.pilot.levels import level_of, without_clipped
from coldpin.pilot.offer_steps import split_by_offer
from coldpin.pilot.output import OutputSensor, read_output
from coldpin.pilot.plateaus import Levels
from coldpin.pilot.scale import scale_of
from coldpin.pilot.states import Pieces, StateRun, Windows, classify, find_runs, other_time, pieces_of, windows_of
from coldpin.pilot.switching import find_switching, without_passages
from coldpin.pilot.timing import Timing, timing_of
from coldpin.quantity.model import Quantity
from coldpin.records import pilot as records
from coldpin.records.pilot import OutputReading, PilotReading, Run, State, SwitchingEvent
from coldpin.records.waveform import Waveform
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.pilot import DutyZone, Generator, duty_zones, generator
from coldpin.standards.timing import SwitchingLimits, switching_limits

__all__ = ["OutputSensor", "ScopeAccuracy", "read_pilot"]

EXACT_RUNS = 20
"""Ours: a capture with more runs gets its intervals by the plain sum, wider where a rectangular share rules."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rules:
    """What the edition says."""

    windows: Windows
    zones: tuple[DutyZone, ...]
    generator: Generator
    switching: SwitchingLimits


def read_pilot(
    waveform: Waveform,
    *,
    book: Book,
    edition: Edition,
    accuracy: ScopeAccuracy | None = None,
    sensor: OutputSensor | None = None,
    progress: Callable[[float], None] | None = None,
    exact: bool = True,
) -> PilotReading:
    """Read a capture of the pilot: which states it went through, and their levels, frequency, duty cycle, offer, diode.

    Without a statement of the instrument's accuracy the uncertainties hold scatter, sampling and resolution only, and
    each figure's ``why`` says so. The duty cycle is that at the place of measurement: what capacitance takes from it is
    not put back. Steps of the instrument average out where noise carries the samples over three of them or more.

    Parameters
    ----------
    waveform : Waveform
        The capture.
    book : Book
        The constants.
    edition : Edition
        The edition whose windows and duty zones are used.
    accuracy : ScopeAccuracy or None
        What is stated of the instrument.
    sensor : OutputSensor or None
        What is stated of the second channel; its kind is recognised where nobody stated it.
    progress : callable or None
        Is told the part done, 0 to 1; it may raise to cancel.

    exact : bool
        Whether intervals in which a rectangular share rules come from draws, at some milliseconds a figure.

    Returns
    -------
    PilotReading
        The runs in order of time, without gap.

    Raises
    ------
    InputError
        The capture has no samples, or its interval is not a positive time.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> square = np.tile(np.repeat([-12.0, 9.0], [733, 267]), 20)
    >>> reading = read_pilot(
    ...     Waveform(voltage=square, sample_interval=1e-6), book=load_book(), edition=Edition.IEC_3
    ... )
    >>> run = reading.runs[0]
    >>> run.state.value, run.cycles, run.diode.value, round(run.offered_current_a.current.value, 1)
    ('B2', 19, 'present', 16.0)
    """
    tell = progress or (lambda _: None)
    voltage = _checked(waveform)
    tell(0.0)
    resolution = waveform.resolution if waveform.resolution is not None else stated_step(accuracy)
    # clipped samples are all alike and would hide the noise
    shown = voltage if waveform.overload is None else np.where(waveform.overload, np.nan, voltage)
    scale = scale_of(shown, waveform.sample_interval, resolution)
    tell(0.1)
    decoded = decode(voltage, scale, overload=waveform.overload)
    tell(0.6)
    rules = _Rules(
        windows=windows_of(book, edition),
        zones=tuple(duty_zones(book, edition)),
        generator=generator(book, edition),
        switching=switching_limits(book, edition),
    )
    pieces = classify(decoded, rules.windows)
    runs_found = without_flicker(find_runs(pieces, waveform.sample_interval), pieces, decoded)
    by_diode = split_by_diode(runs_found, pieces, decoded, rules.generator)
    found = split_by_offer(by_diode, pieces, decoded)
    # names what only this capture shares, so that two captures are never taken for the same reading
    mark = hashlib.blake2b(voltage.tobytes(), digest_size=6).hexdigest()
    runs, excursions = [], [decoded.excursions]
    excursions.append(without_parts_of(across_zero(voltage, decoded.glitches), decoded.excursions))
    for place, run in enumerate(found):
        source = Source(
            scale=scale,
            accuracy=None if accuracy is None else without_steps(accuracy),
            name=f"capture {mark}, run {place + 1}",
            exact=exact and len(found) <= EXACT_RUNS,
        )
        runs.append(_read_run(run, pieces, decoded, rules, source, lambda first, stop: shown[first:stop]))
        excursions.append(extra_halves(decoded.cycles, _rows(pieces.cycle[run.first_piece : run.stop_piece])))
        tell(0.7 + 0.2 * (place + 1) / len(found))
    told = compare_loads(runs)
    chain = Chain(sensor=sensor or OutputSensor(), accuracy=accuracy, name=f"capture {mark}", exact=exact)
    output, switching = _beside(waveform, found, told, pieces, decoded, rules, chain)
    tell(1.0)
    return PilotReading(
        schema="coldpin.pilot/1",
        source=records.Source(
            samples=waveform.samples, sample_interval_s=waveform.sample_interval, duration_s=waveform.duration
        ),
        runs=told,
        glitches=list_glitches(joined(excursions), told, waveform.sample_interval),
        switching=switching,
        output=output,
    )


def _beside(
    waveform: Waveform,
    found: tuple[StateRun, ...],
    runs: tuple[Run, ...],
    pieces: Pieces,
    decoded: Decoded,
    rules: _Rules,
    chain: Chain,
) -> tuple[OutputReading | None, tuple[SwitchingEvent, ...]]:
    """Return what the second channel shows, and what it did when the pilot changed."""
    if waveform.output is None:
        return None, ()
    interval = waveform.sample_interval
    seen = np.asarray(waveform.output[: waveform.samples], dtype=np.float64)
    output = read_output(seen, interval, kind=chain.sensor.kind, touch=rules.switching.touch)
    if output is None:
        return None, ()
    changes = find_changes(found, [run.diode for run in runs], pieces, decoded)
    output = with_coupling(output, without_passages(changes), touch=rules.switching.touch)
    switching = find_switching(
        changes,
        output,
        duration=seen.size * interval,
        limits=rules.switching,
        chain=replace(chain, kind=output.kind, exact=chain.exact and len(changes) <= EXACT_RUNS),
    )
    return output, switching


def _checked(waveform: Waveform) -> Numbers:
    if waveform.samples == 0:
        raise InputError(
            "the capture has no samples; a pilot needs at least one: check the file and the columns chosen"
        )
    if not 0.0 < waveform.sample_interval < np.inf:
        raise InputError(
            f"the capture's sample interval is {waveform.sample_interval:g} s; it must be a positive time: give it "
            "with --step or --rate"
        )
    return np.ascontiguousarray(waveform.voltage, dtype=np.float64)


def _read_run(run: StateRun, pieces: Pieces, decoded: Decoded, rules: _Rules, source: Source, read: ReadSamples) -> Run:
    own = pieces_of(run, pieces)
    length = pieces.stop[own] - pieces.first[own]
    cycle_rows, block_rows = pieces.cycle[own], pieces.block[own]
    high: Quantity | None = None
    low: Quantity | None = None
    timing, edges = Timing(), Edges()
    if length.sum() < other_time(run, pieces):
        # states that change faster than a run lasts: a mean over them is the level of none
        pass
    elif length[cycle_rows >= 0].sum() > length[block_rows >= 0].sum():
        high, low, timing = _oscillating(decoded, _rows(cycle_rows), source)
        if timing.frequency is not None:
            edges = edges_of(read, decoded.cycles, _rows(cycle_rows), source)
    else:
        high, low = _steady(run.state, decoded.steady.levels.take(_rows(block_rows)), source)
    offers = timing.duty is not None and run.state.oscillating
    interval = source.scale.interval
    return Run(
        state=run.state,
        start_s=run.first * interval,
        end_s=run.stop * interval,
        cycles=int((pieces.cycle[run.first_piece : run.stop_piece] >= 0).sum()),
        high_v=high,
        low_v=low,
        frequency_hz=timing.frequency,
        duty_percent=timing.duty,
        offered_current_a=offered_current(timing.duty, rules.zones) if offers and timing.duty is not None else None,
        diode=read_diode(run.state, high, low, windows=rules.windows, generator=rules.generator),
        rise_s=edges.rise,
        fall_s=edges.fall,
        edges_below_s=edges.below,
    )


def _rows(rows: Indices) -> Indices:
    return rows[rows >= 0]


def _oscillating(decoded: Decoded, rows: Indices, source: Source) -> tuple[Quantity | None, Quantity | None, Timing]:
    cycles = decoded.cycles
    high_levels, low_levels = cycles.high.levels.take(rows), cycles.low.levels.take(rows)
    high, low = (
        without_clipped(
            level_of(side.take(rows), source, what),
            one_value=_one_value(own),
            other_variance=_variance(other),
            step=source.scale.step,
        )
        for side, what, own, other in (
            (cycles.high, "high level", high_levels, low_levels),
            (cycles.low, "low level", low_levels, high_levels),
        )
    )
    in_run = np.zeros(cycles.first.size, np.bool_)
    in_run[rows] = True
    # a level beyond the instrument's range leaves the distance of the other from 0 V as a lower bound of the swing
    swing = (0.0 if high is None else high.value) - (0.0 if low is None else low.value)
    return high, low, timing_of(cycles, in_run, swing, source)


def _one_value(levels: Levels) -> bool:
    there = levels.samples > 0
    return bool(there.any()) and bool(levels.highest[there].max() == levels.lowest[there].min())


def _variance(levels: Levels) -> float:
    within = levels.deviation[np.isfinite(levels.deviation)]
    return float(np.mean(within**2)) if within.size else 0.0


def _steady(state: State, levels: Levels, source: Source) -> tuple[Quantity | None, Quantity | None]:
    if levels.level.size == 0:
        return None, None
    # what ripples within one state has its level in the middle of it
    if state in (State.UNDEFINED, State.E) and levels.steady.mean() < 0.5:
        upper, lower = replace(levels, level=levels.upper), replace(levels, level=levels.lower)
        return level_of(_resting(upper), source, "upper level"), level_of(_resting(lower), source, "lower level")
    level = level_of(_resting(levels), source, "low level" if state is State.F else "high level")
    if state is State.F or (state is State.UNDEFINED and level is not None and level.value < 0.0):
        return None, level
    return level, None


def _resting(levels: Levels) -> Plateaus:
    size = levels.level.size
    return Plateaus(levels=levels, settled=levels.samples > 0, waited=np.full(size, np.inf), drift=np.zeros(size))
