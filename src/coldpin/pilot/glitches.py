"""Glitches: what is too short to belong to the signal, across 0 V or within a plateau, listed by width.

Three kinds are told. Excursions across 0 V too short for a half are taken out where crossings are found
(:func:`coldpin.pilot.crossings.drop_glitches`). Dips and spikes within the settled part of a plateau or of a steady
level are found here. What crosses 0 V for longer than the shortest half makes two more halves within one period
(:func:`extra_halves`). The first two depend on the samples near them only, and count whole samples.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from coldpin.pilot.crossings import SHORTEST_HALF, Flags, Indices, Numbers
from coldpin.pilot.crossings import Glitches as Short
from coldpin.pilot.plateaus import Levels
from coldpin.pilot.scale import Scale
from coldpin.records import pilot as records
from coldpin.records.pilot import Glitch, GlitchWidths, Run

if TYPE_CHECKING:
    from coldpin.pilot.cycles import CycleTable

DEPARTURE = 1.0
"""Ours: a sample farther than this from the level of its plateau is out of it. [V] The half-width of the state windows:
what departs less is not taken for another state."""

DEPARTURE_NOISE = 8.0
"""Ours: and farther than this many standard deviations of the noise. [1]"""

DEPARTURE_STEPS = 3.0
"""Ours: and than this many steps of the instrument. [1]"""

FEWEST_SAMPLES = 2
"""Ours: within a plateau a single sample says nothing: it may be a fault of the converter. [1]"""

LIKE = 0.1
"""Ours: periods and halves that differ by less than this part are alike. [1]"""

LISTED = 50
"""Ours: so many of the longest are listed one by one."""

SERIES = (1.0, 2.0, 5.0)
"""Widths are sorted into classes that end at these numbers times a power of ten. [s]"""

_CELLS_AT_ONCE = 1 << 21


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Excursions:
    """Stretches of samples that do not belong to the signal around them; every array of shape (e,), in order of time.

    ``index`` is the first sample of each, ``samples`` its length, ``peak`` the voltage farthest out. [V]
    """

    index: Indices
    samples: Indices
    peak: Numbers

    def moved(self, offset: int) -> Excursions:
        """Return the same with its places counted from elsewhere.

        Parameters
        ----------
        offset : int
            What is added to each place. [1]

        Returns
        -------
        Excursions
            The same excursions.
        """
        return Excursions(index=self.index + offset, samples=self.samples, peak=self.peak)

    def take(self, rows: Flags | Indices) -> Excursions:
        """Return some of them.

        Parameters
        ----------
        rows : NDArray
            Mask or places of those wanted.

        Returns
        -------
        Excursions
            Those, in the order asked for.
        """
        return Excursions(index=self.index[rows], samples=self.samples[rows], peak=self.peak[rows])


def joined(parts: list[Excursions]) -> Excursions:
    """Put several lists into one, in order of time.

    Parameters
    ----------
    parts : list of Excursions
        The lists.

    Returns
    -------
    Excursions
        All of them.
    """
    index = np.concatenate([np.empty(0, np.int64), *(part.index for part in parts)])
    every = Excursions(
        index=index,
        samples=np.concatenate([np.empty(0, np.int64), *(part.samples for part in parts)]),
        peak=np.concatenate([np.empty(0), *(part.peak for part in parts)]),
    )
    return every.take(np.argsort(index, kind="stable"))


def departure(scale: Scale) -> float:
    """Return how far from its level a sample of a plateau must lie to be out of it.

    Parameters
    ----------
    scale : Scale
        The capture's scale.

    Returns
    -------
    float
        The distance. [V]

    Examples
    --------
    >>> from coldpin.pilot.scale import scale_of
    >>> departure(scale_of(np.zeros(10), 1e-6))
    1.0
    """
    return max(DEPARTURE, DEPARTURE_NOISE * scale.noise, DEPARTURE_STEPS * scale.step)


def find_excursions(
    voltage: Numbers, first: Indices, stop: Indices, levels: Levels, continues: Flags, scale: Scale
) -> Excursions:
    """Return the dips and spikes within stretches that have a level.

    An excursion is of two samples or more, and the signal must be seen to leave and to come back: what touches the end
    of a stretch may be the next edge or the passage to another state, and is no glitch, unless the next stretch
    continues the same level. Only stretches whose extremes lie far out are looked into.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), one value per sample, NaN where missing; a clipped sample counts as it is. [V]
    first : NDArray[np.int64]
        Array of shape (k,), first sample of each stretch, rising.
    stop : NDArray[np.int64]
        Array of shape (k,), one past the last sample.
    levels : Levels
        Their k levels.
    continues : NDArray[np.bool_]
        Array of shape (k,), true where the next stretch begins where this one ends.
    scale : Scale
        The capture's scale.

    Returns
    -------
    Excursions
        In order of time.

    Examples
    --------
    >>> from coldpin.pilot.plateaus import find_levels
    >>> from coldpin.pilot.scale import scale_of
    >>> spiked = np.array([9.0] * 20 + [12.0, 14.0] + [9.0] * 20)
    >>> scale, first, stop = scale_of(spiked, 1e-6), np.array([0]), np.array([42])
    >>> levels = find_levels(spiked, None, first, stop, scale)
    >>> found = find_excursions(spiked, first, stop, levels, np.array([False]), scale)
    >>> found.index.tolist(), found.samples.tolist(), found.peak.tolist()
    ([20], [2], [14.0])
    """
    far = departure(scale)
    rows = _worth_looking(first, stop, levels, far)
    places, ranks = [np.empty(0, np.int64)], [np.empty(0, np.int64)]
    while rows.size:
        length = np.cumsum(stop[rows] - first[rows])
        count = max(1, int(np.searchsorted(length, _CELLS_AT_ONCE, side="right")))
        part, rows = rows[:count], rows[count:]
        at, row = _samples_of(first[part], stop[part], part)
        # a missing sample compares false
        out = np.abs(voltage[at] - levels.level[row]) > far
        places.append(at[out])
        ranks.append(row[out])
    at, row = np.concatenate(places), np.concatenate(ranks)
    if at.size == 0:
        return joined([])
    above = voltage[at] > levels.level[row]
    begins = np.concatenate(([0], np.flatnonzero((np.diff(at) != 1) | (above[1:] != above[:-1])) + 1))
    ends = np.concatenate((begins[1:], [at.size])) - 1
    peak = np.where(above[begins], np.maximum.reduceat(voltage[at], begins), np.minimum.reduceat(voltage[at], begins))
    samples = ends - begins + 1
    seen = samples >= FEWEST_SAMPLES
    # an excursion may run on where the level does
    same = np.concatenate((continues[:-1] & (np.abs(np.diff(levels.level)) <= far), [False]))
    seen &= (at[begins] != first[row[begins]]) | ((row[begins] > 0) & same[row[begins] - 1])
    seen &= (at[ends] != stop[row[ends]] - 1) | same[row[ends]]
    return Excursions(index=at[begins][seen], samples=samples[seen].astype(np.int64), peak=peak[seen])


def _worth_looking(first: Indices, stop: Indices, levels: Levels, far: float) -> Indices:
    """Return the stretches of which more than half lies at one level and some sample lies far out."""
    with np.errstate(invalid="ignore"):
        outer = (levels.highest > levels.level + far) | (levels.lowest < levels.level - far)
    # extremes do not know of clipped samples, which are out as a rule
    clipped = levels.samples < stop - first
    told = np.isfinite(levels.level) & (2 * levels.samples > stop - first)
    return np.flatnonzero(told & (outer | clipped)).astype(np.int64)


def _samples_of(first: Indices, stop: Indices, rows: Indices) -> tuple[Indices, Indices]:
    """Return the places of all samples of some stretches, and to which row each belongs."""
    length = stop - first
    before = np.concatenate(([0], np.cumsum(length)[:-1]))
    at = np.arange(int(length.sum())) + np.repeat(first - before, length)
    return at.astype(np.int64), np.repeat(rows, length)


def across_zero(voltage: Numbers, short: Short, offset: int = 0) -> Excursions:
    """Return the excursions across 0 V with the voltage each reached.

    Where several short stretches follow each other every other one is back where the signal was, and is no excursion.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), NaN where missing. [V]
    short : Glitches
        What was taken out of the crossings.
    offset : int
        Place of the first sample of ``voltage`` in the capture that ``short`` counts from. [1]

    Returns
    -------
    Excursions
        In order of time.
    """
    if short.index.size == 0:
        return joined([])
    bound = np.stack((short.index, short.index + short.samples), axis=1).ravel() - offset
    padded = np.append(voltage, np.nan)
    highest = np.fmax.reduceat(padded, bound)[0::2]
    lowest = np.fmin.reduceat(padded, bound)[0::2]
    follows = np.concatenate(([False], short.index[1:] == (short.index + short.samples)[:-1]))
    place = np.arange(follows.size)
    rank = place - np.maximum.accumulate(np.where(follows, 0, place))
    every = Excursions(index=short.index, samples=short.samples, peak=np.where(short.positive, highest, lowest))
    return every.take(rank % 2 == 0)


def without_parts_of(short: Excursions, wider: Excursions) -> Excursions:
    """Leave out the excursions across 0 V that are part of a dip already told.

    Parameters
    ----------
    short : Excursions
        Excursions across 0 V.
    wider : Excursions
        Dips and spikes within plateaus.

    Returns
    -------
    Excursions
        Those that no dip overlaps.
    """
    if wider.index.size == 0:
        return short
    # the last dip that begins before the excursion ends
    last = np.searchsorted(wider.index, short.index + short.samples, side="left") - 1
    reached = np.where(last >= 0, (wider.index + wider.samples)[last], -1)
    return short.take(reached <= short.index)


def extra_halves(cycles: CycleTable, rows: Indices) -> Excursions:
    """Return the dips and pulses that crossed 0 V for so long that they made two more halves within one period.

    Two cycles one behind the other that are together as long as the usual one hold such a pair. It is a
    dip of the high plateau where the second ends with the usual low half, and else a pulse in the low one.

    Parameters
    ----------
    cycles : CycleTable
        The cycles of a capture.
    rows : NDArray[np.int64]
        Those of one run, in order.

    Returns
    -------
    Excursions
        In order of time; one in a period at most.
    """
    if rows.size < 3:
        return joined([])
    period, on = cycles.period_samples()[rows], cycles.on_samples()[rows]
    usual, usual_on = float(np.median(period)), float(np.median(on))
    one, two = rows[:-1], rows[1:]
    pair = cycles.end.index[one] == cycles.rise.index[two]
    # a short cycle beside a whole one is nearly as long as a pair
    apart = np.minimum(LIKE * usual, 0.5 * np.minimum(period[:-1], period[1:]))
    pair &= np.abs(period[:-1] + period[1:] - usual) <= apart
    usual_off = usual - usual_on
    dip = np.abs(period[1:] - on[1:] - usual_off) <= np.maximum(LIKE * usual_off, 2.0)
    pulse = np.abs(on[:-1] - usual_on) <= np.maximum(LIKE * usual_on, 2.0)
    found = []
    for which, begin, end, peak in (
        (pair & dip, cycles.fall.index[one], cycles.end.index[one], cycles.low.levels.lowest[one]),
        (pair & pulse & ~dip, cycles.rise.index[two], cycles.fall.index[two], cycles.high.levels.highest[two]),
    ):
        kept = which & np.isfinite(peak)
        found.append(Excursions(index=begin[kept] + 1, samples=(end - begin)[kept], peak=peak[kept]))
    return joined(found)


def list_glitches(found: Excursions, runs: tuple[Run, ...], interval: float) -> records.Glitches:
    """Return the list of a capture's glitches: their number, sorted by width, and the longest one by one.

    Parameters
    ----------
    found : Excursions
        All of them, in order of time.
    runs : tuple of Run
        The runs of the capture, by which each is put into a state.
    interval : float
        Time between samples. [s]

    Returns
    -------
    coldpin.records.pilot.Glitches
        The list; of the single glitches the `LISTED` longest, longest first.

    Examples
    --------
    >>> found = Excursions(index=np.array([7, 90]), samples=np.array([3, 12]), peak=np.array([-2.0, 4.0]))
    >>> listed = list_glitches(found, (), 1e-6)
    >>> listed.count, [(width.up_to_s, width.count) for width in listed.widths if width.count]
    (2, [(5e-06, 1), (2e-05, 1)])
    """
    widths, counts = np.unique(found.samples, return_counts=True)
    longest = np.lexsort((found.index, -found.samples))[:LISTED]
    return list_counted(widths, counts, found.take(longest), runs, interval)


def list_counted(
    widths: Indices, counts: Indices, longest: Excursions, runs: tuple[Run, ...], interval: float
) -> records.Glitches:
    """Return the same from numbers of glitches by width.

    Parameters
    ----------
    widths : NDArray[np.int64]
        Array of shape (w,): lengths in samples, rising.
    counts : NDArray[np.int64]
        Array of shape (w,): how many glitches have each.
    longest : Excursions
        The longest, longest first.
    runs : tuple of Run
        The runs of the capture.
    interval : float
        Time between samples. [s]

    Returns
    -------
    coldpin.records.pilot.Glitches
        The list.
    """
    if widths.size == 0:
        return records.Glitches()
    width = widths * interval
    bounds = _class_bounds(interval, max(float(width.max()), SHORTEST_HALF))
    # the product of a count and an interval may come out a hair above a bound
    classes = np.zeros(bounds.size, np.int64)
    np.add.at(classes, np.searchsorted(bounds, width * (1.0 - 1e-9)), counts)
    ends = np.array([run.end_s for run in runs[:-1]])
    glitches = []
    for row in range(longest.index.size):
        start, lasts = float(longest.index[row] * interval), float(longest.samples[row] * interval)
        state = runs[int(np.searchsorted(ends, start, side="right"))].state if runs else records.State.UNDEFINED
        glitches.append(Glitch(start_s=start, width_s=lasts, state=state, peak_v=float(longest.peak[row])))
    return records.Glitches(
        count=int(counts.sum()),
        widths=tuple(
            GlitchWidths(above_s=float(bounds[place - 1]), up_to_s=float(bounds[place]), count=int(classes[place]))
            for place in range(1, bounds.size)
        ),
        longest=tuple(glitches),
    )


def _class_bounds(least: float, most: float) -> Numbers:
    """Return the numbers of the series from below the least width to the greatest or above."""
    powers = range(int(np.floor(np.log10(least))) - 1, int(np.ceil(np.log10(most))) + 1)
    series = np.array([float(f"{digit:g}e{power}") for power in powers for digit in SERIES])
    first = int(np.searchsorted(series, least * (1.0 - 1e-9))) - 1
    last = int(np.searchsorted(series, most * (1.0 - 1e-9)))
    return series[max(first, 0) : last + 1]
