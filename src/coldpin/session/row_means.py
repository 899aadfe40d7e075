"""What the rows of phases come to: their means over time and how sure the rows make these, all phases in one pass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

BATCHES = 20
"""Ours: into how many parts the rows of a phase are divided to see how far its mean is sure.

Rows that follow each other are alike (a car hunts, the mains sags), so that the scatter of rows divided by the root of
their number would claim too much; means of parts that are longer than what makes rows alike do not."""


TOGETHER = 1 << 15
"""Rows gone through together, so that what is made of them is still at hand for the next step; it changes how long the
work takes and nothing else. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowMean:
    """What the rows of one phase come to, in the unit of the values.

    ``mean`` is over time, ``deviation`` the standard deviation of the ``rows``. ``about_mean`` is the standard
    uncertainty of the mean by the means of ``parts`` of the rows, ``about_way`` the same beside whatever slow way these
    go; both 0 where there is one part alone.
    """

    mean: float
    deviation: float
    about_mean: float
    about_way: float
    parts: int
    rows: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RowMeans:
    """The same of many phases: lists of m numbers each, in the order of the phases."""

    mean: list[float]
    deviation: list[float]
    about_mean: list[float]
    about_way: list[float]
    parts: list[int]
    rows: list[int]

    def at(self, place: int) -> RowMean:
        """Return what one phase comes to.

        Parameters
        ----------
        place : int
            Which, from 0.

        Returns
        -------
        RowMean
            Of that phase.
        """
        return RowMean(
            mean=self.mean[place],
            deviation=self.deviation[place],
            about_mean=self.about_mean[place],
            about_way=self.about_way[place],
            parts=self.parts[place],
            rows=self.rows[place],
        )


def row_means(
    time_s: NDArray[np.float64], values: NDArray[np.float64], first: NDArray[np.intp], last: NDArray[np.intp]
) -> RowMeans:
    """Return what the rows of phases come to.

    Values are joined by straight lines within a phase. A log with thousands of gaps has tens of thousands of phases of
    a hundred rows: gone through one by one, each would cost more in calls than its rows do.

    Parameters
    ----------
    time_s : NDArray[np.float64]
        Array of shape (n,), rising. [s]
    values : NDArray[np.float64]
        Array of shape (n,), in one unit; NaN spoils the phase that it lies in.
    first, last : NDArray[np.intp]
        Arrays of shape (m,), the rows of each phase, both included.

    Returns
    -------
    RowMeans
        Of every phase; the mean of a single row is its value.

    Examples
    --------
    >>> seconds, values = np.array([0.0, 1.0, 4.0, 5.0]), np.array([0.0, 2.0, 2.0, 7.0])
    >>> row_means(seconds, values, np.array([0, 3]), np.array([2, 3])).mean
    [1.75, 7.0]

    Sources
    -------
    JCGM 100:2008 4.2 (standing: memory, recomputed).
    """
    count = last - first + 1
    cuts = np.flatnonzero(np.diff(np.cumsum(count) // TOGETHER)) + 1
    parts = [
        _means_of(time_s, values, some_first, some_count)
        for some_first, some_count in zip(np.split(first, cuts), np.split(count, cuts), strict=True)
    ]
    return RowMeans(
        mean=[mean for part in parts for mean in part.mean],
        deviation=[deviation for part in parts for deviation in part.deviation],
        about_mean=[about for part in parts for about in part.about_mean],
        about_way=[about for part in parts for about in part.about_way],
        parts=[number for part in parts for number in part.parts],
        rows=[number for part in parts for number in part.rows],
    )


def _means_of(
    time_s: NDArray[np.float64], values: NDArray[np.float64], first: NDArray[np.intp], count: NDArray[np.intp]
) -> RowMeans:
    """Return what the rows of phases that follow each other come to, by arrays over all of their rows."""
    ends = np.cumsum(count)
    starts = ends - count
    rows = np.arange(int(count.sum())) + np.repeat(first - starts, count)
    taken, when = values[rows], time_s[rows]
    # of infinite values nothing is known, as of those that are missing
    with np.errstate(invalid="ignore"):
        plain = np.add.reduceat(taken, starts) / count
        areas = np.append(0.5 * (taken[1:] + taken[:-1]) * np.diff(when), 0.0)
        areas[ends - 1] = 0.0
        span = when[ends - 1] - when[starts]
        mean = np.where(span > 0.0, np.add.reduceat(areas, starts) / np.where(span > 0.0, span, 1.0), plain)
        deviation = np.sqrt(np.add.reduceat((taken - np.repeat(plain, count)) ** 2, starts) / count)
        parts, about_mean, about_way = _spreads(taken, starts, count)
    return RowMeans(
        mean=mean.tolist(),
        deviation=deviation.tolist(),
        about_mean=about_mean.tolist(),
        about_way=about_way.tolist(),
        parts=parts.tolist(),
        rows=count.tolist(),
    )


def _spreads(
    taken: NDArray[np.float64], starts: NDArray[np.intp], count: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.float64]]:
    """Return into how many parts each phase is divided, and what their means spread about one another and a way."""
    parts = np.minimum(count, BATCHES)
    bounds = np.cumsum(parts)
    heads = bounds - parts
    within = np.arange(int(parts.sum())) - np.repeat(heads, parts)
    cuts = np.repeat(starts, parts) + within * np.repeat(count, parts) // np.repeat(parts, parts)
    means = np.add.reduceat(taken, cuts) / np.diff(np.append(cuts, taken.size))
    left = np.maximum(parts - 1, 1)
    about = (means - np.repeat(np.add.reduceat(means, heads) / parts, parts)) ** 2
    # half of the mean square of steps is the variance, whatever slow way there is
    steps = np.append(np.diff(means) ** 2, 0.0)
    steps[bounds - 1] = 0.0
    variance, slow = np.add.reduceat(about, heads) / left, 0.5 * np.add.reduceat(steps, heads) / left
    return parts, np.sqrt(variance / parts), np.sqrt(slow / parts)
