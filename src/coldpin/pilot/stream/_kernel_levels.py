"""The accelerator's plateaus: level, scatter and drift of a stretch of samples, and where in a step a crossing lies.

Importing this module needs numba (extra ``fast``).
"""

# mypy: disable-error-code="no-untyped-def, no-untyped-call, call-arg, var-annotated, unreachable"
# numba reads types from what it is given, not from annotations, and intrinsics take fewer arguments than they declare
# ruff: noqa: C901 - calling a function costs more than many of these lines
from __future__ import annotations

import math

import numpy as np

from coldpin.pilot.plateaus import STEADY_SHARE
from coldpin.pilot.stream._vectors import VECTOR_BYTES, sums_about
from coldpin.pilot.stream.compiled import hot, inner
from coldpin.pilot.stream.counts import MISSING

GAP_SHRINKS = 5.0 / 11.0
"""By how much the distance of what is compared shrinks in sorting. [1]"""

_U = np.uint64


@inner
def _sort(values, size):
    """Sort whole numbers in place (D. L. Shell's way: numba's own sort takes seconds to compile)."""
    gap = size // 2
    while gap > 0:
        for i in range(gap, size):
            value = values[i]
            j = i
            while j >= gap and values[j - gap] > value:
                values[j] = values[j - gap]
                j -= gap
            values[j] = value
        gap = 1 if gap == 2 else np.int64(gap * GAP_SHRINKS)


@inner
def _select(values, size, wanted):
    """Put the value with a rank where it belongs, lower ones before it, and return it (C. A. R. Hoare's way)."""
    low, high = 0, size - 1
    while low < high:
        pivot = values[wanted]
        i, j = low, high
        while i <= j:
            while values[i] < pivot:
                i += 1
            while values[j] > pivot:
                j -= 1
            if i <= j:
                values[i], values[j] = values[j], values[i]
                i += 1
                j -= 1
        if j < wanted:
            low = i
        if wanted < i:
            high = j
    return values[wanted]


@inner
def _closely(c, first, stop, p):
    there = np.empty(stop - first, np.int64)
    size = 0
    for i in range(_U(first), _U(stop)):
        if p.lowest < c[i] < p.highest:
            there[size] = c[i]
            size += 1
    if size == 0:
        return math.nan, 0.0, math.nan, math.nan, 0, 0, 0, False
    least, most = there[0], there[0]
    for i in range(size):
        least, most = min(least, there[i]), max(most, there[i])
    # twice the median, to stay whole
    twice, farthest = np.int64(0), np.int64(np.iinfo(np.int64).max)
    if most - least > p.band:
        twice = _select(there, size, size // 2)
        lower = twice
        if size % 2 == 0:
            lower = there[0]
            for i in range(size // 2):
                lower = max(lower, there[i])
        twice += lower
        farthest = np.int64(p.band)
    samples, lowest = 0, most
    for i in range(size):
        if abs(2 * there[i] - twice) <= farthest:
            samples += 1
            lowest = min(lowest, there[i])
    if samples == 0:
        level, squares = 0.5 * np.float64(twice) * p.gain + p.zero, 0.0
    else:
        departure, about = np.int64(0), np.int64(0)
        for i in range(size):
            if abs(2 * there[i] - twice) <= farthest:
                apart = there[i] - lowest
                departure += apart
                about += apart * apart
        level = np.float64(departure + lowest * samples) / samples * p.gain + p.zero
        spread = np.float64(about) - np.float64(departure) * np.float64(departure) / samples
        squares = max(spread, 0.0) * (p.gain * p.gain)
    if samples >= STEADY_SHARE * size:
        return level, squares, level, level, samples, least, most, True
    _sort(there, size)
    middle = there[size // 10] + there[size - 1 - size // 10]
    below = 0
    while below < size and 2 * there[below] < middle:
        below += 1
    below = min(max(below, 1), max(size - 1, 1))
    lower_level = np.float64(there[below // 2]) * p.gain + p.zero
    upper_level = np.float64(there[min(below + (size - below) // 2, size - 1)]) * p.gain + p.zero
    return level, squares, lower_level, upper_level, samples, least, most, False


@hot
def levels_of(c, first, stop, p):
    """Return what the specification's ``_levels`` does, for one stretch."""
    samples = stop - first
    if samples <= 0:
        return math.nan, math.nan, math.nan, math.nan, 0, 0, 0, False
    reference, one = c[_U(first)], c.dtype.type(p.one)
    lanes = VECTOR_BYTES // c.itemsize
    departure, about = np.int64(0), np.int64(0)
    least, most = np.int64(reference), np.int64(reference)
    at = first
    while stop - at >= lanes and p.together >= lanes:
        end = min(stop, at + p.together)
        some, squared, lowest, highest = sums_about(c, _U(at), _U(end), reference, one)
        departure += some
        about += squared
        least, most = min(least, lowest), max(most, highest)
        at = end
    for i in range(_U(at), _U(stop)):
        count = np.int64(c[i])
        apart = count - np.int64(reference)
        departure += apart
        about += apart * apart
        least, most = min(least, count), max(most, count)
    if most - least > p.band or least <= p.lowest or most >= p.highest:
        return _closely(c, first, stop, p)
    level = np.float64(departure + np.int64(reference) * samples) / samples * p.gain + p.zero
    spread = np.float64(about) - np.float64(departure) * np.float64(departure) / samples
    return level, max(spread, 0.0) * (p.gain * p.gain), level, level, samples, least, most, True


@inner
def placed(c, before, after, p):
    """Return the fraction of a crossing, the step across it, and the steepest of the edge in counts."""
    low, high = np.int64(c[_U(before)]), np.int64(c[_U(after)])
    steepest = abs(high - low)
    earlier = np.int64(c[_U(max(before - 1, 0))])
    later = np.int64(c[_U(min(after + 1, c.size - 1))])
    if earlier != MISSING:
        steepest = max(steepest, abs(low - earlier))
    if later != MISSING:
        steepest = max(steepest, abs(later - high))
    step = np.float64(high - low)
    fraction = (p.origin - np.float64(low)) / step * np.float64(after - before)
    return fraction, step * p.gain, np.float64(steepest) * p.gain


@inner
def levels_apart(c, first, stop, p):
    """Return the same, by a call: what is seldom wanted is not written out."""
    return levels_of(c, first, stop, p)


@inner
def drift_of(c, begin, end, p):
    """Return by how much the second half of a plateau lies above the first."""
    middle = (begin + end) // 2
    return levels_apart(c, middle, end, p)[0] - levels_apart(c, begin, middle, p)[0]
