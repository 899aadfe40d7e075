"""The accelerator: what :mod:`coldpin.pilot.stream.table` specifies, compiled, in one pass over the samples.

It searches for the one threshold that matters in the present state, many samples at once; walks back to the crossing;
and sums the plateaus of a cycle while its samples are still in the cache. Same rows, to the last bit.

Importing this module needs numba (extra ``fast``).
"""

# mypy: disable-error-code="no-untyped-def, no-untyped-call, call-arg, var-annotated, unreachable"
# numba reads types from what it is given, not from annotations, and intrinsics take fewer arguments than they declare
# ruff: noqa: C901 - calling a function costs more than many of these lines
from __future__ import annotations

from functools import lru_cache
from threading import local
from typing import Any

import numpy as np

from coldpin.pilot.cycles import LEAD_SHARE, SETTLED_HALF
from coldpin.pilot.stream._kernel_levels import drift_of, levels_apart, levels_of, placed
from coldpin.pilot.stream._kernel_search import crossing, next_trigger
from coldpin.pilot.stream._vectors import VECTOR_BYTES
from coldpin.pilot.stream.compiled import hot, inner, kept
from coldpin.pilot.stream.counts import MISSING, Counts
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.table import (
    BLOCK,
    CYCLE,
    END_CLEAN,
    FALL_CLEAN,
    GLITCH,
    HIGH_SETTLED,
    LOW_SETTLED,
    RISE_CLEAN,
    SETTLED,
    SINGLE,
    STEADY,
    Rows,
    Table,
)

FIRST_ROOM = 1 << 10
"""Glitches that room is made for at first; where there are more the stretch is read again with enough."""

MOST_TOGETHER = 1 << 20
"""Samples that are summed up at once at most."""

PIECE = 1 << 24
"""Ours: bytes of memory that are asked for at once for rows that stay."""

_U = np.uint64


LIMITS = np.dtype(
    [
        *(
            (name, "i8")
            for name in ("over", "under", "below", "above", "band", "lowest", "highest", "glitch", "longest")
        ),
        *((name, "i8") for name in ("settling", "longest_settling", "lead", "short", "block", "together", "one")),
        *((name, "f8") for name in ("origin", "gain", "zero")),
    ]
)
"""The plan as the compiled code takes it; ``together`` is how many samples can be summed at once, ``one`` is 1."""


@lru_cache(maxsize=4)
def limits_of(plan: Plan) -> Any:
    """Return a plan as the compiled code takes it.

    Parameters
    ----------
    plan : Plan
        The plan of the capture.

    Returns
    -------
    numpy.void
        One record of `LIMITS`.
    """
    limits = np.zeros(1, LIMITS)
    for name in LIMITS.names or ():
        if hasattr(plan, name):
            limits[name] = getattr(plan, name)
    most = MOST_TOGETHER
    if plan.small:
        # departures of 16 bits are squared and summed in 32, two of each vector in one place
        lanes = VECTOR_BYTES // 2
        most = lanes * (np.iinfo(np.int32).max // (2 * max(1, plan.band * plan.band)) - 1)
        most = min(most, MOST_TOGETHER) if plan.band <= np.iinfo(np.int16).max else 0
    limits["together"], limits["one"] = most, 1
    return limits[0]


@hot
def _fill_cycle(row, c, offset, a, a_after, b, b_after, e, e_after, p):
    row.rise, row.fall, row.end = a + offset, b + offset, e + offset
    flags = 0
    row.rise_fraction, row.rise_step, row.rise_steepest = placed(c, a, a_after, p)
    flags |= RISE_CLEAN if a_after - a == 1 else 0
    row.fall_fraction, row.fall_step, row.fall_steepest = placed(c, b, b_after, p)
    flags |= FALL_CLEAN if b_after - b == 1 else 0
    row.end_fraction, _, row.end_steepest = placed(c, e, e_after, p)
    flags |= END_CLEAN if e_after - e == 1 else 0
    for side in range(2):
        first = a + 1 if side == 0 else b + 1
        stop = b + 1 if side == 0 else e + 1
        length = stop - first
        half = np.int64(length * SETTLED_HALF)
        skip = max(p.settling, min(half, p.longest_settling))
        skip = min(skip, length // 2 + length // 4)
        lead = min(min(max(np.int64(length * LEAD_SHARE), 1), p.lead), length - skip - 1)
        begin, end = first + skip, stop - lead
        level, squares, _, _, samples, least, most, _ = levels_of(c, begin, end, p)
        drift = drift_of(c, begin, end, p) if length < p.short else 0.0
        if side == 0:
            row.high, row.high_squares, row.high_samples = level, squares, samples
            row.high_least, row.high_most, row.high_drift = least, most, drift
            flags |= HIGH_SETTLED if skip >= p.settling else 0
        else:
            row.low, row.low_squares, row.low_samples = level, squares, samples
            row.low_least, row.low_most, row.low_drift = least, most, drift
            flags |= LOW_SETTLED if skip >= p.settling else 0
    row.flags = flags


@inner
def _fill_blocks(rows, at, c, offset, a, b, low, high, begins, ends, p):
    """Read the steady blocks of a half that begin in a stretch; return one past the last row."""
    skip = 0 if a == 0 and begins else p.longest_settling
    lead = 0 if b == c.size and ends else p.lead
    first = a
    if first < low:
        # on to the first block that begins in the stretch
        first = max(a, -(-(low + offset) // p.block) * p.block - offset)
    while first < b and first < high:
        stop = min(b, ((first + offset) // p.block + 1) * p.block - offset)
        begin, end = max(first, a + skip), min(stop, b - lead)
        level, squares, lower, upper, samples, least, most, steady = levels_apart(c, begin, end, p)
        row = rows[at]
        row.first, row.stop = first + offset, stop + offset
        row.level, row.squares, row.lower, row.upper = level, squares, lower, upper
        row.samples, row.least, row.most = samples, least, most
        row.flags = (SETTLED if end > begin else 0) | (STEADY if steady else 0)
        at += 1
        first = stop
    return at


@inner
def _fill_glitch(row, c, offset, first, stop, positive):
    peak = np.int64(c[_U(first)])
    for i in range(_U(first), _U(stop)):
        count = np.int64(c[i])
        if count != MISSING and (peak == MISSING or (count > peak if positive else count < peak)):
            peak = count
    row.index, row.samples, row.peak, row.positive = first + offset, stop - first, peak, 1 if positive else 0


@kept
def _take(c, offset, low, high, begins, ends, p, cycles, blocks, singles, glitches):
    """Fill the rows of what begins in a stretch; return how many of each, glitches counted beyond their room."""
    size = np.int64(c.size)
    over, under = c.dtype.type(p.over), c.dtype.type(p.under)
    n_cycles, n_blocks, n_singles, n_glitches = 0, 0, 0, 0
    # crossings that follow each other too soon are a chain; (x, x_after, x_up) is its last
    chain, chain_first, chain_up = 0, np.int64(0), False
    x, x_after, x_up = np.int64(0), np.int64(0), False
    # (k, k_after, k_up) is the last crossing kept, (h, h_after) begins the positive half before it that waits
    kept = 0
    k, k_after, k_up = np.int64(-1), np.int64(0), False
    waits, h, h_after = False, np.int64(0), np.int64(0)
    side, i, done = 0, np.int64(0), False
    while not done:
        i = next_trigger(c, i, side, over, under)
        done = i >= size
        y, y_after, y_up = np.int64(0), np.int64(0), False
        if not done:
            y_up = c[_U(i)] > over
            known = side != 0
            side = 1 if y_up else -1
            if not known:
                continue
            y, y_after = crossing(c, i, y_up, p)
            if y < 0:
                continue
            if chain > 0 and y - x < p.glitch:
                # every other one is back where the signal was; in endless chatter that is nowhere
                away = x_up == chain_up if x - chain_first <= p.longest else x_up
                if away and low <= x + 1 < high:
                    if n_glitches < glitches.size:
                        _fill_glitch(glitches[n_glitches], c, offset, x + 1, y + 1, x_up)
                    n_glitches += 1
                chain += 1
                x, x_after, x_up = y, y_after, y_up
                continue
        # the chain has ended: its last crossing stays where it is one, or an edge that chattered for a while
        stays = chain == 1 or (chain % 2 == 1 and x - chain_first <= p.longest)
        e, e_after, e_up = x, x_after, x_up
        chain, chain_first, chain_up = (0 if done else 1), y, y_up
        x, x_after, x_up = y, y_after, y_up
        for turn in range(2):
            if (turn == 0 and not stays) or (turn == 1 and not done):
                continue
            # a half from the last crossing kept to the one that stays, or to the end
            first, stop = k + 1, (e + 1 if turn == 0 else size)
            long = stop - first > p.longest or (turn == 1 and kept == 0 and begins and ends)
            whole = kept > 0 and turn == 0 and not long
            if whole and k_up:
                waits, h, h_after = True, k, k_after
            elif whole and waits:
                if low <= h + 1 < high:
                    _fill_cycle(cycles[n_cycles], c, offset, h, h_after, k, k_after, e, e_after, p)
                    n_cycles += 1
                waits = False
            else:
                if waits and low <= h + 1 < high:
                    singles[n_singles].first, singles[n_singles].stop = h + 1 + offset, first + offset
                    n_singles += 1
                waits = False
                if long:
                    n_blocks = _fill_blocks(blocks, n_blocks, c, offset, first, stop, low, high, begins, ends, p)
                elif stop > first and low <= first < high:
                    singles[n_singles].first, singles[n_singles].stop = first + offset, stop + offset
                    n_singles += 1
            if turn == 0:
                kept += 1
                k, k_after, k_up = e, e_after, e_up
    return n_cycles, n_blocks, n_singles, n_glitches


class Collector:
    """What begins in neighbouring stretches, in rows that are filled again and again.

    Asking the system for new memory takes longer than filling it.

    Parameters
    ----------
    plan : Plan
        The plan of the capture.
    longest : int
        Samples of the longest stretch. [1]
    stretches : int
        For how many stretches at their worst there is room: usual ones hold a thirtieth of that. [1]
    rows : list of NDArray or None
        Rows to be filled where they are enough.
    """

    def __init__(self, plan: Plan, longest: int, stretches: int = 2, rows: list[Rows] | None = None) -> None:
        self._plan = plan
        self._most = (
            longest // (2 * plan.glitch) + 2,
            2 * (longest // plan.block) + 4,
            longest // plan.glitch + 2,
        )
        room = (*(stretches * most for most in self._most), FIRST_ROOM)
        if rows is None or any(one.size < most for one, most in zip(rows, room, strict=True)):
            rows = [np.empty(most, kind) for most, kind in zip(room, (CYCLE, BLOCK, SINGLE, GLITCH), strict=True)]
        self.rows = rows
        self._found = [0, 0, 0, 0]

    @property
    def full(self) -> bool:
        """Whether one more stretch might find no room."""
        return any(
            found + most > rows.size for found, most, rows in zip(self._found, self._most, self.rows, strict=False)
        )

    def take(self, counts: Counts, offset: int, first: int, stop: int) -> None:
        """Take one more stretch apart.

        Parameters
        ----------
        counts : NDArray
            Array of shape (n,) of int16 or int32: the stretch and ``plan.reach`` samples more on either side.
        offset : int
            Place of the first count in the capture. [1]
        first, stop : int
            The stretch, in samples of the capture.
        """
        counts = np.ascontiguousarray(counts)
        begins, ends = offset == 0, offset + counts.size == self._plan.samples
        while True:
            room = [rows[found:] for rows, found in zip(self.rows, self._found, strict=True)]
            more = _take(counts, offset, first - offset, stop - offset, begins, ends, limits_of(self._plan), *room)
            if more[-1] <= room[-1].size:
                break
            held = self._found[-1]
            self.rows[-1] = np.concatenate((self.rows[-1][:held], np.empty(2 * more[-1], GLITCH)))
        self._found = [found + one for found, one in zip(self._found, more, strict=True)]

    def table(self) -> Table:
        """Return what was found and begin anew.

        Returns
        -------
        Table
            Its rows hold until the next stretch is taken.
        """
        cycles, blocks, singles, glitches = (rows[:found] for rows, found in zip(self.rows, self._found, strict=True))
        self._found = [0, 0, 0, 0]
        return Table(cycles=cycles, blocks=blocks, singles=singles, glitches=glitches)


def take_apart(counts: Counts, offset: int, first: int, stop: int, plan: Plan) -> Table:
    """Take apart what begins in a stretch of a capture, as :func:`coldpin.pilot.stream.table.take_apart` does.

    Parameters
    ----------
    counts : NDArray
        Array of shape (n,) of int16 or int32: the stretch, and ``plan.reach`` samples more on either side, as far as
        the capture has them.
    offset : int
        Place of the first count in the capture. [1]
    first, stop : int
        The stretch, in samples of the capture.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    Table
        Every cycle, block, single half and glitch whose first sample lies in the stretch.
    """
    collector = Collector(plan, stop - first, 1, getattr(_HELD, "rows", None))
    collector.take(counts, offset, first, stop)
    _HELD.rows = collector.rows
    found = collector.table()
    return Table(
        cycles=_copied(found.cycles),
        blocks=_copied(found.blocks),
        singles=_copied(found.singles),
        glitches=_copied(found.glitches),
    )


_HELD = local()
"""Rows that each thread fills again and again, and the place it copies what it has found to."""


def _copied(rows: Rows) -> Rows:
    """Copy rows to where the system has given memory in one large piece: page by page it takes longer than reading."""
    # as bytes: row for row and field for field it takes ten times as long
    found = rows.view(np.uint8)
    if found.size > PIECE // 2:
        return found.copy().view(rows.dtype)
    place, used = getattr(_HELD, "piece", (None, 0))
    if place is None or used + found.size > PIECE:
        place, used = np.empty(PIECE, np.uint8), 0
    kept_rows = place[used : used + found.size]
    kept_rows[:] = found
    _HELD.piece = (place, -(-(used + found.size) // VECTOR_BYTES) * VECTOR_BYTES)
    return kept_rows.view(rows.dtype)
