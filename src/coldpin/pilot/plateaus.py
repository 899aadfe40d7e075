"""Levels of the settled parts of a signal: many stretches of one capture at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coldpin.pilot.crossings import Flags, Indices, Numbers
from coldpin.pilot.scale import Scale

STEADY_SHARE = 0.8
"""Ours: a stretch has one level when this share of its samples lies within the spread about their median. [1]"""

_CELLS_AT_ONCE = 1 << 21


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Levels:
    """Levels of stretches; every array of shape (k,).

    ``level`` is the mean of the samples that are no spikes, NaN where a stretch has none. [V] ``deviation`` is their
    standard deviation [V] and ``samples`` their number; ``lowest`` and ``highest`` span all samples. [V] Where
    ``steady`` is false the stretch has no single level; ``lower`` and ``upper`` are the medians of the samples below
    and above its middle, elsewhere they repeat the level. [V]
    """

    level: Numbers
    deviation: Numbers
    samples: Indices
    lowest: Numbers
    highest: Numbers
    steady: Flags
    lower: Numbers
    upper: Numbers

    def take(self, rows: Indices) -> Levels:
        """Return some of the stretches.

        Parameters
        ----------
        rows : NDArray[np.int64]
            Places of those wanted.

        Returns
        -------
        Levels
            Those, in the order asked for.
        """
        return Levels(**{name: getattr(self, name)[rows] for name in self.__slots__})


def find_levels(voltage: Numbers, usable: Flags | None, first: Indices, stop: Indices, scale: Scale) -> Levels:
    """Return the level of each stretch ``voltage[first:stop]``.

    Where the samples of a stretch keep within twice the spread, the level is their mean: every sample helps, and the
    steps of the instrument average out in the noise. Elsewhere spikes are set aside: the level is the mean of the
    samples within the spread about the median.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), one value per sample. [V]
    usable : NDArray[np.bool_] or None
        Array of shape (n,), false for samples that are missing or clipped; None where all are usable.
    first : NDArray[np.int64]
        Array of shape (k,), first sample of each stretch.
    stop : NDArray[np.int64]
        Array of shape (k,), one past the last sample.
    scale : Scale
        The capture's scale.

    Returns
    -------
    Levels
        One level per stretch.

    Examples
    --------
    >>> from coldpin.pilot.scale import scale_of
    >>> spiked = np.array([9.0] * 20 + [15.0] + [9.0] * 20)
    >>> found = find_levels(spiked, None, np.array([0]), np.array([41]), scale_of(spiked, 1e-6))
    >>> found.level.tolist(), found.samples.tolist()
    ([9.0], [40])
    """
    if first.size == 0 or voltage.size == 0:
        return _no_levels(first.size)
    count, total, squares, lowest, highest = _sums(voltage, usable, first, stop)
    # sums of squares lose digits; taken about the mean of the whole stretch they would not join, so keep them about 0 V
    with np.errstate(invalid="ignore", divide="ignore"):
        level = np.where(count > 0, total / count, np.nan)
        deviation = np.sqrt(np.maximum(squares / count - level**2, 0.0) * count / np.maximum(count - 1, 1))
    deviation = np.where(count > 1, deviation, np.nan)
    steady = count > 0
    lower, upper = level.copy(), level.copy()
    samples = count
    rough = np.flatnonzero((count > 0) & (highest - lowest > 2.0 * scale.spread))
    for part in _parts(rough, stop - first):
        robust = _robust_levels(voltage, usable, first[part], stop[part], scale.spread)
        level[part], deviation[part], samples[part], steady[part], lower[part], upper[part] = robust
    return Levels(
        level=level,
        deviation=deviation,
        samples=samples,
        lowest=lowest,
        highest=highest,
        steady=steady,
        lower=lower,
        upper=upper,
    )


def _no_levels(size: int) -> Levels:
    nothing = np.full(size, np.nan)
    return Levels(
        level=nothing,
        deviation=nothing,
        samples=np.zeros(size, np.int64),
        lowest=nothing,
        highest=nothing,
        steady=np.zeros(size, np.bool_),
        lower=nothing,
        upper=nothing,
    )


def _sums(
    voltage: Numbers, usable: Flags | None, first: Indices, stop: Indices
) -> tuple[Indices, Numbers, Numbers, Numbers, Numbers]:
    # reduceat takes pairs (first, stop) and ends before stop; a padded last sample lets stop be n
    at = np.empty(2 * first.size, np.int64)
    at[0::2], at[1::2] = first, stop
    filled = stop > first
    if usable is None:
        count = np.where(filled, stop - first, 0)
        plain = low = high = np.append(voltage, 0.0)
    else:
        count = np.where(filled, np.add.reduceat(np.append(usable, False).astype(np.int64), at)[0::2], 0)
        plain = np.append(np.where(usable, voltage, 0.0), 0.0)
        low = np.append(np.where(usable, voltage, np.inf), 0.0)
        high = np.append(np.where(usable, voltage, -np.inf), 0.0)
    total = np.add.reduceat(plain, at)[0::2]
    squares = np.add.reduceat(plain * plain, at)[0::2]
    some = count > 0
    lowest = np.where(some, np.minimum.reduceat(low, at)[0::2], np.nan)
    highest = np.where(some, np.maximum.reduceat(high, at)[0::2], np.nan)
    return count, total, squares, lowest, highest


def _parts(rough: Indices, length: Indices) -> list[Indices]:
    """Split the stretches into groups of like length, none of which needs much memory as a rectangle."""
    if rough.size == 0:
        return []
    order = rough[np.argsort(length[rough], kind="stable")]
    parts = []
    while order.size:
        widest_first = int(length[order[0]])
        # like lengths: at most twice the shortest, so at most half of a rectangle is empty
        like = int(np.searchsorted(length[order], 2 * widest_first, side="right"))
        take = max(1, min(like, _CELLS_AT_ONCE // max(1, 2 * widest_first)))
        parts.append(order[:take])
        order = order[take:]
    return parts


def _robust_levels(
    voltage: Numbers, usable: Flags | None, first: Indices, stop: Indices, spread: float
) -> tuple[Numbers, Numbers, Indices, Flags, Numbers, Numbers]:
    rows = np.arange(first.size)
    steps = np.arange(int((stop - first).max()))
    at = first[:, None] + steps[None, :]
    absent = at >= stop[:, None]
    at = np.minimum(at, voltage.size - 1)
    if usable is not None:
        absent |= ~usable[at]
    values = np.where(absent, np.inf, voltage[at])
    values.sort(axis=1)
    count = values.shape[1] - absent.sum(axis=1)
    median = 0.5 * (values[rows, (count - 1) // 2] + values[rows, count // 2])
    inlier = np.abs(values - median[:, None]) <= spread
    samples = inlier.sum(axis=1)
    inside = np.where(inlier, values, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        level = np.where(samples > 0, inside.sum(axis=1) / samples, median)
        departures = np.where(inlier, values - level[:, None], 0.0)
        deviation = np.sqrt((departures**2).sum(axis=1) / (samples - 1))
    deviation = np.where(samples > 1, deviation, np.nan)
    steady = samples >= STEADY_SHARE * count
    # the middle between the outer tenths: one spike must not move it
    middle = 0.5 * (values[rows, count // 10] + values[rows, count - 1 - count // 10])
    below = np.clip((values < middle[:, None]).sum(axis=1), 1, np.maximum(count - 1, 1))
    lower = np.where(steady, level, values[rows, below // 2])
    upper = np.where(steady, level, values[rows, np.minimum(below + (count - below) // 2, count - 1)])
    return level, deviation, samples.astype(np.int64), steady, lower, upper
