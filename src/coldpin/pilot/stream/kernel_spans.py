"""The accelerator's spans: what :mod:`coldpin.pilot.stream.spans` specifies, compiled, for many pages at once.

Importing this module needs numba (extra ``fast``).
"""

# mypy: disable-error-code="no-untyped-def, no-untyped-call, assignment"
# numba reads types from what it is given, not from annotations
# ruff: noqa: C901 - calling a function costs more than many of these lines
from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coldpin.pilot.scale import SPREAD_MOST
from coldpin.pilot.states import NO_WORD, RUNNING, STATES
from coldpin.pilot.stream._kernel_sums import (
    COLUMNS,
    HEAD,
    HIGH,
    LOW,
    LOWER,
    REST,
    ROOM,
    SIDES,
    UPPER,
    block_sums,
    cycle_sums,
    merged,
)
from coldpin.pilot.stream.compiled import inner, kept
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.spans import UNDEFINED, Span, Word, block_codes
from coldpin.pilot.stream.sums import VOLT, LevelSums, Sums, TimeSums, left_by_lag
from coldpin.pilot.stream.table import Table

_LEVELS, _TIMES = len(LevelSums._fields), len(TimeSums._fields)
_UNDEFINED, _UNPLUGGED = UNDEFINED, STATES.index(RUNNING[0])


@inner
def _code_of(row, windows, loud):
    """Return what a cycle says, as :func:`coldpin.pilot.states.classify_cycles` does."""
    if not np.isfinite(row.high):
        return np.int64(NO_WORD)
    found = np.int64(_UNDEFINED)
    if loud:
        return found
    for i in range(windows.shape[0]):
        if windows[i, 0] <= row.high <= windows[i, 1]:
            found = np.int64(windows[i, 2])
    if found == _UNPLUGGED:
        for i in range(1, windows.shape[0]):
            if windows[i, 0] <= -row.low <= windows[i, 1]:
                return np.int64(_UNDEFINED)
    return found


@kept
def _fold(
    cycles,
    windows,
    loud,
    blocks,
    at_block,
    singles,
    bounds,
    limits,
    lags,
    heads,
    levels,
    times,
    centres,
    counts,
    batches,
):
    """Fill a row for each span, and one of ``batches`` for each page of it.

    Returns how many rows there are of either, -1 where there is no room.
    """
    some = np.empty(ROOM, np.int64)
    work = np.empty((COLUMNS, max(cycles.size, blocks.size) + 1), np.int64)
    volts = np.empty((3, max(cycles.size, blocks.size) + 1), np.float64)
    c, b, s, rows, page, n_batches = 0, 0, 0, 0, 0, 0
    told, told_word = -1, np.int64(NO_WORD)
    none = np.int64(1) << 62
    while c < cycles.size or b < blocks.size or s < singles.size:
        if rows == heads.shape[0] or n_batches == batches.shape[0]:
            return -1, -1
        head = heads[rows]
        c_first, b_first = c, b
        opened, code, stop = False, np.int64(NO_WORD), np.int64(0)
        while True:
            cycle = cycles[c].rise + 1 if c < cycles.size else none
            block = blocks[b].first if b < blocks.size else none
            single = singles[s].first if s < singles.size else none
            first = min(cycle, min(block, single))
            if first == none:
                break
            if first == cycle:
                if told != c:
                    told, told_word = c, _code_of(cycles[c], windows, loud)
                word = told_word
            else:
                word = at_block[b] if first == block else np.int64(NO_WORD)
            if not opened:
                while first >= bounds[page + 1]:
                    page += 1
                head[0], head[2], head[3] = first, word, page
                code, opened = word, True
            elif word != code or first >= bounds[page + 1]:
                break
            if first == cycle:
                stop = cycles[c].end + 1
                c += 1
            elif first == block:
                stop = blocks[b].stop
                b += 1
            else:
                stop = singles[s].stop
                s += 1
        head[1] = stop
        counts[rows] = c - c_first
        if code != NO_WORD:
            if c > c_first:
                cycle_sums(
                    head,
                    levels[rows],
                    times[rows],
                    centres[rows],
                    cycles[c_first:c],
                    lags,
                    limits,
                    work,
                    volts,
                    some,
                )
            if b > b_first:
                block_sums(head, levels[rows], centres[rows], blocks[b_first:b], limits[2], work, volts, some)
        if times[rows, 2] > 0:
            batches[n_batches, 1], batches[n_batches, 2], batches[n_batches, 3] = page, times[rows, 2], times[rows, 3]
        follows = rows > 0 and code != NO_WORD and heads[rows - 1, 2] == code
        has_batch = times[rows, 2] > 0
        if follows and merged(levels, times, centres, rows):
            before = heads[rows - 1]
            before[1] = head[1]
            for i in range(4, HEAD):
                before[i] += head[i]
            for i in range(HEAD):
                head[i] = 0
            counts[rows - 1] += counts[rows]
            centres[rows, :] = 0
            rows -= 1
        if has_batch:
            batches[n_batches, 0] = rows
            n_batches += 1
        rows += 1
    return rows, n_batches


def spans_of_pages(table: Table, pages: range, plan: Plan) -> Iterator[Span]:
    """Return the spans of some pages, as :func:`coldpin.pilot.stream.spans.spans_of` does for one.

    Parameters
    ----------
    table : Table
        What begins in the pages.
    pages : range
        Their numbers.
    plan : Plan
        The plan of the capture.

    Yields
    ------
    Span
        Spans in order of time.
    """
    windows = np.array(
        [
            (window.minimum, window.maximum, STATES.index(state))
            for window, state in zip(plan.windows.high, RUNNING, strict=True)
        ]
    )
    loud = plan.scale.noise > SPREAD_MOST
    at_block = block_codes(table.blocks, plan) if table.blocks.size else np.empty(0, np.int64)
    bounds = np.arange(pages.start, pages.stop + 1) * plan.page
    bounds[-1] = np.iinfo(np.int64).max
    limits = np.array([plan.settling, plan.longest_settling, int(plan.scale.spread * VOLT)])
    lags = left_by_lag(plan.longest_settling, plan.scale.interval)
    room = 2 * len(pages) + 2
    while True:
        heads, levels = np.zeros((room, HEAD), np.int64), np.zeros((room, SIDES, _LEVELS), np.int64)
        times, centres = np.zeros((room, _TIMES), np.int64), np.zeros((room, SIDES + 1), np.int64)
        counts, batches = np.zeros(room, np.int64), np.zeros((room, 4), np.int64)
        rows, some = _fold(
            table.cycles,
            windows,
            loud,
            table.blocks,
            at_block,
            table.singles,
            bounds,
            limits,
            lags,
            heads,
            levels,
            times,
            centres,
            counts,
            batches,
        )
        if rows >= 0:
            break
        room *= 4
    periods: dict[int, list[tuple[int, int, int]]] = {}
    for row, page, count, total in batches[:some].tolist():
        _add_batch(periods.setdefault(row, []), (pages.start + page) // plan.batch, count, total)
    for row in range(rows):
        first, stop, code, _, cycle_time, block_time, blocks, steady = heads[row].tolist()
        cycles = int(counts[row])
        if code == NO_WORD:
            yield Span(first=first, stop=stop, code=code, cycles=cycles, words={})
            continue
        found = [_level(*pair) for pair in zip(levels[row].tolist(), centres[row].tolist(), strict=False)]
        sums = Sums(
            cycle_time,
            block_time,
            cycles,
            blocks,
            steady,
            found[HIGH],
            found[LOW],
            _time(times[row].tolist(), int(centres[row, SIDES])),
            found[REST],
            found[LOWER],
            found[UPPER],
            tuple(periods.get(row, ())),
        )
        yield Span(first=first, stop=stop, code=code, cycles=cycles, words={code: Word(share=stop - first, sums=sums)})


def _add_batch(batches: list[tuple[int, int, int]], batch: int, count: int, total: int) -> None:
    if batches and batches[-1][0] == batch:
        _, before, so_far = batches.pop()
        count, total = count + before, total + so_far
    batches.append((batch, count, total))


def _about_zero(count: int, total: int, squares: int, centre: int) -> tuple[int, int]:
    return total + count * centre, squares + 2 * centre * total + count * centre**2


def _level(row: list[int], centre: int) -> LevelSums:
    row[3:5] = _about_zero(row[2], row[3], row[4], centre)
    return LevelSums(*row)


def _time(row: list[int], centre: int) -> TimeSums:
    row[4:6] = _about_zero(row[2], row[4], row[5], centre)
    row[17:19] = _about_zero(row[16], row[17], row[18], centre)
    return TimeSums(*row)
