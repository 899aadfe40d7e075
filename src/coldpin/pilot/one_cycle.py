"""The figures of one cycle, or of one block of a level that stands, with their uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coldpin.errors import InputError
from coldpin.pilot.crossings import Indices
from coldpin.pilot.cycles import Decoded, Plateaus, decode, settled_part
from coldpin.pilot.duty_cycle import offered_current
from coldpin.pilot.figures import Source, stated_step, without_steps
from coldpin.pilot.levels import level_of
from coldpin.pilot.scale import Scale, scale_of
from coldpin.pilot.states import NO_WORD, STATES, Windows, classify_blocks, classify_cycles, windows_of
from coldpin.pilot.timing import timing_of
from coldpin.records.finding import Limit
from coldpin.records.pilot import State
from coldpin.records.wave import CycleFigures, StateBand, Stretch
from coldpin.records.waveform import Waveform
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.pilot import duty_zones

AROUND = 50e-3
"""Ours: noise and step of the instrument are taken from so much of the capture to either side. [s]"""

NEITHER = "here is neither a whole cycle nor a level that stands: the pilot passes from one to another"
UNSEEN = "no sample is there"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """A part of a capture taken apart, and where it begins in the whole. [s]"""

    decoded: Decoded
    windows: Windows
    source: Source
    first_s: float

    def time(self, sample: float) -> float:
        return self.first_s + sample * self.decoded.scale.interval

    def stretch(self, first: float, stop: float) -> Stretch:
        return Stretch(from_s=self.time(first), to_s=self.time(stop))


def figures_at(
    part: Waveform,
    at: float,
    *,
    first_s: float,
    book: Book,
    edition: Edition,
    accuracy: ScopeAccuracy | None = None,
) -> CycleFigures:
    """Return the figures of the cycle that runs at a time, or of the level that stands there.

    One cycle has no scatter of its own; noise within it stands in for that. The offer is that of this cycle alone.

    Parameters
    ----------
    part : Waveform
        The capture about that time, `AROUND` to either side or as far as it goes.
    at : float
        The time, from the first sample of the whole capture. [s]
    first_s : float
        When the part begins, from the same. [s]
    book : Book
        The constants.
    edition : Edition
        The edition whose windows and duty zones are used.
    accuracy : ScopeAccuracy or None
        What is stated of the instrument.

    Returns
    -------
    CycleFigures
        The figures; none and the reason where neither is there.

    Raises
    ------
    InputError
        The time lies outside the part.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> wave = np.random.default_rng(1).normal(np.tile(np.repeat([9.0, -12.0], [267, 733]), 9), 0.01)
    >>> found = figures_at(
    ...     Waveform(voltage=wave, sample_interval=1e-6), 2.1e-3, first_s=0.0, book=load_book(), edition=Edition.IEC_3
    ... )
    >>> found.state.value, round(found.duty_percent.value, 1), round(found.stretch.from_s * 1e3, 2)
    ('B2', 26.7, 2.0)
    """
    sample = int((at - first_s) / part.sample_interval)
    if at < first_s or sample >= part.samples:
        end = first_s + part.duration
        raise InputError(f"the time {at:g} s was asked for; the capture goes from {first_s:g} s to {end:g} s here")
    shown = part.voltage if part.overload is None else np.where(part.overload, np.nan, part.voltage)
    if not np.isfinite(shown).any():
        return CycleFigures(
            kind="neither",
            state=State.UNDEFINED,
            stretch=Stretch(from_s=at, to_s=at),
            why=UNSEEN,
        )
    resolution = part.resolution if part.resolution is not None else stated_step(accuracy)
    scale = scale_of(shown, part.sample_interval, resolution)
    taken = _Part(
        decoded=decode(part.voltage, scale, overload=part.overload),
        windows=windows_of(book, edition),
        source=Source(
            scale=scale,
            accuracy=None if accuracy is None else without_steps(accuracy),
            name=f"cycle at {at:.9g} s",
        ),
        first_s=first_s,
    )
    row = _holding(taken.decoded.cycles.first, taken.decoded.cycles.stop, sample)
    if row is not None:
        return _cycle(taken, row, book, edition)
    row = _holding(taken.decoded.steady.first, taken.decoded.steady.stop, sample)
    if row is not None:
        return _block(taken, row)
    return CycleFigures(kind="neither", state=State.UNDEFINED, stretch=Stretch(from_s=at, to_s=at), why=NEITHER)


def state_bands(book: Book, edition: Edition) -> tuple[StateBand, ...]:
    """Return the windows of the levels in each state.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose windows.

    Returns
    -------
    tuple of StateBand
        One for each state; "undefined" has none.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [band.state.value for band in state_bands(load_book(), Edition.IEC_3)]
    ['A1', 'A2', 'B1', 'B2', 'C1', 'C2', 'D1', 'D2', 'E', 'F']
    """
    windows, bands = windows_of(book, edition), []
    for state in STATES:
        letter = state.value[0]
        if state is State.UNDEFINED:
            continue
        high = None if state is State.F else windows.high_of(letter)
        low = windows.steady_low if state is State.F else windows.low_of(letter) if state.oscillating else None
        named = dict.fromkeys(_named(one.limit) for one in (high, low) if one is not None)
        bands.append(
            StateBand(
                state=state,
                high_v=None if high is None else (high.minimum, high.maximum),
                low_v=None if low is None else (low.minimum, low.maximum),
                sources=tuple(named),
            )
        )
    return tuple(bands)


def _named(limit: Limit) -> str:
    return ", ".join(filter(None, (limit.asserted_by, limit.source, limit.place)))


def _holding(first: Indices, stop: Indices, sample: int) -> int | None:
    """Return the row that holds a sample."""
    row = int(np.searchsorted(first, sample, side="right")) - 1
    return row if row >= 0 and sample < int(stop[row]) else None


def _cycle(part: _Part, row: int, book: Book, edition: Edition) -> CycleFigures:
    cycles, scale = part.decoded.cycles, part.decoded.scale
    rows = np.array([row], np.int64)
    high = level_of(cycles.high.take(rows), part.source, "high level")
    low = level_of(cycles.low.take(rows), part.source, "low level")
    alone = np.zeros(cycles.first.size, np.bool_)
    alone[row] = True
    swing = (0.0 if high is None else high.value) - (0.0 if low is None else low.value)
    timing = timing_of(cycles, alone, swing, part.source)
    levels = (cycles.high.levels.level[rows], cycles.low.levels.level[rows])
    state = _state(int(classify_cycles(*levels, part.windows)[0]))
    offers = timing.duty is not None and state.oscillating
    rise, fall, end = (float(at.index[row]) + float(at.fraction[row]) for at in (cycles.rise, cycles.fall, cycles.end))
    middle = cycles.fall.index[rows] + 1
    return CycleFigures(
        kind="cycle",
        state=state,
        stretch=part.stretch(rise, end),
        falls_s=part.time(fall),
        high_v=high,
        low_v=low,
        high_from=_settled(part, cycles.first[rows], middle, scale),
        low_from=_settled(part, middle, cycles.stop[rows], scale),
        frequency_hz=timing.frequency,
        duty_percent=timing.duty,
        offered_current_a=(
            offered_current(timing.duty, tuple(duty_zones(book, edition))) if offers and timing.duty else None
        ),
        why="" if timing.frequency is not None else "its crossings of 0 V lie beside samples that are missing",
    )


def _settled(part: _Part, first: Indices, stop: Indices, scale: Scale) -> Stretch:
    begin, end = settled_part(first, stop, scale)
    return part.stretch(float(begin[0]), float(end[0] - 1))


def _block(part: _Part, row: int) -> CycleFigures:
    steady = part.decoded.steady
    levels = steady.levels.take(np.array([row], np.int64))
    code = int(classify_blocks(steady, part.windows)[row])
    plateau = Plateaus(levels=levels, settled=levels.samples > 0, waited=np.full(1, np.inf), drift=np.zeros(1))
    level = level_of(plateau, part.source, "level")
    state = _state(code)
    below = state is State.F or (state is State.UNDEFINED and level is not None and level.value < 0.0)
    stretch = part.stretch(float(steady.first[row]), float(steady.stop[row]))
    return CycleFigures(
        kind="level",
        state=state,
        stretch=stretch,
        high_v=None if below else level,
        low_v=level if below else None,
        high_from=None if below else stretch,
        low_from=stretch if below else None,
        why="" if level is not None else UNSEEN,
    )


def _state(code: int) -> State:
    return State.UNDEFINED if code == NO_WORD else STATES[code]
