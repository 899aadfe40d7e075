"""The specification of the stream: counts of a stretch in, the cycles, steady blocks and glitches that begin in it out.

What begins at a sample depends on the samples within ``Plan.reach`` of it and on nothing else, so a capture may be cut
anywhere and read by any number of hands. Three rules see to that. A signal that stays in the band around 0 V for longer
than the longest half has not crossed it. Chatter that goes on for longer than the longest half is no edge. And what
lies between two crossings farther apart is read in steady blocks that begin at multiples of their length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.pilot.crossings import Flags, Indices, Numbers
from coldpin.pilot.cycles import LEAD_SHARE, SETTLED_HALF
from coldpin.pilot.plateaus import STEADY_SHARE
from coldpin.pilot.stream.counts import MISSING, Counts
from coldpin.pilot.stream.plan import Plan

CYCLE = np.dtype(
    [
        ("rise", "i8"),
        ("fall", "i8"),
        ("end", "i8"),
        ("rise_fraction", "f8"),
        ("fall_fraction", "f8"),
        ("end_fraction", "f8"),
        ("high", "f8"),
        ("low", "f8"),
        ("high_squares", "f8"),
        ("low_squares", "f8"),
        ("high_drift", "f8"),
        ("low_drift", "f8"),
        ("rise_step", "f4"),
        ("fall_step", "f4"),
        ("rise_steepest", "f4"),
        ("fall_steepest", "f4"),
        ("end_steepest", "f4"),
        ("high_samples", "i4"),
        ("low_samples", "i4"),
        ("high_least", "i4"),
        ("high_most", "i4"),
        ("low_least", "i4"),
        ("low_most", "i4"),
        ("flags", "i4"),
    ]
)
"""A cycle. ``rise``, ``fall``, ``end``: last sample before each crossing, with the fraction of an interval behind it.
``high``, ``low``: mean of the settled samples [V]; ``_squares``: their squared departures from it, summed [V²];
``_drift``: second half of a short plateau less the first [V]; ``_samples``, ``_least``, ``_most``: how many, and their
range in counts. ``_step``: voltage after the crossing less before; ``_steepest``: largest step of the edge. [V]"""

BLOCK = np.dtype(
    [
        ("first", "i8"),
        ("stop", "i8"),
        ("level", "f8"),
        ("squares", "f8"),
        ("lower", "f8"),
        ("upper", "f8"),
        ("samples", "i4"),
        ("least", "i4"),
        ("most", "i4"),
        ("flags", "i4"),
    ]
)
"""A steady block, in the same terms."""

SINGLE = np.dtype([("first", "i8"), ("stop", "i8")])
"""A half that belongs to no whole cycle."""

GLITCH = np.dtype([("index", "i8"), ("samples", "i8"), ("peak", "i4"), ("positive", "i4")])
"""An excursion too short to be a half; ``peak`` is its farthest count."""

RISE_CLEAN, FALL_CLEAN, END_CLEAN, HIGH_SETTLED, LOW_SETTLED = (1 << bit for bit in range(5))
SETTLED, STEADY = 1, 2

Rows = NDArray[Any]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Table:
    """What begins in a stretch, each kind in order of time: arrays of `CYCLE`, `BLOCK`, `SINGLE` and `GLITCH`."""

    cycles: Rows
    blocks: Rows
    singles: Rows
    glitches: Rows


def joined_tables(tables: Sequence[Table]) -> Table:
    """Return the tables of neighbouring stretches as one.

    Parameters
    ----------
    tables : sequence of Table
        Tables in order of time.

    Returns
    -------
    Table
        All rows.
    """
    return Table(
        cycles=_one_behind_another([table.cycles for table in tables]),
        blocks=_one_behind_another([table.blocks for table in tables]),
        singles=_one_behind_another([table.singles for table in tables]),
        glitches=_one_behind_another([table.glitches for table in tables]),
    )


def _one_behind_another(parts: list[Rows]) -> Rows:
    # as bytes: row for row and field for field it takes ten times as long
    return np.concatenate([part.view(np.uint8) for part in parts]).view(parts[0].dtype)


class Collector:
    """What begins in neighbouring stretches.

    Parameters
    ----------
    plan : Plan
        The plan of the capture.
    longest : int
        Samples of the longest stretch. [1]
    """

    full = False

    def __init__(self, plan: Plan, longest: int) -> None:  # noqa: ARG002 - the accelerator makes room by it
        self._plan = plan
        self._tables: list[Table] = []

    def take(self, counts: Counts, offset: int, first: int, stop: int) -> None:
        """Take one more stretch apart, as :func:`take_apart` does.

        Parameters
        ----------
        counts : NDArray
            Array of shape (n,) of int16 or int32: the stretch and ``plan.reach`` samples more on either side.
        offset : int
            Place of the first count in the capture. [1]
        first, stop : int
            The stretch, in samples of the capture.
        """
        self._tables.append(take_apart(counts, offset, first, stop, self._plan))

    def table(self) -> Table:
        """Return what was found and begin anew.

        Returns
        -------
        Table
            Its rows hold until the next stretch is taken.
        """
        tables, self._tables = self._tables, []
        return joined_tables(tables)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Window:
    """Counts with their place in the capture."""

    counts: Counts
    offset: int
    plan: Plan

    @property
    def begins(self) -> bool:
        return self.offset == 0

    @property
    def ends(self) -> bool:
        return self.offset + self.counts.size == self.plan.samples

    def present(self) -> Flags | None:
        if self.plan.small:
            return None
        present = self.counts != MISSING
        return None if present.all() else present


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edges:
    """Crossings: last sample before (in the window), first present one behind, direction."""

    before: Indices
    after: Indices
    rising: Flags

    def take(self, rows: Indices | Flags) -> _Edges:
        return _Edges(before=self.before[rows], after=self.after[rows], rising=self.rising[rows])


def take_apart(counts: Counts, offset: int, first: int, stop: int, plan: Plan) -> Table:
    """Take apart what begins in a stretch of a capture.

    Parameters
    ----------
    counts : NDArray
        Array of shape (n,) of int16 or int32: the stretch, and ``plan.reach`` samples more on either side, as far as
        the capture has them.
    offset : int
        Place of the first count in the capture. [1]
    first, stop : int
        The stretch, in samples of the capture.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    Table
        Every cycle, block, single half and glitch whose first sample lies in the stretch.

    Examples
    --------
    >>> from coldpin.pilot.scale import Scale
    >>> from coldpin.pilot.states import windows_of
    >>> from coldpin.pilot.stream.plan import plan_of
    >>> from coldpin.standards import Edition, load_book
    >>> scale = Scale(interval=1e-6, noise=0.0, step=0.0, hysteresis=0.2, spread=0.1)
    >>> windows = windows_of(load_book(), Edition.IEC_3)
    >>> plan = plan_of(samples=3000, scale=scale, windows=windows, stored=np.int16, gain=1e-3)
    >>> table = take_apart(np.tile(np.repeat([-12000, 9000], [700, 300]), 3).astype(np.int16), 0, 0, 3000, plan)
    >>> table.cycles["rise"].tolist(), table.cycles["high"].tolist(), table.singles["first"].tolist()
    ([699, 1699], [9.0, 9.0], [0, 2700])
    """
    window = _Window(counts=counts, offset=offset, plan=plan)
    edges, glitches = _without_glitches(_edges(window), window)
    bounds = np.concatenate(([0], edges.before + 1, [counts.size])).astype(np.int64)
    length = np.diff(bounds)
    long = length > plan.longest
    if edges.before.size == 0 and window.begins and window.ends:
        # no edge at all: a steady level however short the capture is
        long = length > 0
    whole = ~long
    whole[0] = whole[-1] = False
    starts = (
        np.flatnonzero(whole[1:-1] & whole[2:] & edges.rising[:-1]) + 1 if whole.size > 2 else np.empty(0, np.int64)
    )
    in_cycle = np.zeros(length.size, np.bool_)
    in_cycle[starts] = in_cycle[starts + 1] = True
    single = np.flatnonzero(~in_cycle & ~long & (length > 0))
    low, high = first - offset, stop - offset
    starts = starts[(bounds[starts] >= low) & (bounds[starts] < high)]
    single = single[(bounds[single] >= low) & (bounds[single] < high)]
    glitches = glitches[(glitches["index"] >= first) & (glitches["index"] < stop)]
    singles = np.empty(single.size, SINGLE)
    singles["first"], singles["stop"] = bounds[single] + offset, bounds[single + 1] + offset
    return Table(
        cycles=_cycles(window, edges, bounds, starts),
        blocks=_blocks(window, bounds, np.flatnonzero(long), low, high),
        singles=singles,
        glitches=glitches,
    )


def _edges(window: _Window) -> _Edges:
    counts, plan = window.counts, window.plan
    present = window.present()
    high, low = counts > plan.over, counts < plan.under
    if present is not None:
        low &= present
    outside = np.flatnonzero(high | low)
    positive = high[outside]
    changes = np.flatnonzero(positive[1:] != positive[:-1])
    before, after = outside[changes], outside[changes + 1]
    near = after - before <= plan.longest
    before, after, rising = before[near], after[near], positive[changes[near] + 1]
    if (wide := np.flatnonzero(after - before > 1)).size:
        before[wide], after[wide] = _last_change(window, present, after[wide], rising[wide])
    return _Edges(before=before.astype(np.int64), after=after.astype(np.int64), rising=rising)


def _last_change(window: _Window, present: Flags | None, after: Indices, rising: Flags) -> tuple[Indices, Indices]:
    """Return the last sample before each that had not yet crossed 0 V, and the first present one behind it."""
    counts, plan = window.counts, window.plan
    before = np.empty_like(after)
    for up, not_yet in ((True, counts <= plan.below), (False, counts >= plan.above)):
        candidates = np.flatnonzero(not_yet if present is None else not_yet & present)
        if (which := rising == up).any():
            before[which] = candidates[np.searchsorted(candidates, after[which]) - 1]
    if present is None:
        return before, before + 1
    there = np.flatnonzero(present)
    return before, there[np.searchsorted(there, before, side="right")]


def _without_glitches(edges: _Edges, window: _Window) -> tuple[_Edges, Rows]:
    plan, index = window.plan, edges.before
    if index.size == 0:
        return edges, np.empty(0, GLITCH)
    short = np.diff(index) < plan.glitch
    first = np.flatnonzero(np.concatenate(([True], ~short)))
    last = np.flatnonzero(np.concatenate((~short, [True])))
    odd = (last - first) % 2 == 0
    kept = last[odd & ((first == last) | (index[last] - index[first] <= plan.longest))]
    at = np.flatnonzero(short)
    # of short halves in a row every other one is back where the signal was; in endless chatter that is nowhere
    chain = first[np.searchsorted(first, at, side="right") - 1]
    begun = index[at] - index[chain] <= plan.longest
    at = at[np.where(begun, edges.rising[at] == edges.rising[chain], edges.rising[at])]
    glitches = np.empty(at.size, GLITCH)
    glitches["index"] = index[at] + 1 + window.offset
    glitches["samples"] = index[at + 1] - index[at]
    glitches["positive"] = edges.rising[at]
    if at.size:
        # a missing sample must not be the lowest
        low = window.counts if plan.small else np.where(window.counts == MISSING, plan.above, window.counts)
        pairs = np.stack((index[at] + 1, index[at + 1] + 1), axis=1).reshape(-1)
        lowest, highest = np.minimum.reduceat(low, pairs)[0::2], np.maximum.reduceat(window.counts, pairs)[0::2]
        glitches["peak"] = np.where(edges.rising[at], highest, lowest)
    return edges.take(kept), glitches


def _settled(length: Indices, plan: Plan) -> tuple[Indices, Indices]:
    """Return how many samples at the beginning and the end of whole halves are left out."""
    half = (length * SETTLED_HALF).astype(np.int64)
    skip = np.maximum(plan.settling, np.minimum(half, plan.longest_settling))
    skip = np.minimum(skip, length // 2 + length // 4)
    lead = np.minimum(np.clip((length * LEAD_SHARE).astype(np.int64), 1, plan.lead), length - skip - 1)
    return skip, lead


def _cycles(window: _Window, edges: _Edges, bounds: Indices, starts: Indices) -> Rows:
    plan = window.plan
    rows = np.zeros(starts.size, CYCLE)
    for name, places, clean in (("rise", 0, RISE_CLEAN), ("fall", 1, FALL_CLEAN), ("end", 2, END_CLEAN)):
        part = edges.take(starts - 1 + places)
        fraction, step, steepest = _placed(window, part)
        rows[name] = part.before + window.offset
        rows[f"{name}_fraction"] = fraction
        rows[f"{name}_steepest"] = steepest
        rows["flags"] |= np.where(part.after - part.before == 1, clean, 0).astype(np.int32)
        if name != "end":
            rows[f"{name}_step"] = step
    for name, which, settled in (("high", starts, HIGH_SETTLED), ("low", starts + 1, LOW_SETTLED)):
        length = bounds[which + 1] - bounds[which]
        skip, lead = _settled(length, plan)
        first, stop = bounds[which] + skip, bounds[which + 1] - lead
        _fill(rows, window, name, first, stop)
        rows["flags"] |= np.where(skip >= plan.settling, settled, 0).astype(np.int32)
        if (brief := np.flatnonzero(length < plan.short)).size:
            middle = (first[brief] + stop[brief]) // 2
            earlier = _levels(window, first[brief], middle)["level"]
            rows[f"{name}_drift"][brief] = _levels(window, middle, stop[brief])["level"] - earlier
    return rows


def _placed(window: _Window, edges: _Edges) -> tuple[Numbers, Numbers, Numbers]:
    counts, plan = window.counts, window.plan

    def at(places: Indices) -> NDArray[np.int64]:
        return counts[np.clip(places, 0, counts.size - 1)].astype(np.int64)

    def size(later: NDArray[np.int64], earlier: NDArray[np.int64]) -> NDArray[np.int64]:
        # a missing neighbour says nothing
        there = (later != MISSING) & (earlier != MISSING)
        return np.where(there, np.abs(later - earlier), 0)

    before, after = at(edges.before), at(edges.after)
    steepest = np.maximum(size(after, before), size(before, at(edges.before - 1)))
    steepest = np.maximum(steepest, size(at(edges.after + 1), after))
    step = (after - before).astype(np.float64)
    fraction: Numbers = (plan.origin - before) / step * (edges.after - edges.before)
    return fraction, step * plan.gain, steepest.astype(np.float64) * plan.gain


def _blocks(window: _Window, bounds: Indices, which: Indices, low: int, high: int) -> Rows:
    plan, offset, size = window.plan, window.offset, window.counts.size
    firsts, stops, read_firsts, read_stops = [], [], [], []
    for half in which:
        begin, end = int(bounds[half]), int(bounds[half + 1])
        skip = 0 if begin == 0 and window.begins else plan.longest_settling
        lead = 0 if end == size and window.ends else plan.lead
        inner = np.arange(-(-(begin + offset) // plan.block) * plan.block - offset, end, plan.block, dtype=np.int64)
        edge = np.unique(np.concatenate(([begin], inner, [end])))
        own = np.flatnonzero((edge[:-1] >= low) & (edge[:-1] < high))
        firsts.append(edge[own])
        stops.append(edge[own + 1])
        read_firsts.append(np.maximum(edge[own], begin + skip))
        read_stops.append(np.minimum(edge[own + 1], end - lead))
    first, stop = _joined(read_firsts), _joined(read_stops)
    rows = np.zeros(first.size, BLOCK)
    rows["first"], rows["stop"] = _joined(firsts) + offset, _joined(stops) + offset
    found = _levels(window, first, stop)
    for name in ("level", "squares", "lower", "upper", "samples", "least", "most"):
        rows[name] = found[name]
    rows["flags"] = np.where(stop > first, SETTLED, 0) | np.where(found["steady"], STEADY, 0)
    return rows


def _joined(parts: list[Indices]) -> Indices:
    return np.concatenate(parts) if parts else np.empty(0, np.int64)


def _fill(rows: Rows, window: _Window, name: str, first: Indices, stop: Indices) -> None:
    found = _levels(window, first, stop)
    rows[name] = found["level"]
    for part in ("squares", "samples", "least", "most"):
        rows[f"{name}_{part}"] = found[part]


def _levels(window: _Window, first: Indices, stop: Indices) -> dict[str, Any]:
    """Return the levels of stretches: by whole sums where their samples keep together, else without the spikes."""
    plan = window.plan
    stop = np.maximum(stop, first)
    samples = stop - first
    total, squares, least, most = _sums(window.counts, first, stop)
    reference = window.counts[np.minimum(first, window.counts.size - 1)].astype(np.int64)
    departure = total - samples * reference
    # exact however large the squares are, as whole numbers wrap around and the end result fits
    about = squares - 2 * reference * total + samples * reference * reference
    with np.errstate(invalid="ignore", divide="ignore"):
        level = total / samples * plan.gain + plan.zero
        spread = about - departure.astype(np.float64) * departure / samples
    found = {
        "level": level,
        "squares": np.where(samples > 0, np.maximum(spread, 0.0) * (plan.gain * plan.gain), np.nan),
        "lower": level.copy(),
        "upper": level.copy(),
        "samples": samples.copy(),
        "least": least,
        "most": most,
        "steady": samples > 0,
    }
    beyond = (least <= plan.lowest) | (most >= plan.highest)
    rough = np.flatnonzero((samples > 0) & ((most - least > plan.band) | beyond))
    for row in rough.tolist():
        close = look_closely(window.counts[first[row] : stop[row]], plan)
        for part, value in zip(found, close, strict=True):
            found[part][row] = value
    return found


def _sums(counts: Counts, first: Indices, stop: Indices) -> tuple[Indices, Indices, Indices, Indices]:
    if first.size == 0:
        nothing = np.empty(0, np.int64)
        return nothing, nothing, nothing, nothing
    # reduceat takes pairs (first, stop) and ends before stop; a padded last sample lets stop be n
    at = np.stack((first, stop), axis=1).reshape(-1)
    wide = np.append(counts, counts.dtype.type(0)).astype(np.int64)
    filled = stop > first

    def reduced(operation: np.ufunc, values: NDArray[np.int64]) -> Indices:
        return np.where(filled, operation.reduceat(values, at)[0::2], 0)

    return (
        reduced(np.add, wide),
        reduced(np.add, wide * wide),
        reduced(np.minimum, wide),
        reduced(np.maximum, wide),
    )


def look_closely(counts: Counts, plan: Plan) -> tuple[float, float, float, float, int, int, int, bool]:
    """Return the level of a stretch whose samples do not keep together, without spikes and missing samples.

    It is that of :func:`coldpin.pilot.plateaus.find_levels`, in whole numbers.

    Parameters
    ----------
    counts : NDArray
        Array of shape (n,): the stretch.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    tuple
        Level [V], squared departures from it [V²], lower and upper level [V], number of samples, least and most count,
        and whether it has one level.
    """
    there = np.sort(counts[(counts > plan.lowest) & (counts < plan.highest)].astype(np.int64))
    size = int(there.size)
    if size == 0:
        return math.nan, 0.0, math.nan, math.nan, 0, 0, 0, False
    least, most = int(there[0]), int(there[-1])
    inside = there
    if most - least > plan.band:
        # twice the median, to stay whole
        inside = there[np.abs(2 * there - (there[(size - 1) // 2] + there[size // 2])) <= plan.band]
    samples = int(inside.size)
    if samples == 0:
        level, squares = 0.5 * float(there[(size - 1) // 2] + there[size // 2]) * plan.gain + plan.zero, 0.0
    else:
        departures = inside - inside[0]
        departure = int(departures.sum())
        level = (departure + int(inside[0]) * samples) / samples * plan.gain + plan.zero
        spread = float(int((departures * departures).sum())) - float(departure) * departure / samples
        squares = max(spread, 0.0) * (plan.gain * plan.gain)
    if samples >= STEADY_SHARE * size:
        return level, squares, level, level, samples, least, most, True
    # the middle between the outer tenths: one spike must not move it
    below = int(np.searchsorted(2 * there, there[size // 10] + there[size - 1 - size // 10]))
    below = min(max(below, 1), max(size - 1, 1))
    lower = int(there[below // 2]) * plan.gain + plan.zero
    upper = int(there[min(below + (size - below) // 2, size - 1)]) * plan.gain + plan.zero
    return level, squares, lower, upper, samples, least, most, False
