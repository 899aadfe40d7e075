"""From the rows of a heating log to the readings a curve is fitted to: stretches of one current, blocks of rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_grid import Blocks
from coldpin.errors import InputError

Array = NDArray[np.float64]

BLOCKS = 160
"""Ours: rows are gathered in so many blocks of equal time; a curve of a few parameters needs no more."""

ON_SHARE = 0.1
"""Ours: a current above this share of the largest counts as switched on."""

SAME_CURRENT = 0.05
"""Ours: a current that stays within this share of its mean is one current; a source drifts by less."""

LASTING_ROWS = 3
"""Ours: a current has changed where so many rows in a row say so; one alone is a slip of the reading."""

MOVED = 0.05
"""Ours: a part counts as warming once it has moved by this share of what it moves in all."""

COOLED = 0.15
"""Ours: a part counts as cooling again once it has lost this share of its rise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Rows of one current: from ``first`` up to but not with ``end``; ``current`` is their mean, None if not logged."""

    first: int
    end: int
    current: float | None


def stretches_of_current(current: Array) -> tuple[Stretch, ...]:
    """Return the stretches of rows in which one current flowed.

    Parameters
    ----------
    current : ndarray
        Array of shape (n,), finite. [A]

    Returns
    -------
    tuple of Stretch
        In order; rows in which nothing flowed belong to none.

    Examples
    --------
    >>> amperes = np.array([0.0, 0.0, 16.0, 16.1, 16.0, 16.0, 10.0, 10.0, 10.0, 0.0])
    >>> [(one.first, one.end, round(one.current, 1)) for one in stretches_of_current(amperes)]
    [(2, 6, 16.0), (6, 9, 10.0)]
    """
    size = np.abs(current)
    on = size > ON_SHARE * size.max(initial=0.0)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(np.int8)))
    found = []
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        found += [
            Stretch(first=start, end=stop, current=float(size[start:stop].mean()))
            for start, stop in _steady(size[first:end], first)
        ]
    return tuple(found)


def _steady(size: Array, first: int) -> list[tuple[int, int]]:
    """Part a stretch where the current leaves the mean of what came before and stays away."""
    parts, start, away = [], 0, 0
    total = 0.0
    for place, value in enumerate(size.tolist()):
        count = place - start - away
        if count and abs(value - total / count) > SAME_CURRENT * (total / count):
            away += 1
            if away == LASTING_ROWS:
                parts.append((first + start, first + place + 1 - away))
                start, total, away = place + 1 - away, float(size[place + 1 - away : place + 1].sum()), 0
            continue
        total += value
        # what was away and came back is counted with the rest
        total += float(size[place - away : place].sum()) if away else 0.0
        away = 0
    parts.append((first + start, first + size.size))
    return parts


def warming_rows(temperature: Array) -> Stretch:
    """Return the rows in which a part warms, from its temperature alone, where no current was logged.

    Parameters
    ----------
    temperature : ndarray
        Array of shape (n,), finite. [°C]

    Returns
    -------
    Stretch
        From where the part has clearly begun to move to where it clearly cools again, or to the last row.

    Examples
    --------
    >>> rise = np.concatenate([np.full(20, 20.0), 20.0 + 30.0 * -np.expm1(-np.arange(100) / 25.0)])
    >>> rows = warming_rows(rise)
    >>> 20 <= rows.first <= 23, rows.end
    (True, 120)
    """
    smooth = _smoothed(temperature)
    top = int(np.argmax(smooth))
    low = float(smooth[: top + 1].min())
    rise = float(smooth[top]) - low
    still = np.flatnonzero(smooth[: top + 1] <= low + MOVED * rise)
    first = int(still[-1]) + 1 if still.size else 0
    cooled = np.flatnonzero(smooth[top:] < low + (1.0 - COOLED) * rise)
    end = top + 1 if cooled.size else temperature.size
    return Stretch(first=min(first, temperature.size - 1), end=end, current=None)


_SMOOTHED_ROWS = 5
"""Ours: so many rows make a running median; two wild ones among them move nothing."""


def _smoothed(values: Array) -> Array:
    """Return running medians, ends included, so that one wild reading moves no edge."""
    if values.size < _SMOOTHED_ROWS:
        return values
    half = _SMOOTHED_ROWS // 2
    padded = np.pad(values, half, mode="edge")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, _SMOOTHED_ROWS), axis=1))


def gather(
    time: Array, temperature: Array, ambient: Array, current: Array | None, rows: Stretch, *, began: float, step: float
) -> Blocks:
    """Gather the rows of one stretch in blocks of equal time.

    Parameters
    ----------
    time : ndarray
        Array of shape (n,), rising. [s]
    temperature : ndarray
        Array of shape (n,); NaN where nothing was written. [°C]
    ambient : ndarray
        Array of shape (n,), finite. [°C]
    current : ndarray or None
        Array of shape (n,), finite, where it was logged. [A]
    rows : Stretch
        Which rows.
    began : float
        When the current came, on the same clock. [s]
    step : float
        One step of the thermometer. [K]

    Returns
    -------
    Blocks
        Means of the rows in each block.

    Raises
    ------
    InputError
        No row of the stretch has a temperature, or all have one time.

    Examples
    --------
    >>> time = np.arange(1000.0)
    >>> blocks = gather(time, 20.0 + time / 100.0, np.full(1000, 20.0), None, Stretch(first=0, end=1000, current=None),
    ...                 began=0.0, step=0.1)
    >>> blocks.time.size, float(blocks.counts.sum())
    (160, 1000.0)
    """
    chosen = np.arange(rows.first, rows.end)
    chosen = chosen[np.isfinite(temperature[chosen])]
    if chosen.size < 2 or not time[chosen[-1]] > time[chosen[0]]:
        raise InputError("no temperature was logged while the current was on: check the columns and the times")
    inside = time[chosen]
    edges = np.linspace(inside[0], inside[-1], BLOCKS + 1)
    which = np.clip(np.searchsorted(edges, inside, side="right") - 1, 0, BLOCKS - 1)
    counts = np.bincount(which, minlength=BLOCKS)
    held = counts > 0

    def mean(values: Array) -> Array:
        return np.asarray(np.bincount(which, values[chosen], minlength=BLOCKS)[held] / counts[held])

    square = np.ones(time.size) if current is None else (current / float(np.sqrt(np.mean(current[chosen] ** 2)))) ** 2
    return Blocks(
        time=mean(time) - began,
        temperature=mean(temperature),
        ambient=mean(ambient),
        drive=mean(square),
        counts=counts[held].astype(np.float64),
        resolution=step,
    )


def filled(time: Array, values: Array) -> Array:
    """Return values with those that were not written put in, straight between their neighbours.

    Parameters
    ----------
    time : ndarray
        Array of shape (n,), rising. [s]
    values : ndarray
        Array of shape (n,); NaN where nothing was written.

    Returns
    -------
    ndarray
        Array of shape (n,), finite, in the unit of ``values``.

    Raises
    ------
    InputError
        Nothing was written at all.

    Examples
    --------
    >>> filled(np.array([0.0, 1.0, 2.0]), np.array([1.0, np.nan, 3.0])).tolist()
    [1.0, 2.0, 3.0]
    """
    known = np.isfinite(values)
    if not known.any():
        raise InputError("a column has no value in any row: check which column is meant")
    return np.interp(time, time[known], values[known])


def longest(stretches: Sequence[Stretch], time: Array) -> Stretch:
    """Return the stretch that lasted longest, the later one of two.

    Parameters
    ----------
    stretches : sequence of Stretch
        At least one.
    time : ndarray
        Of the rows, array of shape (n,). [s]

    Returns
    -------
    Stretch
        It.

    Examples
    --------
    >>> rows = [Stretch(first=0, end=3, current=1.0), Stretch(first=3, end=9, current=2.0)]
    >>> longest(rows, np.arange(10.0)).current
    2.0
    """
    return max(reversed(stretches), key=lambda one: float(time[one.end - 1] - time[one.first]))
