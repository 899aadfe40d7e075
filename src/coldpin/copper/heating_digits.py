r"""Readings of a thermometer that is finer than its last digit, and what they say: when that digit changed.

A slow curve read without noise stands on one number for minutes and then on the next. Its readings are off by up to
half a step, all of one run to the same side: taken for readings that err alone they say too much of that half step and
too little of the curve. What is known is when the digit changed: then the curve stood midway between two numbers, to
within what it moves from one row to the next. Every run of equal numbers counts besides as one reading, half a step to
both sides.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_grid import Blocks
from coldpin.copper.heating_rows import BLOCKS, Stretch

Array = NDArray[np.float64]

FEWEST_CHANGES = 6
"""Ours: with fewer changes of the last digit than this the readings are fitted as they are."""

BACK_AND_FORTH = 0.1
"""Ours: where more of the changes than this go back on the one before, the readings scatter by more than a small part
of their step; then the step is lost in the scatter, and the mean of many readings is finer than it."""

STANDS = 6.0
"""Ours: rows for each run of equal numbers, at least. In a shorter run every row errs much by itself, and the rows say
as much as the changes, each of which counts as four at most."""

EVEN_STEPS = 0.5
"""Ours: a change of the digit is known no better than to this share of a step. No converter's steps are even, and of
a plug on its cable few exponentials tell no more: with finer ones simulated plugs lay outside their intervals more
often than one in twenty."""

ONE_STEP = 1.5
"""A change of the digit by less than so many steps is a change by one; the floats of a file are no whole numbers."""


def at_changes(time: Array, temperature: Array, rows: Stretch, means: Blocks, *, began: float) -> Blocks | None:
    r"""Return what a log says that is smoother than its own last digit: its runs, and the moments between them.

    A run counts as one reading in its middle, with the variance :math:`s^2 / 12` of a step s. A change by one step
    counts besides, at the moment between its two rows, as :math:`12 / (v h)^2 - 12 / s^2`, with v the slope there and
    h the time between the rows; both together are then worth no more than the change alone.

    Parameters
    ----------
    time : ndarray
        Array of shape (n,), rising. [s]
    temperature : ndarray
        Array of shape (n,); NaN where nothing was written. [°C]
    rows : Stretch
        Which rows.
    means : Blocks
        The same rows gathered in blocks: ambient and current are taken from there.
    began : float
        When the current came, on the clock of ``time``. [s]

    Returns
    -------
    Blocks or None
        At most as many places as there are of means; None where the readings scatter about their last digit, change
        it with every row, or hardly at all.

    Examples
    --------
    >>> from coldpin.copper.heating_rows import gather
    >>> time, rows = np.arange(0.0, 1000.0, 2.0), Stretch(first=0, end=500, current=None)
    >>> read = np.round(20.0 + 0.01 * time)
    >>> means = gather(time, read, np.full(500, 20.0), None, rows, began=0.0, step=1.0)
    >>> found = at_changes(time, read, rows, means, began=0.0)
    >>> found.time[:4].round().tolist(), found.temperature[:4].tolist()
    ([25.0, 51.0, 100.0, 149.0], [20.0, 20.5, 21.0, 21.5])

    Sources
    -------
    A value may lie anywhere within the step: JCGM 100:2008 F.2.2.1. The rest is arithmetic.
    """
    step = means.resolution
    chosen = np.arange(rows.first, rows.end)
    chosen = chosen[np.isfinite(temperature[chosen])]
    when, read = time[chosen] - began, temperature[chosen]
    moves = np.diff(read)
    changed = np.flatnonzero(np.abs(moves) > 0.5 * step) if step > 0.0 else np.empty(0, dtype=np.intp)
    back = int(np.count_nonzero(np.diff(np.sign(moves[changed]))))
    if changed.size < FEWEST_CHANGES or back > BACK_AND_FORTH * changed.size or when.size < STANDS * changed.size:
        return None
    first, last = np.r_[0, changed + 1], np.r_[changed, when.size - 1]
    run_time, run_read = 0.5 * (when[first] + when[last]), read[first]
    # the last reading bounds the end of the curve, which the middle of a long last run does not
    run_time[-1] = when[-1]
    by_one = changed[np.abs(moves[changed]) < ONE_STEP * step]
    moment, midway = 0.5 * (when[by_one] + when[by_one + 1]), 0.5 * (read[by_one] + read[by_one + 1])
    slope = np.gradient(run_read, run_time)
    wide = np.abs(np.interp(moment, run_time, slope)) * (when[by_one + 1] - when[by_one])
    worth = (step / np.clip(wide, EVEN_STEPS * step, step)) ** 2 - 1.0
    counts = np.concatenate([np.ones(run_time.size), worth])
    points = np.array([np.concatenate(both) for both in ((run_time, moment), (run_read, midway))])
    order = np.argsort(points[0], kind="stable")
    order = order[counts[order] > 0.0]
    at, warm, counts = _thinned(points[0][order], points[1][order], counts[order])
    return replace(
        means,
        time=at,
        temperature=warm,
        ambient=np.interp(at, means.time, means.ambient),
        drive=np.interp(at, means.time, means.drive),
        counts=counts,
        finer=float(np.sqrt(counts.mean())),
    )


def _thinned(time: Array, temperature: Array, counts: Array) -> tuple[Array, Array, Array]:
    """Return no more places than there are blocks: neighbours become one, each by what it counts."""
    if time.size <= BLOCKS:
        return time, temperature, counts
    group = np.arange(time.size) * BLOCKS // time.size
    total = np.bincount(group, counts)
    mean_time, mean_temperature = (np.bincount(group, counts * values) / total for values in (time, temperature))
    return np.asarray(mean_time), np.asarray(mean_temperature), np.asarray(total, dtype=np.float64)
