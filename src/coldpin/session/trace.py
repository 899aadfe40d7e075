"""What is drawn of a log: the lowest and highest value of equal stretches of time."""

from __future__ import annotations

import numpy as np

from coldpin.records.log import Log
from coldpin.records.session import SessionTrace
from coldpin.session.charge_log import charge_log
from coldpin.session.outages import spacing_of

STRETCHES = 600
"""Ours: how many stretches are drawn; more lie under the width of a line on paper. [1]"""


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
    time, values = rows.time_s, rows.lead
    count = min(stretches, time.size)
    edges = np.linspace(time[0], time[-1], count + 1)
    starts = np.searchsorted(time, edges[:-1], side="left")
    ends = np.append(starts[1:], time.size)
    gap_from = spacing_of(time).gap_from_s
    low: list[float | None] = []
    high: list[float | None] = []
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        if end > start:
            low.append(float(values[start:end].min()))
            high.append(float(values[start:end].max()))
        elif 0 < start < time.size and time[start] - time[start - 1] > gap_from:
            low.append(None)
            high.append(None)
        else:
            low.append(low[-1])
            high.append(high[-1])
    middles = 0.5 * (edges[1:] + edges[:-1])
    return SessionTrace(
        unit="A" if rows.by_current else "W", time_s=tuple(middles.tolist()), low=tuple(low), high=tuple(high)
    )
