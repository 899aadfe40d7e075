"""Many hands: each reads its own pages of a capture into a buffer of its own, and what they find is joined."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from functools import reduce
from threading import Event
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.pilot.stream.counts import as_counts
from coldpin.pilot.stream.engine import SPECIFICATION, Engine, engine_for
from coldpin.pilot.stream.glitch_sums import GlitchSums, glitch_sums
from coldpin.pilot.stream.part import Part, join, part_of
from coldpin.pilot.stream.plan import Plan, too_short
from coldpin.pilot.stream.spans import Span, extend_spans, joined_spans
from coldpin.records.samples import SampleSource

AT_ONCE = 1 << 20
"""Ours: so many samples are fetched at once; a few millions fit the caches of a processor."""

SMALL_AT_ONCE = 1 << 21
"""Ours: the same for samples of 16 bits or fewer: what neighbouring fetches share is read anew by both, 4 % of a
million samples at 1 MS/s and 2 % of two."""

ALIGNED = 1 << 6
"""Ours: fetches begin at multiples of so many samples, and at multiples of so many bytes in memory: from a file that is
cached they take half as long again otherwise, as lines of the processor's cache are written in two parts."""

FOLDED = 1 << 5
"""Ours: the tables of so many fetches are summed up together: starting to sum takes half as long as one of them."""

FEWEST_PAGES = 1 << 4
"""Ours: no hand is worth starting for fewer pages than this."""

PATIENCE = 0.1
"""Ours: progress is told at least so often. [s]"""


@dataclass(slots=True)
class _Hand:
    """What one hand has found so far."""

    pages: range
    spans: list[Span] = field(default_factory=list)
    glitches: GlitchSums = field(default_factory=GlitchSums)
    done: int = 0


def gather(
    source: SampleSource,
    plan: Plan,
    *,
    hands: int | None,
    progress: Callable[[float], None],
    engine: Engine | None = None,
) -> tuple[tuple[Span, ...], GlitchSums]:
    """Read a whole capture.

    Parameters
    ----------
    source : SampleSource
        The capture.
    plan : Plan
        Its plan.
    hands : int or None
        How many threads read at once; None for one a core with the accelerator, and one without. Only a source that can
        be read from any place needs more than one.
    progress : callable
        Is told the part done, 0 to 1; it may raise to cancel.
    engine : Engine or None
        Who does the work; None for the one that is done first.

    Returns
    -------
    tuple of tuple and GlitchSums
        The joined spans of the capture, and its glitches.

    Raises
    ------
    InputError
        The capture gives fewer samples than it told.
    """
    engine = engine or engine_for(plan.samples)
    if not source.seekable:
        whole = _in_order(source, plan, progress, engine)
        return whole.spans, whole.glitches
    # the specification holds the interpreter most of the time: a second hand would only take memory
    usual = 1 if engine is SPECIFICATION else os.cpu_count() or 1
    count = max(1, min(hands or usual, plan.pages // FEWEST_PAGES))
    bounds = [plan.pages * hand // count for hand in range(count + 1)]
    workers = [_Hand(range(bounds[hand], bounds[hand + 1])) for hand in range(count)]
    stop = Event()
    with ThreadPoolExecutor(count) as pool:
        waiting: set[Future[None]] = {pool.submit(_read_all, source, plan, worker, stop, engine) for worker in workers}
        try:
            while waiting:
                finished, waiting = wait(waiting, PATIENCE, FIRST_COMPLETED)
                for future in finished:
                    future.result()
                progress(sum(worker.done for worker in workers) / max(1, plan.pages))
        finally:
            stop.set()
    spans = joined_spans((span for worker in workers for span in worker.spans), plan.shortest_run)
    return spans, reduce(GlitchSums.plus, (worker.glitches for worker in workers))


def _read_all(source: SampleSource, plan: Plan, hand: _Hand, stop: Event, engine: Engine) -> None:
    """Read the pages of one hand, some at a time, into one buffer; what two windows share is fetched once."""
    together = max(1, (SMALL_AT_ONCE if plan.small else AT_ONCE) // plan.page)
    buffer = _aligned(min(plan.samples, together * plan.page + 2 * plan.reach + 2 * ALIGNED), source.dtype)
    held_first, held_stop = 0, 0
    collector = engine.collector(plan, together * plan.page)
    summed = hand.pages.start
    for page in range(hand.pages.start, hand.pages.stop, together):
        if stop.is_set():
            return
        pages = range(page, min(page + together, hand.pages.stop))
        begin, end = plan.window(pages.start, pages.stop)
        lower, upper = begin - begin % ALIGNED, min(plan.samples, -(-end // ALIGNED) * ALIGNED)
        kept = max(0, held_stop - lower)
        if kept:
            buffer[:kept] = buffer[lower - held_first : held_stop - held_first]
        into = buffer[kept : upper - lower]
        if source.read(lower + kept, into) != into.size:
            raise too_short(begin, plan.samples)
        held_first, held_stop = lower, upper
        counts = as_counts(buffer[begin - lower : end - lower], source.gain, source.zero)
        low, high = pages.start * plan.page, min(plan.samples, pages.stop * plan.page)
        collector.take(counts, begin, low, high)
        if collector.full or pages.stop >= min(summed + FOLDED * together, hand.pages.stop):
            table = collector.table()
            extend_spans(hand.spans, engine.spans_of_pages(table, range(summed, pages.stop), plan), plan.shortest_run)
            hand.glitches = hand.glitches.plus(glitch_sums(table.glitches))
            summed = pages.stop
        hand.done += len(pages)


def _aligned(samples: int, stored: np.dtype[Any]) -> NDArray[Any]:
    """Return an empty array that begins with a line of the processor's cache."""
    size = samples * stored.itemsize
    memory = np.empty(size + ALIGNED, np.uint8)
    first = -memory.ctypes.data % ALIGNED
    return memory[first : first + size].view(stored.newbyteorder("="))


def _in_order(source: SampleSource, plan: Plan, progress: Callable[[float], None], engine: Engine) -> Part:
    whole = part_of(as_counts(np.empty(0, source.dtype), source.gain, source.zero), 0, plan)
    for chunk, _ in source.chunks(max(AT_ONCE, plan.page)):
        whole = join(whole, part_of(as_counts(chunk, source.gain, source.zero), whole.stop, plan, engine), engine)
        progress(whole.stop / plan.samples)
    if whole.stop != plan.samples:
        raise too_short(whole.stop, plan.samples)
    return whole
