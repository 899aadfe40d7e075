"""All cycles of a capture that is in memory: every figure of each, by as many hands as there are cores."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from numpy.typing import NDArray

from coldpin.pilot.stream.counts import as_counts
from coldpin.pilot.stream.engine import Engine, engine_for
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.table import Table

STRETCH = 1 << 23
"""Ours: a hand takes so many samples at a time; what it needs on either side of them is half a percent more at most at
1 MS/s."""


def all_cycles(
    samples: NDArray[Any],
    plan: Plan,
    *,
    gain: float,
    zero: float = 0.0,
    hands: int | None = None,
    engine: Engine | None = None,
    progress: Callable[[float], None] | None = None,
) -> tuple[Table, ...]:
    """Take a capture in memory apart into all its cycles and steady blocks.

    Parameters
    ----------
    samples : NDArray
        Array of shape (n,), as stored; int16 is not copied.
    plan : Plan
        The plan of the capture.
    gain : float
        Volts for one stored step. [V]
    zero : float
        Volts of a stored 0. [V]
    hands : int or None
        How many threads work at once; None for one a core.
    engine : Engine or None
        Who does the work; None for the one that is done first.
    progress : callable or None
        Is told the part done, 0 to 1; it may raise to cancel.

    Returns
    -------
    tuple of Table
        Tables of stretches in order of time; what they hold does not depend on where one ends.

    Examples
    --------
    >>> import numpy as np
    >>> from coldpin.pilot.scale import Scale
    >>> from coldpin.pilot.states import windows_of
    >>> from coldpin.pilot.stream.plan import plan_of
    >>> from coldpin.standards import Edition, load_book
    >>> square = np.tile(np.repeat([-12000, 9000], [700, 300]), 5).astype(np.int16)
    >>> scale = Scale(interval=1e-6, noise=0.0, step=0.0, hysteresis=0.2, spread=0.1)
    >>> windows = windows_of(load_book(), Edition.IEC_3)
    >>> plan = plan_of(samples=5000, scale=scale, windows=windows, stored=square.dtype, gain=1e-3)
    >>> [table.cycles["high"].tolist() for table in all_cycles(square, plan, gain=1e-3)]
    [[9.0, 9.0, 9.0, 9.0]]
    """
    chosen = engine or engine_for(plan.samples)

    def take(first: int) -> Table:
        stop = min(plan.samples, first + STRETCH)
        begin, end = max(0, first - plan.reach), min(plan.samples, stop + plan.reach)
        return chosen.take_apart(as_counts(samples[begin:end], gain, zero), begin, first, stop, plan)

    found = []
    with ThreadPoolExecutor(hands or os.cpu_count() or 1) as pool:
        try:
            for table in pool.map(take, range(0, plan.samples, STRETCH)):
                found.append(table)
                if progress is not None:
                    progress(min(1.0, len(found) * STRETCH / plan.samples))
        finally:
            pool.shutdown(cancel_futures=True)
    return tuple(found)
