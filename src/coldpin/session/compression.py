"""A long log in few stretches: each holds rows whose values span no more than a width."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

BLOCK = 256
"""Rows looked at together first; it changes how long the work takes and nothing else. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretches:
    """Stretches of a log, in order and without overlap; every array has shape (m,).

    ``first`` and ``last`` are the rows at their ends (last included), ``begin_s`` and ``end_s`` the times of these
    [s]. ``mean``, ``low`` and ``high`` are of the rows' values, ``width`` is what they were allowed to span. ``drift``
    is the mean of the last third of the rows less that of the first third.
    """

    first: NDArray[np.intp]
    last: NDArray[np.intp]
    begin_s: NDArray[np.float64]
    end_s: NDArray[np.float64]
    mean: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    width: NDArray[np.float64]
    drift: NDArray[np.float64]

    @property
    def count(self) -> int:
        """The number m of stretches."""
        return int(self.first.size)


def widths_of(values: NDArray[np.float64], *, share: float, least: float) -> NDArray[np.float64]:
    """Return what the rows of a stretch may span, if it began with each value.

    Parameters
    ----------
    values : NDArray[np.float64]
        Array of shape (n,), in one unit.
    share : float
        Part of the value. [1]
    least : float
        The span allowed at any value, in the unit of the values.

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n,), in the unit of the values.

    Examples
    --------
    >>> widths_of(np.array([0.0, 16.0]), share=0.025, least=0.2).tolist()
    [0.2, 0.4]
    """
    return np.maximum(share * np.abs(values), least)


def find_starts(values: NDArray[np.float64], widths: NDArray[np.float64], cuts: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the rows at which a stretch begins: where the span of the one before would grow beyond its width.

    A value may wander to and fro within the width without ending a stretch; that is the hysteresis. The rows are gone
    through once, in order, and only compared, so that the time grows as the rows do and the result is the same to the
    last bit on every machine.

    Parameters
    ----------
    values : NDArray[np.float64]
        Array of shape (n,), finite, in one unit.
    widths : NDArray[np.float64]
        Array of shape (n,), the span of a stretch that begins at each row, in the unit of the values.
    cuts : NDArray[np.intp]
        Array of shape (k,), rows at which a stretch begins whatever its value is, rising.

    Returns
    -------
    NDArray[np.intp]
        Array of shape (m,), rising, beginning with 0; empty where there is no row.

    Examples
    --------
    >>> values = np.array([0.0, 0.1, 16.0, 16.1, 15.9, 12.0])
    >>> find_starts(values, np.full(6, 0.5), np.array([], np.intp)).tolist()
    [0, 2, 5]
    """
    if not values.size:
        return np.empty(0, np.intp)
    bounds = np.unique(np.concatenate(([0, values.size], cuts[(cuts > 0) & (cuts < values.size)])))
    starts: list[int] = []
    for first, end in zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True):
        starts += _starts_within(values[first:end], widths[first:end], first)
    return np.array(starts, np.intp)


def _starts_within(values: NDArray[np.float64], widths: NDArray[np.float64], offset: int) -> list[int]:
    """Go through the rows of one part that has no cut in it, a block at once where all of it lies within the width."""
    blocks = np.arange(0, values.size, BLOCK)
    lows, highs = (extreme.reduceat(values, blocks).tolist() for extreme in (np.minimum, np.maximum))
    low = high = float(values[0])
    width = float(widths[0])
    starts = [offset]
    for block, lowest, highest in zip(blocks.tolist(), lows, highs, strict=True):
        if max(high, highest) - min(low, lowest) <= width:
            low, high = min(low, lowest), max(high, highest)
            continue
        for place, value in enumerate(values[block : block + BLOCK].tolist(), start=block):
            if value > high:
                high = value
            elif value < low:
                low = value
            else:
                continue
            if high - low > width:
                starts.append(offset + place)
                low = high = value
                width = float(widths[place])
    return starts


def compress(
    time_s: NDArray[np.float64],
    values: NDArray[np.float64],
    *,
    share: float,
    least: float,
    cuts: NDArray[np.intp],
) -> Stretches:
    """Return a log as stretches of rows that span no more than a width.

    Parameters
    ----------
    time_s : NDArray[np.float64]
        Array of shape (n,), rising. [s]
    values : NDArray[np.float64]
        Array of shape (n,), finite, in one unit.
    share : float
        Width as part of the value at which a stretch begins. [1]
    least : float
        The least width, in the unit of the values.
    cuts : NDArray[np.intp]
        Array of shape (k,), rows at which a stretch begins whatever its value is.

    Returns
    -------
    Stretches
        In order; every row lies in one.

    Examples
    --------
    >>> seconds = np.arange(6.0)
    >>> values = np.array([0.0, 0.1, 16.0, 16.1, 15.9, 12.0])
    >>> none = np.array([], np.intp)
    >>> compress(seconds, values, share=0.025, least=0.2, cuts=none).mean.round(2).tolist()
    [0.05, 16.0, 12.0]
    """
    widths = widths_of(values, share=share, least=least)
    first = find_starts(values, widths, cuts)
    if not first.size:
        none = np.empty(0)
        return Stretches(
            first=first,
            last=first,
            begin_s=none,
            end_s=none,
            mean=none,
            low=none,
            high=none,
            width=none,
            drift=none,
        )
    end = np.append(first[1:], values.size)
    sums = np.concatenate(([0.0], np.cumsum(values)))
    third = np.maximum((end - first) // 3, 1)
    leading = (sums[first + third] - sums[first]) / third
    trailing = (sums[end] - sums[end - third]) / third
    return Stretches(
        first=first,
        last=end - 1,
        begin_s=time_s[first],
        end_s=time_s[end - 1],
        mean=np.add.reduceat(values, first) / (end - first),
        low=np.minimum.reduceat(values, first),
        high=np.maximum.reduceat(values, first),
        width=widths[first],
        drift=trailing - leading,
    )
