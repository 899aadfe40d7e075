"""Rise and fall of the pilot: from 10 % to 90 % of the swing between the settled plateaus, and back.

The edges of many cycles are laid over each other, each at its place between two samples: where the sampling walks
through the oscillator they show one edge at far closer steps than the samples of any one cycle do. What is read of a
cycle depends on its own plateaus and on the samples near its crossings only.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from coldpin.pilot.crossings import Crossings, Flags, Indices, Numbers
from coldpin.pilot.cycles import LONGEST_SETTLING, CycleTable
from coldpin.pilot.figures import FEWEST, Source, mean_deviation
from coldpin.pilot.levels import lacking
from coldpin.pilot.placement import dithered_step, placed, steepness
from coldpin.quantity import Component, Quantity, Shape
from coldpin.quantity.model import SQRT3

MOST_CYCLES = 512
"""Ours: the edges of a run are read from so many of its cycles at most; more would not make them surer. [1]"""

STRETCHES = 4
"""Ours: those cycles are taken as so many stretches spread over the run, so that a change within it shows. [1]"""

BATCHES = 8
BATCH_CYCLES = 8
"""Ours: the scatter of an edge is that between so many batches of cycles, each of at least so many. [1]"""

LOWER = 0.1
UPPER = 1.0 - LOWER
"""Rise time is from 10 % to 90 % of the swing (as in ``pilot.rise.*``). [1]"""

AROUND = 0.03
"""Ours: an edge is placed at 10 % and at 90 % by its samples within this part of the swing to either side. [1]"""

PARABOLA = 1e-3
"""Ours: a parabola through those samples places an exponential edge this part of its length wrong at most. [1]"""

PARABOLA_MIDDLE = 1.5
"""Standard deviation of the middle of a parabola through evenly spread values, in that of their mean. [1]"""

BEND = 1.25
"""Ours: between two samples a distance d apart an edge of length t bends by up to this many times d²/t. [1] Worked out
for edges that begin at a corner and end as an exponential, three to a hundred samples long."""

FEWEST_ON_LINE = 32
"""Ours: a line through the crossings of fewer cycles does not place steep edges well enough. [1]"""

FEWEST_SAMPLES = 3.0
"""Ours: an edge that spans fewer steps than this is below the resolution. [1] By linear interpolation a lag of 0.9 µs
reads 19 % long at two samples an edge, and what the sampling alone would show at 0.1 samples an edge."""

FINE = 8
"""Ours: edges laid over each other are averaged in so many steps a sample interval. [1]"""

SEEN = 0.25
"""Ours: an edge that makes less than this part of the swing in one sample is laid by its own crossing of 0 V; a steeper
one by a straight line through the crossings of its stretch, because its own cannot be placed well enough. [1]"""

NOISIEST = 0.03
"""Ours: noise of more than this part of the swing hides where 10 % and 90 % are. [1]"""

NORMAL_EDGE = 2.563
"""10 % to 90 % of a normal distribution, in standard deviations: by so much jitter widens an edge. [1]"""

BANDWIDTH_EDGE = 0.35
"""Common practice, no published source: an instrument of bandwidth B shows a step with a rise time of 0.35 / B. [1]"""

HIDDEN = 2.0
"""Ours: an edge faster than this many times the instrument's own, or than what jitter makes of it, is not told. [1]"""

INCLUDED = "with the edge of the instrument itself, whose bandwidth is not stated"

ReadSamples = Callable[[int, int], Numbers]
"""Samples from one place to before another, NaN where missing or clipped. [V]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """Rise and fall time of a run; what is null is shorter than ``below``, or not known where that is null too. [s]"""

    rise: Quantity | None = None
    fall: Quantity | None = None
    below: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Overlaid:
    """Samples of the edges of k cycles, each of shape (k, w), in an order that lets every edge go from 0 to 1.

    ``at`` is the place of each sample from its edge [sample intervals], ``part`` the part of the swing made [1].
    ``unsure`` is the standard deviation of the place of a whole stretch [sample intervals].
    """

    at: Numbers
    part: Numbers
    by_line: bool
    unsure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Passage:
    """Where the edge passes a part of the swing.

    ``at`` is the place and ``gap`` the distance of the two samples about it [sample intervals], ``slope`` the part of
    the swing made in one interval there [1]. ``unsure`` is what noise and steps of the samples leave open in the place
    [sample intervals], with ``dof`` degrees of freedom; None where too few samples lie near to tell.
    """

    at: float
    gap: float
    slope: float
    weight: float
    unsure: float | None = None
    dof: float = math.inf


def edges_of(read: ReadSamples, cycles: CycleTable, rows: Indices, source: Source) -> Edges:
    r"""Return the rise and the fall time of the cycles of a run.

    Each edge is measured against the plateaus of its own cycle, so that gain and offset of the instrument and a slow
    movement of the rails cancel. Where the bandwidth B of the instrument is stated its own edge is taken out:

    .. math:: t = \sqrt{t_{read}^2 - (0.35 / B)^2}

    and edges faster than a sample interval can be told. Where it is not stated, an edge must span three samples, since
    a filter that belongs to the sampling would show one of about one sample interval whatever the pilot does.
    Uncertainty: scatter of the cycles; noise over slope where they are few; the steps of the instrument over the slope;
    the bend of the edge between the samples seen; jitter; what a plateau too short to settle may lack; the correction
    for the bandwidth.

    Parameters
    ----------
    read : callable
        Gives the samples from one place of the capture to before another; it is asked for at most `STRETCHES` parts.
    cycles : CycleTable
        The cycles of the capture.
    rows : NDArray[np.int64]
        Those of the run.
    source : Source
        The capture.

    Returns
    -------
    Edges
        Both times, or what they are below.
    """
    high, low = cycles.high.levels.level[rows], cycles.low.levels.level[rows]
    with np.errstate(invalid="ignore"):
        rows = rows[cycles.clean[rows] & (high > low)]
    if rows.size == 0:
        return Edges()
    high, low = cycles.high.levels.level[rows], cycles.low.levels.level[rows]
    swing = float(np.median(high - low))
    rows = rows[_usual(cycles, rows, swing)]
    if rows.size == 0 or source.scale.noise > NOISIEST * swing:
        return Edges()
    # the half before a rise belongs to the cycle before: without one it may be cut short
    follows = rows[(rows > 0) & (cycles.end.index[rows - 1] == cycles.rise.index[rows])]
    rise = _edge(read, cycles, _stretches(follows), swing, source, rising=True) if follows.size else None
    fall = _edge(read, cycles, _stretches(rows), swing, source, rising=False)
    below = [time for time in (rise, fall) if isinstance(time, float)]
    return Edges(
        rise=rise if isinstance(rise, Quantity) else None,
        fall=fall if isinstance(fall, Quantity) else None,
        below=max(below, default=None),
    )


def _usual(cycles: CycleTable, rows: Indices, swing: float) -> Flags:
    """Leave out cycles of another length or swing than most: a glitch cut them, or the state changed."""
    period = cycles.period_samples()[rows]
    on = cycles.on_samples()[rows]
    own = cycles.high.levels.level[rows] - cycles.low.levels.level[rows]
    keep: Flags = np.abs(own - swing) <= LOWER * swing
    for figure in (period, on):
        typical = float(np.median(figure))
        keep &= np.abs(figure - typical) <= np.maximum(LOWER * np.minimum(typical, period - on), 2.0)
    return keep


def _stretches(rows: Indices) -> list[Indices]:
    if rows.size <= MOST_CYCLES:
        return [rows]
    length = MOST_CYCLES // STRETCHES
    firsts = np.linspace(0, rows.size - length, STRETCHES).astype(np.int64)
    return [rows[first : first + length] for first in firsts]


def _edge(
    read: ReadSamples, cycles: CycleTable, stretches: list[Indices], swing: float, source: Source, *, rising: bool
) -> Quantity | float | None:
    """Return the time of one edge, what it is below [s], or None where nothing can be told."""
    edges = cycles.rise if rising else cycles.fall
    steep = steepness(edges.take(np.concatenate(stretches)), swing)
    unseen = float(steep.mean()) >= SEEN
    by_line = unseen and min(rows.size for rows in stretches) >= FEWEST_ON_LINE
    overlaid = _overlay(read, cycles, stretches, swing, source, rising=rising, by_line=by_line)
    blur = _blur(overlaid, swing, source)
    if HIDDEN * blur > FEWEST_SAMPLES:
        # no straight line holds the crossings together: then each can only be laid by its own
        overlaid, blur = _overlay(read, cycles, stretches, swing, source, rising=rising, by_line=False), 0.0
    first, last = _passage(overlaid, LOWER), _passage(overlaid, UPPER)
    if first is None or last is None:
        return None
    interval = source.scale.interval
    bandwidth = None if source.accuracy is None else source.accuracy.bandwidth
    time = last.at - first.at
    if unseen and not overlaid.by_line:
        # laid by places that are no better than a sample interval
        first, last = (replace(passage, gap=max(passage.gap, 1.0)) for passage in (first, last))
    spacing = max(first.gap, last.gap, 0.0 if bandwidth is not None else 1.0)
    own = BANDWIDTH_EDGE / bandwidth / interval if bandwidth is not None else 0.0
    resolution = max(FEWEST_SAMPLES * spacing, HIDDEN * own, HIDDEN * blur)
    if time < resolution:
        return resolution * interval
    corrected = math.sqrt(time**2 - own**2 - (blur**2 if overlaid.by_line else 0.0))
    what = "rise" if rising else "fall"
    everything = np.concatenate(stretches)
    parts = [
        *_scatter(overlaid, source, what),
        *_shares(first, last, swing, _before_steps(cycles, everything, source), source, what),
        _part(source, f"bandwidth in the {what}", 0.5 * own**2 / time),
        _part(source, f"jitter in the {what}", 0.5 * blur**2 / time),
        _unsettled(cycles, everything, last if rising else first, source, what, swing),
    ]
    scaled = [replace(part, contribution=interval * part.contribution) for part in parts]
    return source.quantity(interval * corrected, "s", scaled, [] if bandwidth is not None else [INCLUDED])


def _part(source: Source, label: str, half_width: float) -> Component:
    return source.component(label, half_width / SQRT3, shape=Shape.RECTANGULAR)


def _overlay(
    read: ReadSamples,
    cycles: CycleTable,
    stretches: list[Indices],
    swing: float,
    source: Source,
    *,
    rising: bool,
    by_line: bool,
) -> _Overlaid:
    everything = np.concatenate(stretches)
    on, period = cycles.on_samples()[everything], cycles.period_samples()[everything]
    # no window may reach into the edges beside
    shortest = float(min(on.min(), (period - on).min()))
    reach = max(1, min(source.scale.count(LONGEST_SETTLING), int(0.5 * shortest)))
    edges = cycles.rise if rising else cycles.fall
    steps = np.arange(-reach, reach + 2)
    places, parts, offsets = [], [], []
    for rows in stretches:
        own = edges.take(rows)
        begin = max(int(own.index[0]) - reach, 0)
        voltage = read(begin, int(own.index[-1]) + reach + 2)
        at = own.index[:, None] + steps[None, :]
        inside = (at >= begin) & (at - begin < voltage.size)
        seen = np.where(inside, voltage[np.clip(at - begin, 0, voltage.size - 1)], np.nan)
        bottom = cycles.low.levels.level[rows][:, None]
        top = cycles.high.levels.level[rows][:, None]
        made = (seen - bottom) / (top - bottom)
        parts.append(made if rising else 1.0 - made)
        behind, unsure = _on_line(own, swing) if by_line else (own.fraction, 0.0)
        places.append(steps[None, :] - behind[:, None])
        offsets.append(unsure)
    return _Overlaid(at=np.concatenate(places), part=np.concatenate(parts), by_line=by_line, unsure=max(offsets))


def _on_line(edges: Crossings, swing: float) -> tuple[Numbers, float]:
    """Return how far behind its sample each crossing lies by the straight line through all, and how unsure that is."""
    behind = (edges.index - edges.index[0]) + placed(edges, steepness(edges, swing))
    apart = np.diff(behind)
    number = np.concatenate(([0.0], np.cumsum(np.rint(apart / np.median(apart)))))
    slope, start = np.polyfit(number, behind, 1)
    line = start + slope * number
    # two parameters, each as unsure as a mean; placing follows the walk of the sampling, so neighbours are alike
    unsure = math.sqrt(2.0) * mean_deviation(behind - line)
    return np.asarray(line - (edges.index - edges.index[0]), dtype=np.float64), unsure


def _means(overlaid: _Overlaid) -> tuple[Numbers, Numbers, Numbers]:
    """Return places, parts and counts of the samples averaged in fine steps, in order of place."""
    present = np.isfinite(overlaid.part)
    at, part = overlaid.at[present], overlaid.part[present]
    bins = np.floor((at - at.min()) * FINE).astype(np.int64)
    count = np.bincount(bins)
    filled = np.flatnonzero(count)
    weight = count[filled].astype(np.float64)
    return (
        np.bincount(bins, weights=at)[filled] / weight,
        np.bincount(bins, weights=part)[filled] / weight,
        weight,
    )


def _passage(overlaid: _Overlaid, level: float) -> _Passage | None:
    """Return where the edge passes a part of the swing.

    A curve that only rises is laid through the samples; where enough of them lie near the level, a parabola through
    these places it better.
    """
    from scipy import optimize

    if not np.isfinite(overlaid.part).any():
        return None
    at, part, weight = _means(overlaid)
    above = np.flatnonzero(part >= 0.5)
    if above.size == 0:
        return None
    middle = int(above[0])
    before, behind = np.flatnonzero(part[:middle] <= 0.0), np.flatnonzero(part[middle:] >= 1.0)
    start = int(before[-1]) if before.size else 0
    # what rings behind the edge is no part of it
    stop = middle + (int(behind[0]) if behind.size else part.size - middle - 1) + 1
    at, part, weight = at[start:stop], part[start:stop], weight[start:stop]
    rising = optimize.isotonic_regression(part, weights=weight).x
    here = int(np.searchsorted(rising, level))
    if here in (0, rising.size):
        return None
    place = _between(at, rising, level, here)
    begin, end = (
        _between(at, rising, beside, min(max(int(np.searchsorted(rising, beside)), 1), rising.size - 1))
        for beside in (level - AROUND, level + AROUND)
    )
    coarse = _Passage(
        at=place,
        gap=float(at[here] - at[here - 1]),
        slope=2.0 * AROUND / max(end - begin, np.finfo(np.float64).tiny),
        weight=float(0.5 * (weight[here] + weight[here - 1])),
    )
    near = slice(int(np.searchsorted(at, begin)), int(np.searchsorted(at, end, side="right")))
    return _placed_by_parabola(coarse, at[near], part[near], weight[near], level)


def _between(at: Numbers, rising: Numbers, level: float, here: int) -> float:
    lower, upper = rising[here - 1], rising[here]
    share = (level - lower) / (upper - lower) if upper > lower else 0.5
    return float(at[here - 1] + min(max(share, 0.0), 1.0) * (at[here] - at[here - 1]))


def _placed_by_parabola(coarse: _Passage, at: Numbers, part: Numbers, weight: Numbers, level: float) -> _Passage:
    if at.size < FEWEST:
        return coarse
    behind = at - coarse.at
    terms = np.stack([np.ones(at.size), behind, behind**2], axis=1)
    root = np.sqrt(weight)
    found, _, rank, _ = np.linalg.lstsq(terms * root[:, None], part * root, rcond=None)
    if rank < 3 or found[1] <= 0.0:
        return coarse
    move = (level - found[0]) / found[1]
    if abs(move) > max(0.5 * (at[-1] - at[0]), coarse.gap):
        return coarse
    freedom = float(at.size - 3)
    left = float(np.average((part - terms @ found) ** 2, weights=weight)) / freedom
    return replace(
        coarse,
        at=coarse.at + float(move),
        slope=float(found[1]),
        unsure=PARABOLA_MIDDLE * math.sqrt(left) / float(found[1]),
        dof=freedom,
    )


def _blur(overlaid: _Overlaid, swing: float, source: Source) -> float:
    """Return by how much the scatter of the places widens the edge; 0 where each edge is laid by its own crossing."""
    if not overlaid.by_line:
        return 0.0
    present = np.isfinite(overlaid.part)
    at, part = overlaid.at[present], overlaid.part[present]
    bins = np.floor((at - at.min()) * FINE).astype(np.int64)
    count = np.bincount(bins)
    mean = np.bincount(bins, weights=part) / np.maximum(count, 1)
    square = np.bincount(bins, weights=part**2) / np.maximum(count, 1) - mean**2
    middle = (mean > 2.0 * LOWER) & (mean < 1.0 - 2.0 * LOWER) & (count > 1)
    noise = (math.hypot(source.scale.noise, source.scale.step / (2.0 * SQRT3)) / swing) ** 2
    first, last = _passage(overlaid, 0.5 - LOWER), _passage(overlaid, 0.5 + LOWER)
    if not middle.any() or first is None or last is None:
        return 0.0
    slope = 2.0 * LOWER / max(last.at - first.at, 1.0 / FINE)
    spread = float(np.average(square[middle] * count[middle] / (count[middle] - 1.0), weights=count[middle]))
    return NORMAL_EDGE * math.hypot(math.sqrt(max(spread - noise, 0.0)) / slope, overlaid.unsure)


def _scatter(overlaid: _Overlaid, source: Source, what: str) -> list[Component]:
    """Return what the cycles scatter, as that between batches of them; nothing where they are few."""
    size = overlaid.at.shape[0] // BATCHES
    if size < BATCH_CYCLES:
        return []
    times = []
    for place in range(BATCHES):
        batch = slice(place * size, (place + 1) * size)
        own = replace(overlaid, at=overlaid.at[batch], part=overlaid.part[batch])
        begin, end = _passage(own, LOWER), _passage(own, UPPER)
        if begin is not None and end is not None:
            times.append(end.at - begin.at)
    if len(times) < FEWEST:
        return []
    deviation = float(np.std(times, ddof=1)) / math.sqrt(len(times))
    return [source.component(f"scatter of the {what}", deviation, len(times) - 1.0)]


def _before_steps(cycles: CycleTable, rows: Indices, source: Source) -> float:
    """Return the noise of the plateaus before the steps of the instrument. [V]"""
    within = np.concatenate([side.levels.deviation[rows] for side in (cycles.high, cycles.low)])
    within = within[np.isfinite(within)]
    rounding = source.scale.step / (2.0 * SQRT3)
    return math.sqrt(max(0.0, float(np.mean(within**2)) - rounding**2)) if within.size else 0.0


def _shares(first: _Passage, last: _Passage, swing: float, noise: float, source: Source, what: str) -> list[Component]:
    """Return what noise, the steps of the instrument and the bend between two samples leave open at either end."""
    step = source.scale.step
    rounding = step * dithered_step(noise / step) / swing if step > 0.0 else 0.0
    time = last.at - first.at
    shares = []
    for name, passage in (("10 %", first), ("90 %", last)):
        where = f"at {name} of the {what}"
        if passage.unsure is None:
            single = math.hypot(max(noise, source.scale.noise) / swing / math.sqrt(passage.weight), rounding)
            shares.append(source.component(f"noise and steps {where}", single / passage.slope))
        else:
            shares.append(source.component(f"noise and steps {where}", passage.unsure, passage.dof))
            shares.append(_part(source, f"shape of the edge {where}", PARABOLA * time))
        # the plateaus are rounded to the same steps
        shares.append(source.component(f"steps of the plateau {where}", UPPER * rounding / passage.slope))
        shares.append(_part(source, f"bend between samples {where}", BEND * passage.gap**2 / time))
    return shares


def _unsettled(
    cycles: CycleTable, rows: Indices, upper: _Passage, source: Source, what: str, swing: float
) -> Component:
    """Return what a high plateau that has not settled moves the passage of its near end."""
    high = cycles.high.take(rows)
    share, _ = lacking(high, float(np.nanmean(high.levels.level)), source, "high level")
    return source.component(
        f"settling of the high level in the {what}",
        UPPER * share.contribution / (swing * upper.slope),
        shape=Shape.RECTANGULAR,
    )
