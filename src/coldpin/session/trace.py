"""What is drawn of a log: the lowest and highest value of equal stretches of time, or its rows where these are few."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity
from coldpin.records.log import Log
from coldpin.records.session import SessionTrace, TraceOf, TraceRows
from coldpin.session.charge_log import charge_log
from coldpin.session.outages import spacing_of

STRETCHES = 600
"""Ours: how many stretches are drawn; more lie under the width of a line on paper. [1]"""

UNITS = {TraceOf.CURRENT: "A", TraceOf.POWER: "W", TraceOf.VOLTAGE: "V"}


def trace_of(log: Log, *, stretches: int = STRETCHES) -> SessionTrace:
    """Return what is drawn of a log: its current where it has one, else its power.

    Parameters
    ----------
    log : Log
        With a column of power, of current, or both.
    stretches : int
        How many stretches at most.

    Returns
    -------
    SessionTrace
        Lowest and highest value of each stretch; no extreme is lost. A stretch without a row has None where it lies
        in a gap, else what was before it.

    Raises
    ------
    InputError
        The log has neither power nor current, or fewer than two rows.

    Examples
    --------
    >>> from coldpin.records.log import LogChannel, LogQuantity
    >>> amperes = LogChannel(name="I", quantity=LogQuantity.CURRENT, unit="A", values=np.array([0.0, 16.0, 15.0, 0.0]))
    >>> trace = trace_of(Log(time_s=np.arange(4.0), channels=(amperes,)), stretches=2)
    >>> trace.low, trace.high
    ((0.0, 0.0), (16.0, 15.0))
    """
    rows = charge_log(log)
    time = rows.time_s
    edges = np.linspace(time[0], time[-1], min(stretches, time.size) + 1)
    unit = UNITS[TraceOf.CURRENT if rows.by_current else TraceOf.POWER]
    return _envelope(time, rows.lead, edges, spacing_of(time).gap_from_s, unit)


def trace_rows(log: Log, *, voltage: Quantity | None = None) -> TraceRows:
    """Return all rows of a log of a charge, for drawing any part of it.

    Parameters
    ----------
    log : Log
        With a column of power, of current, or both.
    voltage : Quantity, optional
        The supply voltage as stated, for a log without one. [V]

    Returns
    -------
    TraceRows
        Power and current as :func:`coldpin.session.charge_log.charge_log` has them.

    Raises
    ------
    InputError
        The log has neither power nor current, or fewer than two rows.
    """
    rows = charge_log(log, voltage=voltage)
    current, power, volts = (
        None if values is None else values.astype(np.float32)
        for values in (rows.current_a, rows.power_w, rows.voltage_v)
    )
    return TraceRows(
        time_s=rows.time_s,
        current_a=current,
        power_w=power,
        voltage_v=volts,
        gap_from_s=spacing_of(rows.time_s).gap_from_s,
    )


def trace_between(
    rows: TraceRows, what: TraceOf, *, start: float = -math.inf, end: float = math.inf, stretches: int = STRETCHES
) -> SessionTrace:
    """Return what is drawn of a part of a log: its extremes, stretch by stretch, or the rows where these are as few.

    Parameters
    ----------
    rows : TraceRows
        All rows.
    what : TraceOf
        Which quantity.
    start : float
        From when on, from the first row. [s]
    end : float
        Until when. [s]
    stretches : int
        How many stretches at most.

    Returns
    -------
    SessionTrace
        Where there are no more rows than stretches these rows and one on either side, with a None in each gap.

    Raises
    ------
    OutsideRange
        The log does not hold the quantity, the end is not after the start, or no stretch is asked for.

    Examples
    --------
    >>> amperes = np.array([0.0, 16.0, 15.0, 0.0, 0.0, 0.0], dtype=np.float32)
    >>> rows = TraceRows(time_s=np.arange(6.0), current_a=amperes, power_w=None, voltage_v=None, gap_from_s=5.0)
    >>> trace_between(rows, TraceOf.CURRENT, stretches=3).high
    (16.0, 15.0, 0.0)
    >>> part = trace_between(rows, TraceOf.CURRENT, start=0.5, end=2.5, stretches=3)
    >>> part.exact, part.time_s
    (True, (0.0, 1.0, 2.0, 3.0))
    """
    values, time = rows.of(what), rows.time_s
    if values is None:
        raise OutsideRange(f"the log holds no {what.value} and nothing to make it of")
    low, high = max(start, float(time[0])), min(end, float(time[-1]))
    if not high > low or stretches < 1:
        raise OutsideRange(
            f"from {start:g} s to {end:g} s there is nothing to draw: the log goes from {time[0]:g} s to {time[-1]:g} s"
        )
    first = max(int(np.searchsorted(time, low, side="right")) - 1, 0)
    last = min(int(np.searchsorted(time, high, side="left")) + 1, time.size)
    if last - first <= stretches + 2:
        return _as_they_are(time[first:last], values[first:last], rows.gap_from_s, UNITS[what])
    edges = np.linspace(low, high, stretches + 1)
    return _envelope(time, values, edges, rows.gap_from_s, UNITS[what])


def _as_they_are(time: NDArray[np.float64], values: NDArray[np.float32], gap_from: float, unit: str) -> SessionTrace:
    gaps = np.flatnonzero(np.diff(time) > gap_from) + 1
    times = np.insert(time, gaps, 0.5 * (time[gaps] + time[gaps - 1]))
    held: list[float | None] = values.astype(float).tolist()
    for place in gaps[::-1].tolist():
        held.insert(place, None)
    told = tuple(held)
    return SessionTrace(unit=unit, time_s=tuple(times.tolist()), low=told, high=told, exact=True)


def _envelope(
    time: NDArray[np.float64],
    values: NDArray[np.float64] | NDArray[np.float32],
    edges: NDArray[np.float64],
    gap_from: float,
    unit: str,
) -> SessionTrace:
    """Return lowest and highest of each stretch between edges; the last takes in what lies on its end."""
    bounds = np.append(np.searchsorted(time, edges[:-1], side="left"), np.searchsorted(time, edges[-1], side="right"))
    starts, ends = bounds[:-1], bounds[1:]
    filled = ends > starts
    lows, highs = np.full(starts.size, np.nan), np.full(starts.size, np.nan)
    if np.any(filled):
        part = values[: bounds[-1]]
        # a filled stretch ends where the next filled one begins
        lows[filled] = np.minimum.reduceat(part, starts[filled])
        highs[filled] = np.maximum.reduceat(part, starts[filled])
    low: list[float | None] = []
    high: list[float | None] = []
    for (start, _), full, least, most in zip(
        pairwise(bounds.tolist()), filled.tolist(), lows.tolist(), highs.tolist(), strict=True
    ):
        if full:
            low.append(least)
            high.append(most)
        elif not low or (0 < start < time.size and time[start] - time[start - 1] > gap_from):
            low.append(None)
            high.append(None)
        else:
            low.append(low[-1])
            high.append(high[-1])
    middles = 0.5 * (edges[1:] + edges[:-1])
    return SessionTrace(unit=unit, time_s=tuple(middles.tolist()), low=tuple(low), high=tuple(high))
