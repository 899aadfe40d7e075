"""Columns of a log that belong to the three phases of one supply, by their names."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.records.log import Log, LogChannel, LogQuantity

LINES = (1, 2, 3)
"""The lines of a three-phase supply."""

_LINE = re.compile(r"(?<![^\W\d_])(?:L|line|phase|ph)[ _-]?(?P<line>[1-3])(?!\d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhaseColumns:
    """What three columns of a quantity, one for each line, come to.

    ``channels`` are in the order of the lines. Each property has shape (n,), NaN where a line of a row holds no value:
    a sum of two lines is no sum of three.
    """

    channels: tuple[LogChannel, LogChannel, LogChannel]

    @property
    def rows(self) -> NDArray[np.float64]:
        """The columns one below the other, shape (3, n)."""
        return np.stack([channel.values for channel in self.channels])

    @property
    def total(self) -> NDArray[np.float64]:
        """Their sum."""
        return np.asarray(np.sum(self.rows, axis=0))

    @property
    def largest(self) -> NDArray[np.float64]:
        """The largest of the three at each row."""
        return np.asarray(np.max(self.rows, axis=0))

    @property
    def mean(self) -> NDArray[np.float64]:
        """Their mean."""
        return np.asarray(np.mean(self.rows, axis=0))

    @property
    def named(self) -> str:
        """Their names, as a remark lists them."""
        return ", ".join(channel.name for channel in self.channels)


def phase_columns(log: Log, quantity: LogQuantity) -> PhaseColumns | None:
    """Return the three columns of a quantity that are one for each line.

    Parameters
    ----------
    log : Log
        The log.
    quantity : LogQuantity
        What the columns hold.

    Returns
    -------
    PhaseColumns or None
        None unless all columns of the quantity are three whose names differ by L1, L2, L3 alone, and nobody said which
        of them is meant.

    Examples
    --------
    >>> watts = [
    ...     LogChannel(name=f"P L{line}", quantity=LogQuantity.POWER, unit="W", values=np.full(2, 1000.0 * line))
    ...     for line in LINES
    ... ]
    >>> log = Log(time_s=np.array([0.0, 1.0]), channels=tuple(watts))
    >>> phase_columns(log, LogQuantity.POWER).total.tolist()
    [6000.0, 6000.0]
    """
    found = log.all_of(quantity)
    if any(channel.meant for channel in found) or len(found) != len(LINES):
        return None
    first, second, third = sorted(found, key=lambda channel: line_of(channel.name) or 0)
    if tuple(line_of(channel.name) for channel in (first, second, third)) != LINES or not _alike(found):
        return None
    return PhaseColumns(channels=(first, second, third))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogInOne:
    """A log with one column where three were one for each line.

    ``lines`` is 3 where there were such, else 1. Power and energy are summed; of the current the largest is taken, for
    an offer holds for each line; of the voltage the mean. ``summed`` says of how many columns a quantity is the sum.
    ``apparent_w``: the sum over the lines of voltage times current where all six were logged, ``amperes`` that of the
    currents alone, shape (n,); None where the currents are not one for each line. ``line_w`` are the powers of the
    lines and ``line_v`` their voltages, shape (3, n); None where a current was logged, or they are not one for each
    line.
    """

    log: Log
    lines: int = 1
    summed: Mapping[LogQuantity, int] = field(default_factory=dict)
    apparent_w: NDArray[np.float64] | None = None
    amperes: NDArray[np.float64] | None = None
    line_w: NDArray[np.float64] | None = None
    line_v: NDArray[np.float64] | None = None
    remarks: tuple[str, ...] = ()


def in_one(log: Log) -> LogInOne:
    """Return a log with one column of each quantity where it has one for each line.

    Parameters
    ----------
    log : Log
        As it was read.

    Returns
    -------
    LogInOne
        The log itself where no three columns are one for each line.

    Examples
    --------
    >>> amperes = [
    ...     LogChannel(name=f"I L{line}", quantity=LogQuantity.CURRENT, unit="A", values=np.full(2, 5.0 * line))
    ...     for line in LINES
    ... ]
    >>> told = in_one(Log(time_s=np.array([0.0, 1.0]), channels=tuple(amperes)))
    >>> told.lines, told.log.channel(LogQuantity.CURRENT).values.tolist(), told.amperes.tolist()
    (3, [15.0, 15.0], [30.0, 30.0])
    """
    found = {quantity: columns for quantity in _TAKEN if (columns := phase_columns(log, quantity)) is not None}
    if not found.keys() & _OF_LINES:
        return LogInOne(log=log)
    channels = list(log.channels)
    remarks = []
    for quantity, columns in found.items():
        values, said = _one_of(columns, quantity)
        step = max((channel.resolution or 0.0 for channel in columns.channels), default=0.0)
        made = replace(
            columns.channels[0],
            name=columns.named,
            values=values,
            resolution=(len(LINES) * step if quantity in _SUMMED else step) or None,
            beyond=sum(channel.beyond for channel in columns.channels),
        )
        channels[channels.index(columns.channels[0])] = made
        channels = [channel for channel in channels if channel not in columns.channels]
        remarks.append(f"{quantity.value} of three lines ({columns.named}): {said}")
    power, current, volts = (found.get(q) for q in (LogQuantity.POWER, LogQuantity.CURRENT, LogQuantity.VOLTAGE))
    no_current = log.channel(LogQuantity.CURRENT) is None
    return LogInOne(
        log=replace(log, channels=tuple(channels)),
        lines=len(LINES),
        summed={quantity: len(LINES) for quantity in found if quantity in _SUMMED},
        apparent_w=None if current is None or volts is None else np.sum(current.rows * volts.rows, axis=0),
        amperes=None if current is None else current.total,
        line_w=power.rows if power is not None and no_current else None,
        line_v=volts.rows if volts is not None and no_current else None,
        remarks=tuple(remarks),
    )


_SUMMED = {LogQuantity.POWER, LogQuantity.ENERGY}
_OF_LINES = {LogQuantity.POWER, LogQuantity.CURRENT, LogQuantity.VOLTAGE}
_TAKEN = (LogQuantity.POWER, LogQuantity.CURRENT, LogQuantity.VOLTAGE, LogQuantity.ENERGY)


def _one_of(columns: PhaseColumns, quantity: LogQuantity) -> tuple[NDArray[np.float64], str]:
    if quantity in _SUMMED:
        return columns.total, "their sum is taken; a row in which one is missing is left out"
    if quantity is LogQuantity.CURRENT:
        return columns.largest, "the largest at each row is taken, for an offer holds for each line"
    return columns.mean, "their mean is taken"


def line_of(name: str) -> int | None:
    """Return the line that a column's name tells.

    Parameters
    ----------
    name : str
        The name.

    Returns
    -------
    int or None
        1 to 3; None where the name tells none.

    Examples
    --------
    >>> [line_of(name) for name in ("P L1", "power_l2", "Phase 3", "I1", "Level 1")]
    [1, 2, 3, None, None]
    """
    found = _LINE.search(name)
    return int(found["line"]) if found else None


def _alike(found: Sequence[LogChannel]) -> bool:
    """Say whether names are one but for their line: the powers of a car and of a house are not of one supply."""
    return len({_LINE.sub("", channel.name).strip().casefold() for channel in found}) == 1
