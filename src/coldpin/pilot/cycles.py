"""A sampled pilot taken apart: cycles with their times and levels, steady stretches, and what is neither.

Everything that counts samples is an integer and depends only on the samples near it, and steady blocks begin at
multiples of their length: a part of a capture, read with the same scale and its place in the whole, gives the same
numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from coldpin.pilot.crossings import Crossings, Flags, Glitches, Indices, Numbers, drop_glitches, find_crossings
from coldpin.pilot.glitches import Excursions, find_excursions, joined
from coldpin.pilot.plateaus import Levels, find_levels
from coldpin.pilot.scale import Scale

LONGEST_HALF = 5e-3
"""Ours: what stays on one side of 0 V for longer is a steady level, not a half of a cycle. [s] Five periods of the
nominal oscillator, so that one as slow as 200 Hz still reads as oscillating."""

SETTLING = 10e-6
"""Practice: levels are not taken before this time after an edge. [s]"""

SETTLED_HALF = 0.5
LONGEST_SETTLING = 40e-6
"""Ours: of a half the first half is left out as well, as far as this time. [1], [s] An edge into the largest
capacitance of the trade decays with 6 µs, so after 40 µs a thousandth is left, and a plateau of 50 µs is read when it
is half over."""

LEAD = 5e-6
LEAD_SHARE = 0.125
"""Ours: the end of a half is left out, where the next edge has begun but not reached 0 V: this time, or this share if
shorter, but one sample where there are two."""

BLOCK = 1e-3
"""Ours: a steady level is read in blocks of this time. [s] One period of the nominal oscillator."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plateaus:
    """Plateaus of one side of the cycles; every array of shape (c,).

    ``levels`` are those of the settled part. ``settled`` tells whether it lies past the settling time, ``waited`` how
    long after the crossing it begins at least. [s] ``drift`` is by how much the second half of a short plateau's
    settled part lies above the first, 0 for plateaus long enough to have settled, NaN where too few samples tell. [V]
    """

    levels: Levels
    settled: Flags
    waited: Numbers
    drift: Numbers

    def take(self, rows: Indices) -> Plateaus:
        """Return some of the plateaus.

        Parameters
        ----------
        rows : NDArray[np.int64]
            Places of those wanted.

        Returns
        -------
        Plateaus
            Those, in the order asked for.
        """
        return Plateaus(
            levels=self.levels.take(rows),
            settled=self.settled[rows],
            waited=self.waited[rows],
            drift=self.drift[rows],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CycleTable:
    """Cycles from one rising crossing to the next; every array of shape (c,).

    ``rise`` is the crossing each cycle begins with, ``fall`` the one in its middle, ``end`` the next rising one.
    ``high`` and ``low`` are the plateaus.
    """

    rise: Crossings
    fall: Crossings
    end: Crossings
    high: Plateaus
    low: Plateaus

    @property
    def first(self) -> Indices:
        """First sample of each cycle."""
        return self.rise.index + 1

    @property
    def stop(self) -> Indices:
        """One past the last sample of each cycle."""
        return self.end.index + 1

    @property
    def clean(self) -> Flags:
        """Whether the three crossings lie between samples that are there."""
        return self.rise.clean & self.fall.clean & self.end.clean

    def period_samples(self) -> Numbers:
        """Return the period of each cycle.

        Returns
        -------
        NDArray[np.float64]
            Array of shape (c,), in sample intervals. [1]
        """
        return (self.end.index - self.rise.index) + (self.end.fraction - self.rise.fraction)

    def on_samples(self) -> Numbers:
        """Return the time between the rising and the falling crossing of each cycle.

        Returns
        -------
        NDArray[np.float64]
            Array of shape (c,), in sample intervals. [1]
        """
        return (self.fall.index - self.rise.index) + (self.fall.fraction - self.rise.fraction)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SteadyTable:
    """Blocks of a signal that does not change sign; every array of shape (b,).

    ``first`` and ``stop`` bound each block in samples, ``levels`` are those of its settled part, ``settled`` is false
    where it has none. A row takes 74 bytes for each millisecond without an edge; where that is too much (a day is
    6.4 GB) the capture is read as a stream, which keeps no rows.
    """

    first: Indices
    stop: Indices
    levels: Levels
    settled: Flags


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Decoded:
    """A capture taken apart: cycles, steady blocks and single halves together cover it without gap or overlap.

    ``single_first`` and ``single_stop`` bound the halves that belong to no whole cycle (the pulse cut off by the end
    of a capture, the last one before the oscillator stops). ``glitches`` are excursions across 0 V, ``excursions``
    those within settled plateaus and steady levels, across 0 V or not. ``offset`` is the place of the first sample in
    the whole capture; all indices count from the beginning of the whole.
    """

    scale: Scale
    offset: int
    samples: int
    cycles: CycleTable
    steady: SteadyTable
    single_first: Indices
    single_stop: Indices
    glitches: Glitches
    excursions: Excursions


@dataclass(frozen=True, slots=True, eq=False)
class _Halves:
    """Stretches of one sign: half j is ``first[j]:stop[j]`` and lies between crossings j - 1 and j."""

    first: Indices
    stop: Indices
    positive: Flags
    whole: Flags
    long: Flags

    def settled(self, which: Indices, scale: Scale) -> tuple[Indices, Indices, Flags]:
        """Return the settled part of some halves, at least one sample of each, and whether it is settled."""
        length = self.stop[which] - self.first[which]
        skip = np.where(which > 0, _skip(length, scale), 0)
        lead = np.where(which < self.first.size - 1, np.minimum(_lead(length, scale), length - skip - 1), 0)
        settled = (skip >= scale.count(SETTLING)) | (which == 0)
        return self.first[which] + skip, self.stop[which] - lead, settled


def _skip(length: Indices, scale: Scale) -> Indices:
    """Return how many samples after an edge are left out."""
    longest = np.minimum((length * SETTLED_HALF).astype(np.int64), scale.count(LONGEST_SETTLING))
    skip: Indices = np.minimum(np.maximum(scale.count(SETTLING), longest), length // 2 + length // 4)
    return skip


def _lead(length: Indices, scale: Scale) -> Indices:
    """Return how many samples before an edge are left out, where there are enough."""
    lead: Indices = np.clip((length * LEAD_SHARE).astype(np.int64), 1, scale.count(LEAD))
    return lead


def settled_part(first: Indices, stop: Indices, scale: Scale) -> tuple[Indices, Indices]:
    """Return the part of halves of cycles that their levels are taken from.

    Parameters
    ----------
    first, stop : NDArray[np.int64]
        Arrays of shape (k,): the first sample of each half, which lies between two crossings, and one past its last.
    scale : Scale
        The scale of the capture.

    Returns
    -------
    tuple of NDArray[np.int64]
        First sample and one past the last of each settled part, which holds at least one sample.

    Examples
    --------
    >>> from coldpin.pilot.scale import scale_of
    >>> begin, end = settled_part(np.array([0]), np.array([267]), scale_of(np.zeros(300), 1e-6))
    >>> begin.tolist(), end.tolist()
    ([40], [262])
    """
    skip = _skip(stop - first, scale)
    return first + skip, stop - np.minimum(_lead(stop - first, scale), stop - first - skip - 1)


def decode(voltage: Numbers, scale: Scale, *, overload: Flags | None = None, offset: int = 0) -> Decoded:
    """Take a capture, or a part of one, apart into cycles and steady blocks.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), one value per sample, NaN where missing. [V]
    scale : Scale
        The scale of the whole capture.
    overload : NDArray[np.bool_] or None
        Array of shape (n,), true where the instrument said "beyond its range": such a sample has a sign but no level.
    offset : int
        Place of the first sample in the whole capture. [1]

    Returns
    -------
    Decoded
        Cycles, steady blocks, single halves, glitches. Each depends on the samples near it only: a plateau and its
        excursions on those between its two crossings, a block on its own and for excursions on the two beside it.

    Examples
    --------
    >>> from coldpin.pilot.scale import scale_of
    >>> square = np.tile(np.repeat([-12.0, 9.0], [700, 300]), 3)
    >>> decoded = decode(square, scale_of(square, 1e-6))
    >>> decoded.cycles.period_samples().tolist(), decoded.cycles.high.levels.level.tolist()
    ([1000.0, 1000.0], [9.0, 9.0])
    """
    crossings, glitches = drop_glitches(find_crossings(voltage, scale), scale)
    halves = _halves(voltage, crossings, scale)
    usable = _usable(voltage, overload)
    starts = _cycle_starts(halves)
    in_cycle = np.zeros(halves.first.size, np.bool_)
    in_cycle[starts] = True
    in_cycle[starts + 1] = True
    single = ~in_cycle & ~halves.long & (halves.stop > halves.first)
    cycles = _cycles(voltage, usable, crossings, halves, starts, scale, offset)
    steady, steady_excursions = _steady(voltage, usable, halves, scale, offset)
    excursions = [steady_excursions]
    for which, plateaus in ((starts, cycles.high), (starts + 1, cycles.low)):
        first, stop, _ = halves.settled(which, scale)
        alone = np.zeros(which.size, np.bool_)
        excursions.append(find_excursions(voltage, first, stop, plateaus.levels, alone, scale))
    return Decoded(
        scale=scale,
        offset=offset,
        samples=voltage.size,
        cycles=cycles,
        steady=steady,
        single_first=halves.first[single] + offset,
        single_stop=halves.stop[single] + offset,
        glitches=replace(glitches, index=glitches.index + offset),
        excursions=joined(excursions).moved(offset),
    )


def _usable(voltage: Numbers, overload: Flags | None) -> Flags | None:
    present = np.isfinite(voltage)
    if overload is not None:
        present &= ~overload
    return None if present.all() else present


def _halves(voltage: Numbers, crossings: Crossings, scale: Scale) -> _Halves:
    bound = np.concatenate(([0], crossings.index + 1, [voltage.size])).astype(np.int64)
    if crossings.rising.size:
        positive = np.concatenate(([not crossings.rising[0]], crossings.rising))
    else:
        present = voltage[np.isfinite(voltage)]
        positive = np.array([bool(present.size and np.median(present) >= 0.0)])
    whole = np.ones(bound.size - 1, np.bool_)
    whole[0] = whole[-1] = False
    length = np.diff(bound)
    long = length * scale.interval > LONGEST_HALF
    if not crossings.index.size:
        # no edge at all: a steady level however short the capture is
        long = length > 0
    return _Halves(bound[:-1], bound[1:], positive, whole, long)


def _cycle_starts(halves: _Halves) -> Indices:
    """Return the positive halves that are whole, short, and followed by a negative one that is."""
    good = halves.whole & ~halves.long
    return np.flatnonzero(good[:-1] & good[1:] & halves.positive[:-1])


def _cycles(
    voltage: Numbers,
    usable: Flags | None,
    crossings: Crossings,
    halves: _Halves,
    starts: Indices,
    scale: Scale,
    offset: int,
) -> CycleTable:
    def moved(positions: Indices) -> Crossings:
        part = crossings.take(positions)
        return replace(part, index=part.index + offset)

    return CycleTable(
        rise=moved(starts - 1),
        fall=moved(starts),
        end=moved(starts + 1),
        high=_plateaus(voltage, usable, halves, starts, scale),
        low=_plateaus(voltage, usable, halves, starts + 1, scale),
    )


def _plateaus(voltage: Numbers, usable: Flags | None, halves: _Halves, which: Indices, scale: Scale) -> Plateaus:
    first, stop, settled = halves.settled(which, scale)
    drift = np.zeros(which.size)
    short = np.flatnonzero(halves.stop[which] - halves.first[which] < scale.count(LONGEST_SETTLING / SETTLED_HALF))
    if short.size:
        middle = (first[short] + stop[short]) // 2
        earlier = find_levels(voltage, usable, first[short], middle, scale)
        later = find_levels(voltage, usable, middle, stop[short], scale)
        drift[short] = later.level - earlier.level
    # the first sample of a half may come right after the crossing
    waited = np.asarray((first - halves.first[which]) * scale.interval, dtype=np.float64)
    return Plateaus(
        levels=find_levels(voltage, usable, first, stop, scale), settled=settled, waited=waited, drift=drift
    )


def _steady(
    voltage: Numbers, usable: Flags | None, halves: _Halves, scale: Scale, offset: int
) -> tuple[SteadyTable, Excursions]:
    block = max(1, scale.count(BLOCK))
    firsts, stops, read_firsts, read_stops = [], [], [], []
    which = np.flatnonzero(halves.long)
    settled_first, settled_stop, _ = halves.settled(which, scale)
    for j, half in enumerate(which):
        first, stop = int(halves.first[half]), int(halves.stop[half])
        inner = np.arange(-(-(first + offset) // block) * block - offset, stop, block, dtype=np.int64)
        bound = np.unique(np.concatenate(([first], inner, [stop])))
        firsts.append(bound[:-1])
        stops.append(bound[1:])
        read_firsts.append(np.maximum(bound[:-1], settled_first[j]))
        read_stops.append(np.minimum(bound[1:], settled_stop[j]))
    read_first, read_stop = _joined(read_firsts), _joined(read_stops)
    levels = find_levels(voltage, usable, read_first, read_stop, scale)
    continues = np.concatenate((read_stop[:-1] == read_first[1:], np.zeros(min(1, read_stop.size), np.bool_)))
    table = SteadyTable(
        first=_joined(firsts) + offset,
        stop=_joined(stops) + offset,
        levels=levels,
        settled=read_stop > read_first,
    )
    return table, find_excursions(voltage, read_first, read_stop, levels, continues, scale)


def _joined(parts: list[Indices]) -> Indices:
    return np.concatenate(parts) if parts else np.empty(0, np.int64)
