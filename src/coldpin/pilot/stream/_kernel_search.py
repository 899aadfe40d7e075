"""The accelerator's search: the next sample beyond the one threshold that matters, and the crossing behind it.

Importing this module needs numba (extra ``fast``).
"""

# mypy: disable-error-code="no-untyped-def, no-untyped-call, call-arg"
# numba reads types from what it is given, not from annotations, and intrinsics take fewer arguments than they declare
from __future__ import annotations

import numpy as np

from coldpin.pilot.stream._vectors import MASK, STRIDE, any_over, any_under, first_bit, over_mask, under_mask
from coldpin.pilot.stream.compiled import hot
from coldpin.pilot.stream.counts import MISSING

_U = np.uint64
_STRIDE, _MASK = np.uint64(STRIDE), np.uint64(MASK)


@hot
def next_over(c, i, over):
    """Return the first place from i on where a count is over the band, or the size."""
    size = _U(c.size)
    at = _U(i)
    while at + _STRIDE <= size and not any_over(c, at, over):
        at += _STRIDE
    while at + _MASK <= size:
        mask = over_mask(c, at, over)
        if mask:
            return np.int64(at + first_bit(mask))
        at += _MASK
    while at < size and c[at] <= over:
        at += _U(1)
    return np.int64(at)


@hot
def next_under(c, i, under):
    """Return the first place from i on where a count is under the band, missing or not, or the size."""
    size = _U(c.size)
    at = _U(i)
    while at + _STRIDE <= size and not any_under(c, at, under):
        at += _STRIDE
    while at + _MASK <= size:
        mask = under_mask(c, at, under)
        if mask:
            return np.int64(at + first_bit(mask))
        at += _MASK
    while at < size and c[at] >= under:
        at += _U(1)
    return np.int64(at)


@hot
def next_trigger(c, i, side, over, under):
    """Return the next place outside the band on the other side than ``side``, on any where that is 0, or the size."""
    if side < 0:
        return next_over(c, i, over)
    while side > 0:
        i = next_under(c, i, under)
        if i == c.size or c[i] != MISSING:
            return i
        i += 1
    while i < c.size and not (c[i] > over or (c[i] < under and c[i] != MISSING)):
        i += 1
    return i


@hot
def crossing(c, trigger, rising, p):
    """Return the sample before a crossing and the first present one behind it, (-1, -1) where it is none."""
    size = np.int64(c.size)
    j = trigger - 1
    last = max(np.int64(0), trigger - p.longest)
    if rising:
        while j >= last and (c[_U(j)] > p.below or c[_U(j)] == MISSING):
            j -= 1
        before = j
        while j >= last and (c[_U(j)] >= p.under or c[_U(j)] == MISSING):
            j -= 1
    else:
        while j >= last and c[_U(j)] < p.above:
            j -= 1
        before = j
        while j >= last and c[_U(j)] <= p.over:
            j -= 1
    if j < last:
        return np.int64(-1), np.int64(-1)
    after = before + 1
    while after < size and c[_U(after)] == MISSING:
        after += 1
    return before, after
