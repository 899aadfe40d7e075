"""The levels of a capture: lowest and highest of ever longer blocks of samples, so that any zoom is drawn at once.

A block of the first level holds a power of two of samples, each further level takes four blocks of the one before. A
column of a drawing stands for a power of two of samples too and begins at a multiple of it, so it is made of whole
blocks: what is drawn is the lowest and the highest of exactly the samples it says, and moving the window changes none
of them. Values are kept in 32 bits; rounding keeps order, so the lowest rounded is the rounded lowest.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError

FIRST_BLOCK = 1 << 8
"""Ours: samples in a block of the first level, so that what is finer is read from the capture in a millisecond."""

MOST_BLOCKS = 1 << 22
"""Ours: the first level has no more blocks than this, 32 MiB a channel; a longer capture has longer blocks."""

FEWEST_BLOCKS = 1 << 10
"""Ours: a level with no more blocks than this has none above it."""

STEP = 4
"""Blocks of one level in a block of the next."""

Volts = NDArray[np.float64]
Extremes = NDArray[np.float32]
"""Array of shape (k, 2): lowest and highest of k blocks, NaN where a block has no sample. [V]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelPlan:
    """Which levels a capture has.

    Parameters
    ----------
    samples : int
        Of the capture. [1]
    first_block : int
        Samples in a block of the first level. [1]
    """

    samples: int
    first_block: int

    @property
    def blocks(self) -> tuple[int, ...]:
        """How many samples a block of each level holds."""
        found = [self.first_block]
        while -(-self.samples // found[-1]) > FEWEST_BLOCKS:
            found.append(found[-1] * STEP)
        return tuple(found)

    @property
    def counts(self) -> tuple[int, ...]:
        """How many blocks each level has."""
        return tuple(-(-self.samples // block) for block in self.blocks)


def plan_levels(samples: int) -> LevelPlan:
    """Return the levels that suit a capture.

    Parameters
    ----------
    samples : int
        How many it has. [1]

    Returns
    -------
    LevelPlan
        The plan.

    Examples
    --------
    >>> plan = plan_levels(10**9)
    >>> plan.blocks, plan.counts[0]
    ((256, 1024, 4096, 16384, 65536, 262144, 1048576), 3906250)
    """
    block = FIRST_BLOCK
    while -(-samples // block) > MOST_BLOCKS:
        block *= 2
    return LevelPlan(samples=samples, first_block=block)


def extremes_of(samples: NDArray[Any], block: int) -> NDArray[Any]:
    """Return the lowest and the highest sample of each block; missing ones are passed over.

    Parameters
    ----------
    samples : NDArray
        Array of shape (n,), as stored or in volts.
    block : int
        Samples in a block; the last may have fewer. [1]

    Returns
    -------
    NDArray
        Array of shape (k, 2), of the type of the samples; NaN where all samples of a block are missing.

    Examples
    --------
    >>> extremes_of(np.array([3.0, 1.0, np.nan, 7.0, 5.0]), 2).tolist()
    [[1.0, 3.0], [7.0, 7.0], [5.0, 5.0]]
    """
    whole = samples.size // block
    found = np.empty((-(-samples.size // block), 2), samples.dtype)
    table = samples[: whole * block].reshape(whole, block)
    for column, quick, sure in ((0, np.minimum, np.fmin), (1, np.maximum, np.fmax)):
        quick.reduce(table, axis=1, out=found[:whole, column])
        if whole * block < samples.size:
            found[whole, column] = sure.reduce(samples[whole * block :])
        if samples.dtype.kind == "f":
            # minimum is quick and gives NaN where any sample is missing: those blocks are done once more
            holed = np.flatnonzero(np.isnan(found[:whole, column]))
            found[holed, column] = sure.reduce(table[holed], axis=1)
    return found


def joined_extremes(extremes: Extremes, blocks: int) -> Extremes:
    """Join neighbouring blocks.

    Parameters
    ----------
    extremes : NDArray[np.float32]
        Array of shape (k, 2). [V]
    blocks : int
        How many become one; the last may be made of fewer. [1]

    Returns
    -------
    NDArray[np.float32]
        Array of shape (ceil(k / blocks), 2). [V]

    Examples
    --------
    >>> joined_extremes(np.array([[1, 2], [0, 5], [3, 4]], np.float32), 2).tolist()
    [[0.0, 5.0], [3.0, 4.0]]
    """
    if blocks == 1 or not extremes.size:
        return extremes
    at = np.arange(0, extremes.shape[0], blocks)
    return np.stack((np.fmin.reduceat(extremes[:, 0], at), np.fmax.reduceat(extremes[:, 1], at)), axis=1)


class LevelBuilder:
    """Takes the samples of one channel from the first to the last and makes its levels.

    Parameters
    ----------
    plan : LevelPlan
        Which levels.
    gain, zero : float
        A stored sample x stands for ``gain * x + zero``. [V]
    """

    def __init__(self, plan: LevelPlan, *, gain: float = 1.0, zero: float = 0.0) -> None:
        self._plan, self._gain, self._zero = plan, gain, zero
        self._first = np.empty((plan.counts[0], 2), np.float32)
        self._done = 0
        self._held: NDArray[Any] | None = None

    def take(self, samples: NDArray[Any]) -> None:
        """Take the next samples.

        Parameters
        ----------
        samples : NDArray
            Array of shape (n,), as stored; it may be overwritten afterwards.
        """
        block = self._plan.first_block
        if self._held is not None:
            samples = np.concatenate((self._held, samples))
        whole = samples.size - samples.size % block
        self._held = samples[whole:].copy() if whole < samples.size else None
        self._put(samples[:whole])

    def finish(self) -> tuple[Extremes, ...]:
        """Return the levels when all samples were taken.

        Returns
        -------
        tuple of NDArray[np.float32]
            One of shape (k, 2) for each level, the finest first. [V]

        Raises
        ------
        InputError
            There were not as many samples as planned.
        """
        if self._held is not None:
            self._put(self._held)
            self._held = None
        if self._done != self._plan.counts[0]:
            raise InputError("the capture changed while it was read: wait until its writer has finished")
        levels = [self._first]
        while len(levels) < len(self._plan.blocks):
            levels.append(joined_extremes(levels[-1], STEP))
        return tuple(levels)

    def _put(self, samples: NDArray[Any]) -> None:
        if not samples.size:
            return
        volts = extremes_of(samples, self._plan.first_block).astype(np.float64) * self._gain + self._zero
        stop = self._done + volts.shape[0]
        if stop > self._first.shape[0]:
            raise InputError("the capture changed while it was read: wait until its writer has finished")
        # a gain below zero turns low and high over
        self._first[self._done : stop] = volts[:, ::-1] if self._gain < 0.0 else volts
        self._done = stop


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Which part of a capture is drawn, and how many samples stand in one column.

    Parameters
    ----------
    first : int
        Its first sample, a multiple of ``per_column``. [1]
    stop : int
        One past its last sample. [1]
    per_column : int
        A power of two; 1 where every sample is drawn. [1]
    """

    first: int
    stop: int
    per_column: int

    @property
    def columns(self) -> int:
        """How many columns there are."""
        return -(-(self.stop - self.first) // self.per_column)


def cut_for(samples: int, *, first: int, count: int, columns: int) -> Cut:
    """Return the part to be drawn for a window.

    Parameters
    ----------
    samples : int
        Of the whole capture. [1]
    first, count : int
        The window in samples; what of it lies outside the capture is left out. [1]
    columns : int
        How many columns there may be, but for one more at an edge. [1]

    Returns
    -------
    Cut
        It covers the window, with whole columns as far as the capture goes.

    Raises
    ------
    InputError
        The window or the number of columns is below one, or the window lies outside the capture.

    Examples
    --------
    >>> cut_for(10_000, first=1000, count=5000, columns=1000)
    Cut(first=1000, stop=6000, per_column=8)
    >>> cut_for(10_000, first=9990, count=500, columns=1000)
    Cut(first=9990, stop=10000, per_column=1)
    """
    if count < 1 or columns < 1:
        raise InputError(f"a window of {count} samples in {columns} columns was asked for; both must be 1 at least")
    if not 0 <= first < samples:
        raise InputError(f"the window begins at sample {first}; the capture has those from 0 to {samples - 1}")
    stop = min(first + count, samples)
    per_column = 1
    while per_column * columns < stop - first:
        per_column *= 2
    begin = first - first % per_column
    end = min(-(-stop // per_column) * per_column, samples)
    return Cut(first=begin, stop=end, per_column=per_column)


def envelope(
    cut: Cut,
    plan: LevelPlan | None,
    *,
    volts: Callable[[int, int], Volts],
    level: Callable[[int, int, int], Extremes],
) -> Extremes:
    """Return the lowest and highest sample of each column.

    Parameters
    ----------
    cut : Cut
        What is drawn.
    plan : LevelPlan or None
        Which levels there are; None for none: then the samples themselves are read.
    volts : callable
        Takes a first sample and a number, returns the samples. [V]
    level : callable
        Takes the place of a level, a first block and a number, returns the blocks.

    Returns
    -------
    NDArray[np.float32]
        Array of shape (columns, 2). [V]
    """
    if plan is None or cut.per_column < plan.first_block:
        samples = volts(cut.first, cut.stop - cut.first)
        if cut.per_column == 1:
            alone: Extremes = np.repeat(samples.astype(np.float32)[:, None], 2, axis=1)
            return alone
        found: Extremes = extremes_of(samples, cut.per_column).astype(np.float32)
        return found
    place = max(index for index, block in enumerate(plan.blocks) if block <= cut.per_column)
    block = plan.blocks[place]
    blocks = -(-cut.stop // block) - cut.first // block
    return joined_extremes(level(place, cut.first // block, blocks), cut.per_column // block)


class WaveBuilder:
    """Takes a capture from its first sample to its last, in one pass, and makes the levels of its channels.

    Parameters
    ----------
    plan : LevelPlan
        Which levels.
    gain, zero : float
        A stored sample x of the pilot stands for ``gain * x + zero``. [V]
    output : bool
        Whether there is an output beside the pilot.
    progress : callable
        Told the fraction done; what it raises stops the work.
    """

    def __init__(
        self, plan: LevelPlan, *, gain: float, zero: float, output: bool, progress: Callable[[float], None]
    ) -> None:
        self._plan, self._progress, self._done = plan, progress, 0
        self._pilot = LevelBuilder(plan, gain=gain, zero=zero)
        self._output = LevelBuilder(plan) if output else None

    def take(self, stored: NDArray[Any], output: NDArray[Any] | None) -> None:
        """Take the next samples.

        Parameters
        ----------
        stored : NDArray
            Array of shape (n,), the pilot as stored.
        output : NDArray or None
            Array of shape (n,), the output beside it. [V]
        """
        self._pilot.take(stored)
        if self._output is not None and output is not None:
            self._output.take(output)
        self._done += stored.size
        self._progress(self._done / self._plan.samples)

    def finish(self) -> tuple[tuple[Extremes, ...], ...]:
        """Return the levels when all samples were taken.

        Returns
        -------
        tuple
            The levels of the pilot, the finest first, and those of the output where there is one.

        Raises
        ------
        InputError
            There were not as many samples as planned.
        """
        both = (self._pilot,) if self._output is None else (self._pilot, self._output)
        return tuple(one.finish() for one in both)
