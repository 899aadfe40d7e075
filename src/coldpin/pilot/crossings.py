"""Crossings of 0 V: where the pilot changes sign, told apart from noise and from glitches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.pilot.scale import Scale

SHORTEST_HALF = 15e-6
"""Ours: what stays on one side of 0 V for less than this is a glitch, not a half of a cycle. [s] The shortest half a
duty table names lasts twice as long (3 % and 97 % of 1 ms); the dips that relays and vehicles make last a few µs."""

Indices = NDArray[np.int64]
Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crossings:
    """Crossings of 0 V in order, polarities alternating; every array of shape (m,).

    Crossing i lies between sample ``index`` and the next: at ``index + fraction`` by linear interpolation. The two are
    kept apart so that the integer stays exact in captures of any length. ``rise`` is the voltage after less before,
    between the two samples. [V] ``steepest`` is the largest step of the edge: between these two samples, the two before
    or the two after. [V] ``rising`` is its direction. ``clean`` is false where samples between the two are missing.
    """

    index: Indices
    fraction: Numbers
    rise: Numbers
    steepest: Numbers
    rising: Flags
    clean: Flags

    def take(self, keep: Flags | Indices) -> Crossings:
        """Return some of the crossings.

        Parameters
        ----------
        keep : NDArray
            Mask or positions of those wanted.

        Returns
        -------
        Crossings
            Those, in the same order.
        """
        return Crossings(
            index=self.index[keep],
            fraction=self.fraction[keep],
            rise=self.rise[keep],
            steepest=self.steepest[keep],
            rising=self.rising[keep],
            clean=self.clean[keep],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Glitches:
    """Excursions across 0 V too short to be a half of a cycle; every array of shape (g,).

    ``index`` is the first sample of each, ``samples`` its length, ``positive`` the side it went to.
    """

    index: Indices
    samples: Indices
    positive: Flags


def find_crossings(voltage: Numbers, scale: Scale) -> Crossings:
    """Find every change of sign that goes from one side of the hysteresis band to the other.

    A crossing counts once the signal has left the band on the far side; it is placed at 0 V, at the last change of sign
    before that, so the width of the band does not move it.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), NaN where a sample is missing; a clipped sample counts by its sign. [V]
    scale : Scale
        The capture's scale.

    Returns
    -------
    Crossings
        All crossings, glitches included.

    Examples
    --------
    >>> from coldpin.pilot.scale import scale_of
    >>> square = np.tile(np.repeat([-12.0, 9.0], [7, 3]), 3)
    >>> find_crossings(square, scale_of(square, 1e-4)).index.tolist()
    [6, 9, 16, 19, 26]
    """
    outside = np.flatnonzero((voltage >= scale.hysteresis) | (voltage <= -scale.hysteresis))
    positive = voltage[outside] > 0.0
    changes = np.flatnonzero(positive[1:] != positive[:-1])
    before, after = outside[changes], outside[changes + 1]
    rising = positive[changes + 1]
    if (wide := np.flatnonzero(after - before > 1)).size:
        before[wide], after[wide] = _last_change(voltage, after[wide], rising[wide])
    low, high = voltage[before], voltage[after]
    gap = after - before
    return Crossings(
        index=before.astype(np.int64),
        fraction=low / (low - high) * gap,
        rise=high - low,
        steepest=_steepest(voltage, before, after),
        rising=rising,
        clean=gap == 1,
    )


def _last_change(voltage: Numbers, after: Indices, rising: Flags) -> tuple[Indices, Indices]:
    """Return the last sample before each that had not yet crossed, and the first present one behind it."""
    present = np.flatnonzero(np.isfinite(voltage))
    before = np.empty_like(after)
    for up, not_yet in ((True, voltage < 0.0), (False, voltage > 0.0)):
        candidates = np.flatnonzero(not_yet)
        before[rising == up] = candidates[np.searchsorted(candidates, after[rising == up]) - 1]
    return before, present[np.searchsorted(present, before, side="right")]


def _steepest(voltage: Numbers, before: Indices, after: Indices) -> Numbers:
    largest = np.abs(voltage[after] - voltage[before])
    for first, second in ((np.maximum(before - 1, 0), before), (after, np.minimum(after + 1, voltage.size - 1))):
        # a missing neighbour says nothing
        largest = np.fmax(largest, np.abs(voltage[second] - voltage[first]))
    return largest


def drop_glitches(crossings: Crossings, scale: Scale) -> tuple[Crossings, Glitches]:
    """Take out the excursions that are too short to be a half of a cycle.

    Short stretches that follow each other are judged together: when the signal ends on the side it began, all their
    crossings go; when it ends on the other, one edge has chattered and its last crossing stays.

    Parameters
    ----------
    crossings : Crossings
        All crossings of a capture.
    scale : Scale
        The capture's scale.

    Returns
    -------
    tuple of Crossings and Glitches
        The crossings that remain, still alternating, and what was taken out.

    Examples
    --------
    >>> from coldpin.pilot.scale import scale_of
    >>> dipped = np.repeat([9.0, -12.0, 9.0], [50, 5, 50])
    >>> scale = scale_of(dipped, 1e-6)
    >>> kept, glitches = drop_glitches(find_crossings(dipped, scale), scale)
    >>> kept.index.size, glitches.samples.tolist()
    (0, [5])
    """
    length = np.diff(crossings.index)
    short = length * scale.interval < SHORTEST_HALF * (1.0 - 1e-9)
    if not short.any():
        empty = np.empty(0, np.int64)
        return crossings, Glitches(index=empty, samples=empty, positive=np.empty(0, np.bool_))
    # half i lies between crossings i and i + 1; a group of short halves i..j owns the crossings i..j + 1
    padded = np.concatenate(([False], short, [False]))
    first = np.flatnonzero(padded[1:] & ~padded[:-1])
    last = np.flatnonzero(padded[:-1] & ~padded[1:])
    keep = np.ones(crossings.index.size, np.bool_)
    keep[:-1] &= ~short
    keep[1:] &= ~short
    chattered = last[(last - first) % 2 == 0]
    keep[chattered] = True
    glitch = np.flatnonzero(short)
    return crossings.take(keep), Glitches(
        index=crossings.index[glitch] + 1, samples=length[glitch], positive=crossings.rising[glitch]
    )
