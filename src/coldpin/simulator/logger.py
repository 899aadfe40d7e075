"""A virtual logger: when it writes a row, what its clock shows then, and in which steps it writes values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.records.log import ClockStep

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stamps:
    """When rows were written.

    Arrays of shape (n,): ``true_s`` from the start of the run, ``shown_s`` by the logger's clock as it stands in the
    file, which jumps where the clock was set, ``time_s`` by that clock as it ran, from the first row [s].
    """

    true_s: Floats
    shown_s: Floats
    time_s: Floats
    clock_steps: tuple[ClockStep, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualLogger:
    """How a logger keeps time.

    ``interval`` between rows [s], each late by up to ``jitter`` [s]; ``dropout`` is the part of rows that is lost [1],
    ``gaps`` are stretches without any, from and to in true seconds. ``clock_rate`` is how much faster its clock runs
    [1], ``clock_offset`` what it shows more at the start [s], ``clock_sets`` when it was put forward, and by how much
    [s]. ``stamp_step`` is one step of the stamps [s]: where a stamp would not differ from the one before, no row is
    kept.
    """

    interval: float = 1.0
    jitter: float = 0.0
    dropout: float = 0.0
    gaps: Sequence[tuple[float, float]] = ()
    clock_rate: float = 0.0
    clock_offset: float = 0.0
    clock_sets: Sequence[tuple[float, float]] = ()
    stamp_step: float = 1.0

    def __post_init__(self) -> None:
        if not self.interval > 0.0 or not self.stamp_step > 0.0:
            raise OutsideRange("virtual logger: interval and step of the stamps must be above zero")
        if not 0.0 <= self.jitter < self.interval or not 0.0 <= self.dropout < 1.0:
            raise OutsideRange("virtual logger: rows are late by less than an interval, and not all of them are lost")

    def stamps(self, seconds: float, rng: np.random.Generator) -> Stamps:
        """Return when rows are written in a run.

        Parameters
        ----------
        seconds : float
            How long it lasts. [s]
        rng : numpy.random.Generator
            Where jitter and dropouts come from.

        Returns
        -------
        Stamps
            At least two rows.

        Raises
        ------
        OutsideRange
            Fewer than two rows are left.

        Examples
        --------
        >>> seen = VirtualLogger(interval=10.0, clock_sets=[(25.0, 60.0)]).stamps(50.0, np.random.default_rng(1))
        >>> seen.shown_s.tolist(), seen.time_s.tolist()
        ([0.0, 10.0, 20.0, 90.0, 100.0, 110.0], [0.0, 10.0, 20.0, 30.0, 40.0, 50.0])
        >>> seen.clock_steps
        (ClockStep(row=3, seconds=60.0),)
        """
        true = self.interval * np.arange(int(seconds / self.interval) + 1)
        if self.jitter:
            true = true + rng.uniform(0.0, self.jitter, true.size)
        kept = np.ones(true.size, dtype=bool)
        if self.dropout:
            kept &= rng.random(true.size) >= self.dropout
        for start, end in self.gaps:
            kept &= (true < start) | (true >= end)
        true = true[kept]
        ran = np.floor(((1.0 + self.clock_rate) * true) / self.stamp_step + 1e-9) * self.stamp_step
        new = np.r_[True, np.diff(ran) > 0.0][: true.size]
        true, ran = true[new], ran[new]
        if true.size < 2:
            raise OutsideRange(f"virtual logger: {true.size} rows in {seconds:g} s; run longer or write more often")
        shown, steps = ran + self.clock_offset, []
        for when, by in self.clock_sets:
            row = int(np.searchsorted(true, when))
            if 0 < row < true.size:
                shown[row:] += by
                steps.append(ClockStep(row=row, seconds=by))
        return Stamps(true_s=true, shown_s=shown, time_s=ran - ran[0], clock_steps=tuple(steps))


def in_steps(values: Floats, step: float) -> Floats:
    """Return values as an instrument with a display of so fine a step writes them.

    Parameters
    ----------
    values : numpy.ndarray
        Array of shape (n,); NaN stays. [any]
    step : float
        One step; 0 leaves values as they are. [same]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,).

    Examples
    --------
    >>> in_steps(np.array([20.04, 20.06, np.nan]), 0.1).round(6).tolist()
    [20.0, 20.1, nan]
    """
    if step <= 0.0:
        return values
    counts = np.round(values / step)
    # a step such as 0.1 has no exact float: dividing by a whole number gives the float a reader of the text finds
    per_unit = round(1.0 / step)
    return counts / per_unit if per_unit and abs(per_unit * step - 1.0) < 1e-9 else counts * step
