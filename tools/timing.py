"""Timing for the benches: things run in turns with their references, for some seconds a row, and a word for each row.

A machine shared with others runs everything slower; a row then makes fewer runs, so that the whole ends in time.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

ROW_S = 8.0
"""A row stops making runs after so long. [s]"""

LEAST_RUNS = 3
"""A median needs so many."""

_BEGUN = time.perf_counter()


def tell(row: str) -> None:
    """Say on standard error which row is at work, and how long the program has been.

    Parameters
    ----------
    row : str
        What is timed next.
    """
    print(f"{time.perf_counter() - _BEGUN:6.1f} s  {row}", file=sys.stderr, flush=True)


def timed(work: Callable[[], object]) -> float:
    """Return how long something takes.

    Parameters
    ----------
    work : callable
        What is timed.

    Returns
    -------
    float
        Wall time. [s]
    """
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def in_turns(*works: Callable[[], float], runs: int) -> list[tuple[float, ...]]:
    """Run things in turns and return what each gave.

    Parameters
    ----------
    *works : callable
        Each does its work and returns how long it took. [s]
    runs : int
        How often at most; a row that takes longer than `ROW_S` makes fewer, `LEAST_RUNS` at least.

    Returns
    -------
    list of tuple of float
        For each of the things, its times. [s]
    """
    begin = time.perf_counter()
    found: list[tuple[float, ...]] = []
    while len(found) < runs and (len(found) < LEAST_RUNS or time.perf_counter() - begin < ROW_S):
        found.append(tuple(work() for work in works))
    return list(zip(*found, strict=True))
