"""Where a log has a gap, and where the supply was lost: two things that only look alike.

A logger that ran out of memory, lost its radio or was fed by the socket under test leaves the same hole. It is a loss
of the supply only where the voltage beside it or a mark shows one; else nothing was recorded, and nothing is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.records.session import EventMark, MarkKind

SLOW_SHARE = 0.95
"""Ours: the interval that so many of all intervals do not exceed stands for how a log runs when it runs. A logger that
writes on change has short and long intervals, both its own. [1]"""

GAP_TIMES = 5.0
"""Ours: an interval so many times as long as that is a gap. Rows dropped here and there leave less. [1]"""

ABSENT_SHARE = 0.5
"""Ours: a voltage below this part of the log's usual one is a lost supply: a mains that sags to half feeds nothing as
it should, and a meter that rides through shows a few volts. [1]"""

HIGH_SHARE = 0.99
"""Ours: the voltage that so many rows do not exceed is one the supply had: fewer are a meter's slips. [1]"""

BY_VOLTAGE = "voltage"
BY_MARKS = "marks"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """How a log runs: its usual interval, and the interval from which on it is a gap. [s]"""

    usual_s: float
    gap_from_s: float


def spacing_of(time_s: NDArray[np.float64], *, gap_from: float | None = None) -> Spacing:
    """Return how far apart the rows of a log usually are, and from when on that is a gap.

    Parameters
    ----------
    time_s : NDArray[np.float64]
        Array of shape (n,), rising, n at least 2. [s]
    gap_from : float or None
        The interval from which on it is a gap, where somebody knows it. [s]

    Returns
    -------
    Spacing
        The median interval, and five times the one that 95 % of all do not exceed.

    Examples
    --------
    >>> spacing_of(np.array([0.0, 1.0, 2.0, 3.0, 4.0, 90.0] + [91.0 + k for k in range(20)]))
    Spacing(usual_s=1.0, gap_from_s=5.0)
    """
    intervals = np.diff(time_s)
    usual = float(np.median(intervals))
    slow = float(np.quantile(intervals, SLOW_SHARE, method="lower"))
    by_itself = GAP_TIMES * max(slow, usual) or math.inf
    return Spacing(usual_s=usual, gap_from_s=by_itself if gap_from is None else gap_from)


def rows_after_gaps(time_s: NDArray[np.float64], gap_from: float) -> NDArray[np.intp]:
    """Return the rows before which nothing was recorded for a time.

    Parameters
    ----------
    time_s : NDArray[np.float64]
        Array of shape (n,), rising. [s]
    gap_from : float
        Intervals longer than this are gaps. [s]

    Returns
    -------
    NDArray[np.intp]
        Array of shape (k,), rising.
    """
    return np.flatnonzero(np.diff(time_s) > gap_from) + 1


LEAST_SUPPLY = 50.0
"""Ours: a voltage that never was above this is not that of a supply, and shows no loss of one. [V]"""


def supply_absent(voltage_v: NDArray[np.float64] | None, rows: int) -> NDArray[np.bool_]:
    """Say at which rows the voltage shows that the supply is lost.

    Parameters
    ----------
    voltage_v : NDArray[np.float64] or None
        Array of shape (n,), NaN where nothing was written; None where no voltage was logged. [V]
    rows : int
        The number n of rows.

    Returns
    -------
    NDArray[np.bool_]
        Array of shape (n,); false wherever no voltage is known.

    Examples
    --------
    >>> supply_absent(np.array([231.0, 230.0, 0.4, 0.0, 232.0]), 5).tolist()
    [False, False, True, True, False]
    """
    if voltage_v is None or not np.any(voltage_v > LEAST_SUPPLY):
        return np.zeros(rows, np.bool_)
    high = float(np.nanquantile(voltage_v, HIGH_SHARE, method="nearest"))
    if high <= 0.0:
        high = float(np.nanmax(voltage_v))
    usual = float(np.median(voltage_v[voltage_v > ABSENT_SHARE * high]))
    return np.asarray(voltage_v < ABSENT_SHARE * usual, np.bool_)


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedOutage:
    """A loss of the supply that somebody marked: when it began and ended, each known within a bracket. [s]

    ``end_s`` is None where its end was not marked.
    """

    begin_s: tuple[float, float]
    end_s: tuple[float, float] | None


def marked_outages(marks: Iterable[EventMark]) -> tuple[MarkedOutage, ...]:
    """Return the losses of the supply that marks tell: a breaker off, until it is on again.

    Parameters
    ----------
    marks : iterable of EventMark
        Marks by the clock of the log.

    Returns
    -------
    tuple of MarkedOutage
        In order.

    Examples
    --------
    >>> from coldpin.quantity import Quantity
    >>> off = EventMark(kind=MarkKind.BREAKER_OFF, at_s=Quantity(100.0, 0.5, "s"))
    >>> on = EventMark(kind=MarkKind.BREAKER_ON, at_s=Quantity(160.0, 0.5, "s"))
    >>> [round(outage.begin_s[0], 2) for outage in marked_outages([on, off])]
    [99.02]
    """
    found: list[MarkedOutage] = []
    begun: EventMark | None = None
    for mark in sorted(marks, key=lambda mark: mark.at_s.value):
        if mark.kind is MarkKind.BREAKER_OFF and begun is None:
            begun = mark
        elif mark.kind is MarkKind.BREAKER_ON and begun is not None:
            found.append(MarkedOutage(begin_s=span_of(begun), end_s=span_of(mark)))
            begun = None
    if begun is not None:
        found.append(MarkedOutage(begin_s=span_of(begun), end_s=None))
    return tuple(found)


def span_of(mark: EventMark) -> tuple[float, float]:
    """Return the interval in which a mark lies.

    Parameters
    ----------
    mark : EventMark
        The mark.

    Returns
    -------
    tuple of float
        The 95 % interval; its value twice where its uncertainty is not known. [s]
    """
    at = mark.at_s
    if at.low is None or at.high is None:
        return at.value, at.value
    return at.low, at.high


def gap_is_outage(
    before_s: float, after_s: float, *, lost_before: bool, lost_after: bool, marked: Iterable[MarkedOutage]
) -> str:
    """Say what shows that a gap is a loss of the supply, if anything does.

    Parameters
    ----------
    before_s, after_s : float
        The rows beside the gap. [s]
    lost_before, lost_after : bool
        Whether the voltage of these rows shows a lost supply.
    marked : iterable of MarkedOutage
        What was marked.

    Returns
    -------
    str
        "voltage" where both rows show it, "marks" where a marked loss begins or lasts within the gap, else empty: one
        row alone says only that the loss began or ended somewhere in the gap.

    Examples
    --------
    >>> gap_is_outage(10.0, 600.0, lost_before=False, lost_after=False, marked=())
    ''
    """
    if lost_before and lost_after:
        return BY_VOLTAGE
    for outage in marked:
        ended = outage.end_s[0] if outage.end_s is not None else np.inf
        if outage.begin_s[0] < after_s and ended > before_s:
            return BY_MARKS
    return ""
