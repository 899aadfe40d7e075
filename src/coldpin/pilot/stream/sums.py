"""Sums over the cycles and blocks of a page: whole numbers, so that pages add up to the same whatever the order.

Levels are summed in steps of 2**-20 V, times in steps of 2**-24 of a sample interval, shares in steps of 2**-30.
Outliers are set aside page by page, so what a page adds does not depend on what is read with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple, TypeVar

import numpy as np

from coldpin.pilot.crossings import Flags, Indices, Numbers
from coldpin.pilot.figures import (
    IRREGULAR,
    MEDIAN_DEVIATION_TO_SIGMA,
    OUTLIER,
    SAMPLING_SPREAD,
    SLOWEST_LAG,
    WHOLE_SHARE,
)
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.table import (
    END_CLEAN,
    FALL_CLEAN,
    HIGH_SETTLED,
    LOW_SETTLED,
    RISE_CLEAN,
    STEADY,
    Rows,
)

VOLT = 1 << 20
INTERVAL = 1 << 24
SHARE = 1 << 30
"""Ours: steps in a volt, in a sample interval, in 1: a thousandth of what noise leaves of a mean."""

COARSE_BITS = 12
COARSE_SHARE_BITS = 10
"""Ours: times and shares drop so many bits before they are squared, or the squares of a page would not fit."""

MOST_DEPARTURE = 1 << 24
"""Ours: no level departs from the middle of its page by more than 16 V when squares are summed."""

MIDDLE_OF = (1 << 6) - 1
"""Ours: the middle of a page is that of so many values at most, evenly spread over it."""

STRETCH = 1 << 4
"""Ours: periods are also averaged over so many cycles, to see how the mean period wanders."""

ALL_CLEAN = RISE_CLEAN | FALL_CLEAN | END_CLEAN


class LevelSums(NamedTuple):
    """Sums over plateaus.

    ``rows`` plateaus, ``seen`` of which have a level; ``kept`` of these counted. ``total`` and ``squares`` sum their
    levels and the squares, ``steps`` the squared differences of neighbours, ``pairs`` of them; ``least`` and ``most``
    the ends of their samples in counts; ``within`` the squared departures of samples from their level [2**-30 V²],
    ``freedom`` the samples less one. ``early`` plateaus not past the settling time have the levels ``early_total``.
    ``told`` plateaus had a drift, summed alike; ``lag`` sums what an edge leaves where none is told. [2**-30]
    """

    rows: int = 0
    seen: int = 0
    kept: int = 0
    total: int = 0
    squares: int = 0
    steps: int = 0
    pairs: int = 0
    least: int = 0
    most: int = 0
    within: int = 0
    freedom: int = 0
    early: int = 0
    early_total: int = 0
    told: int = 0
    drift: int = 0
    drift_squares: int = 0
    drift_steps: int = 0
    drift_pairs: int = 0
    lag: int = 0


class TimeSums(NamedTuple):
    """Sums over the times of cycles.

    ``rows`` cycles have clean crossings, ``regular`` of them a period near the middle one, ``kept`` counted.
    ``period`` and ``duty`` sum in full steps, ``_coarse``, ``_squares`` and ``_steps`` in coarse ones. ``rise_steep``
    and ``fall_steep`` sum the steepness of edges, ``rise_slope`` and ``fall_slope`` the middle step across 0 V once a
    cycle. ``stretches`` means over some cycles each sum to ``stretch`` and ``stretch_squares``, in coarse steps.
    """

    rows: int = 0
    regular: int = 0
    kept: int = 0
    period: int = 0
    period_coarse: int = 0
    period_squares: int = 0
    period_steps: int = 0
    duty: int = 0
    duty_coarse: int = 0
    duty_squares: int = 0
    duty_steps: int = 0
    pairs: int = 0
    rise_steep: int = 0
    fall_steep: int = 0
    rise_slope: int = 0
    fall_slope: int = 0
    stretches: int = 0
    stretch: int = 0
    stretch_squares: int = 0


_Sums = TypeVar("_Sums", LevelSums, TimeSums)


class Sums(NamedTuple):
    """All that is summed over the pieces of one state.

    ``cycle_time`` and ``block_time`` are the samples of its cycles and blocks, ``cycles`` and ``blocks`` their number,
    ``steady`` that of blocks with one level. ``batches`` holds, in order, number of batch, cycles kept and the sum of
    their periods.
    """

    cycle_time: int = 0
    block_time: int = 0
    cycles: int = 0
    blocks: int = 0
    steady: int = 0
    high: LevelSums = LevelSums()
    low: LevelSums = LevelSums()
    time: TimeSums = TimeSums()
    rest: LevelSums = LevelSums()
    rest_lower: LevelSums = LevelSums()
    rest_upper: LevelSums = LevelSums()
    batches: tuple[tuple[int, int, int], ...] = ()


def added(one: Sums, other: Sums) -> Sums:
    """Return the sums of two stretches together.

    Parameters
    ----------
    one, other : Sums
        The sums, in order of time.

    Returns
    -------
    Sums
        Their sums, exactly.

    Examples
    --------
    >>> added(Sums(cycles=2, batches=((0, 2, 10),)), Sums(cycles=1, batches=((0, 1, 5), (1, 1, 5)))).batches
    ((0, 3, 15), (1, 1, 5))
    """
    batches = one.batches + other.batches
    if one.batches and other.batches and one.batches[-1][0] == other.batches[0][0]:
        (batch, count, total), (_, more, rest) = one.batches[-1], other.batches[0]
        batches = (*one.batches[:-1], (batch, count + more, total + rest), *other.batches[1:])
    return Sums(
        one.cycle_time + other.cycle_time,
        one.block_time + other.block_time,
        one.cycles + other.cycles,
        one.blocks + other.blocks,
        one.steady + other.steady,
        _plus(one.high, other.high),
        _plus(one.low, other.low),
        _plus(one.time, other.time),
        _plus(one.rest, other.rest),
        _plus(one.rest_lower, other.rest_lower),
        _plus(one.rest_upper, other.rest_upper),
        batches,
    )


def interleaved(parts: Sequence[Sums]) -> Sums:
    """Return the sums of several states of one stretch together, by whichever turns they came.

    Parameters
    ----------
    parts : sequence of Sums
        The sums of each.

    Returns
    -------
    Sums
        Their sums, exactly.

    Examples
    --------
    >>> one, other = Sums(batches=((0, 2, 10), (2, 1, 5))), Sums(batches=((0, 1, 5), (1, 1, 5)))
    >>> interleaved([one, other]).batches
    ((0, 3, 15), (1, 1, 5), (2, 1, 5))
    """
    whole = Sums()
    batches: dict[int, tuple[int, int]] = {}
    for part in parts:
        whole = added(whole, part)
        for batch, count, total in part.batches:
            held = batches.get(batch, (0, 0))
            batches[batch] = held[0] + count, held[1] + total
    return whole._replace(batches=tuple((batch, *batches[batch]) for batch in sorted(batches)))


def _plus(one: _Sums, other: _Sums) -> _Sums:
    if not one.rows:
        return other
    if not other.rows:
        return one
    return type(one)(*map(int.__add__, one, other))


def middle(values: Indices) -> int:
    """Return the middle of whole values: the lower median of some of them, evenly spread.

    Parameters
    ----------
    values : NDArray[np.int64]
        Array of shape (n,), n at least 1.

    Returns
    -------
    int
        One of the values.

    Examples
    --------
    >>> middle(np.array([4, 1, 3, 2]))
    2
    """
    some = values[:: -(-values.size // MIDDLE_OF)]
    return int(np.partition(some, (some.size - 1) // 2)[(some.size - 1) // 2])


def _near_middle(values: Indices, centre: int, least: int) -> Flags:
    departures = np.abs(values - centre)
    return departures <= max(int(OUTLIER * MEDIAN_DEVIATION_TO_SIGMA * middle(departures)), least)


@cache
def left_by_lag(longest: int, interval: float) -> Indices:
    """Return what the slowest usual edge leaves after each number of samples.

    Parameters
    ----------
    longest : int
        The largest number w of samples asked for. [1]
    interval : float
        Time between samples. [s]

    Returns
    -------
    NDArray[np.int64]
        Array of shape (w + 1,). [2**-30]

    Examples
    --------
    >>> (left_by_lag(3, 1e-6) / SHARE).round(3).tolist()
    [1.0, 0.846, 0.717, 0.607]
    """
    return _steps(np.exp(-np.arange(longest + 1) * interval / SLOWEST_LAG), SHARE)


def _steps(values: Numbers, unit: int) -> Indices:
    steps: Indices = np.floor(values * unit + 0.5).astype(np.int64)
    return steps


def sums_of(cycles: Rows, blocks: Rows, batch: int, plan: Plan) -> Sums:
    """Return the sums of pieces that show one state and belong to one page.

    Parameters
    ----------
    cycles : NDArray
        Array of shape (c,) of `CYCLE`.
    blocks : NDArray
        Array of shape (b,) of `BLOCK`.
    batch : int
        The batch the page belongs to.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    Sums
        Their sums.
    """
    time = _time_sums(cycles)
    rest = lower = upper = _rest_sums(blocks, "level", plan)
    if not (blocks["flags"] & STEADY).all():
        lower, upper = _rest_sums(blocks, "lower", plan), _rest_sums(blocks, "upper", plan)
    return Sums(
        int((cycles["end"] - cycles["rise"]).sum()),
        int((blocks["stop"] - blocks["first"]).sum()),
        cycles.size,
        blocks.size,
        int(np.count_nonzero(blocks["flags"] & STEADY)),
        _plateau_sums(cycles, "high", plan),
        _plateau_sums(cycles, "low", plan),
        time,
        rest,
        lower,
        upper,
        ((batch, time.kept, time.period),) if time.kept else (),
    )


def _plateau_sums(cycles: Rows, side: str, plan: Plan) -> LevelSums:
    first, stop = ("rise", "fall") if side == "high" else ("fall", "end")
    length = cycles[stop] - cycles[first]
    skip = np.maximum(plan.settling, np.minimum(length // 2, plan.longest_settling))
    return _level_sums(
        cycles[side],
        {name: cycles[f"{side}_{name}"] for name in ("squares", "samples", "least", "most")},
        settled=(cycles["flags"] & (HIGH_SETTLED if side == "high" else LOW_SETTLED)) != 0,
        drift=cycles[f"{side}_drift"],
        lag=left_by_lag(plan.longest_settling, plan.scale.interval)[np.minimum(skip, length // 2 + length // 4)],
        plan=plan,
    )


def _rest_sums(blocks: Rows, level: str, plan: Plan) -> LevelSums:
    return _level_sums(
        blocks[level],
        {name: blocks[name] for name in ("squares", "samples", "least", "most")},
        settled=blocks["samples"] > 0,
        drift=np.zeros(blocks.size),
        lag=np.zeros(blocks.size, np.int64),
        plan=plan,
    )


def _level_sums(
    level: Numbers, parts: dict[str, Rows], *, settled: Flags, drift: Numbers, lag: Indices, plan: Plan
) -> LevelSums:
    seen = np.isfinite(level)
    keep = np.flatnonzero(seen & settled)
    if keep.size == 0:
        early = _steps(level[seen], VOLT)
        return LevelSums(rows=level.size, seen=early.size, early=early.size, early_total=int(early.sum()))
    counts = parts["samples"][keep].astype(np.int64)
    keep = keep[counts >= WHOLE_SHARE * middle(counts)]
    values = _steps(level[keep], VOLT)
    centre = middle(values)
    near = _near_middle(values, centre, int(plan.scale.spread * VOLT))
    keep, departures = keep[near], np.clip(values[near] - centre, -MOST_DEPARTURE, MOST_DEPARTURE)
    total, squares = _about_zero(departures, centre)
    told = drift[keep]
    told = np.clip(_steps(told[np.isfinite(told)], VOLT), -MOST_DEPARTURE, MOST_DEPARTURE)
    return LevelSums(
        level.size,
        int(np.count_nonzero(seen)),
        keep.size,
        total,
        squares,
        int((np.diff(departures) ** 2).sum()),
        max(0, keep.size - 1),
        int(parts["least"][keep].sum(dtype=np.int64)),
        int(parts["most"][keep].sum(dtype=np.int64)),
        int(_steps(parts["squares"][keep], SHARE).sum()),
        int((parts["samples"][keep].astype(np.int64) - 1).sum()),
        0,
        0,
        told.size,
        int(told.sum()),
        int((told**2).sum()),
        int((np.diff(told) ** 2).sum()),
        max(0, told.size - 1),
        int(lag[keep].sum()),
    )


def _about_zero(departures: Indices, centre: int) -> tuple[int, int]:
    """Return the sum of values and of their squares from departures from a centre."""
    size, total, squares = departures.size, int(departures.sum()), int((departures**2).sum())
    return total + size * centre, squares + 2 * centre * total + size * centre**2


def _time_sums(cycles: Rows) -> TimeSums:
    high, low = np.nan_to_num(cycles["high"]), np.nan_to_num(cycles["low"])
    swing = high - low
    clean = np.flatnonzero(((cycles["flags"] & ALL_CLEAN) == ALL_CLEAN) & (swing > 0.0))
    if clean.size == 0:
        return TimeSums()
    rows, swing = cycles[clean], swing[clean]
    steep, at = {}, {}
    for edge in ("rise", "fall", "end"):
        steep[edge] = np.minimum(rows[f"{edge}_steepest"].astype(np.float64) / swing, 1.0)
        fraction = rows[f"{edge}_fraction"]
        at[edge] = fraction + steep[edge] * steep[edge] * (0.5 - fraction)
    period = (rows["end"] - rows["rise"]) + (at["end"] - at["rise"])
    duty = _steps(((rows["fall"] - rows["rise"]) + (at["fall"] - at["rise"])) / period, SHARE)
    period = _steps(period, INTERVAL)
    usual = middle(period)
    regular = np.abs(period - usual) <= int(IRREGULAR * usual)
    keep = regular & _near_middle(period, usual, int(SAMPLING_SPREAD * INTERVAL))
    keep &= _near_middle(duty, middle(duty), int(SAMPLING_SPREAD * INTERVAL / usual * SHARE))
    if not keep.any():
        return TimeSums(rows=clean.size, regular=int(regular.sum()))
    kept = rows[keep]
    period, duty = period[keep], duty[keep]
    coarse, share = period >> COARSE_BITS, duty >> COARSE_SHARE_BITS
    times = _about_zero(coarse - (usual >> COARSE_BITS), usual >> COARSE_BITS)
    shares = _about_zero(share, 0)
    whole = period.size - period.size % STRETCH
    stretch = (period[:whole].reshape(-1, STRETCH).sum(axis=1) // STRETCH) >> COARSE_BITS
    stretches = _about_zero(stretch - (usual >> COARSE_BITS), usual >> COARSE_BITS)
    return TimeSums(
        clean.size,
        int(regular.sum()),
        period.size,
        int(period.sum()),
        *times,
        int((np.diff(coarse) ** 2).sum()),
        int(duty.sum()),
        *shares,
        int((np.diff(share) ** 2).sum()),
        period.size - 1,
        int(_steps(steep["rise"][keep], SHARE).sum()),
        int(_steps(steep["fall"][keep], SHARE).sum()),
        period.size * middle(_steps(np.abs(kept["rise_step"]).astype(np.float64), VOLT)),
        period.size * middle(_steps(np.abs(kept["fall_step"]).astype(np.float64), VOLT)),
        stretch.size,
        *stretches,
    )
