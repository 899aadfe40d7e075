"""A log: what a power meter, logger or thermometer wrote down over minutes, hours or weeks, at uneven times."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray


class LogQuantity(StrEnum):
    """What a column of a log holds; the unit its values are kept in stands beside it in ``LOG_UNITS``."""

    POWER = "power"
    REACTIVE_POWER = "reactive power"
    APPARENT_POWER = "apparent power"
    POWER_FACTOR = "power factor"
    VOLTAGE = "voltage"
    CURRENT = "current"
    ENERGY = "energy"
    FREQUENCY = "frequency"
    TEMPERATURE = "temperature"
    RESISTANCE = "resistance"
    OTHER = "other"


LOG_UNITS = {
    LogQuantity.POWER: "W",
    LogQuantity.REACTIVE_POWER: "var",
    LogQuantity.APPARENT_POWER: "VA",
    LogQuantity.POWER_FACTOR: "1",
    LogQuantity.VOLTAGE: "V",
    LogQuantity.CURRENT: "A",
    LogQuantity.ENERGY: "Wh",
    LogQuantity.FREQUENCY: "Hz",
    LogQuantity.TEMPERATURE: "°C",
    LogQuantity.RESISTANCE: "Ω",
    LogQuantity.OTHER: "",
}
"""The unit in which a log's values are kept, whatever the file said."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogChannel:
    """One column of a log.

    ``name`` is what the file calls it, ``unit`` that of the file. ``values``: array of shape (n,) in the unit of
    ``LOG_UNITS``, NaN where nothing was written. ``resolution`` is one step of the values as written, in the same unit,
    None where it cannot be told. ``meant`` is true where a person said that this column of several is the one meant.
    ``beyond`` is how many values the instrument marked as beyond its range; they are NaN too.
    """

    name: str
    quantity: LogQuantity
    unit: str
    values: NDArray[np.float64]
    resolution: float | None = None
    meant: bool = False
    beyond: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockStep:
    """A place where the logger's clock was set: the first row after it, and by how much it was put forward. [s]

    ``seconds`` is negative where it was put back.
    """

    row: int
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Log:
    """Rows at uneven times.

    ``time_s``: array of shape (n,), rising, seconds from the first row by the logger's own clock as it ran, with the
    settings of the clock in ``clock_steps`` taken out. ``began`` is the first row's date and time as the clock showed
    it, ISO 8601, empty where the file gives relative times only. ``remarks`` say what the reader had to do.
    """

    time_s: NDArray[np.float64]
    channels: tuple[LogChannel, ...]
    began: str = ""
    clock_steps: tuple[ClockStep, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        """The number of rows n."""
        return int(self.time_s.size)

    @property
    def nbytes(self) -> int:
        """What its times and values take in memory. [bytes]"""
        return self.time_s.nbytes + sum(channel.values.nbytes for channel in self.channels)

    def channel(self, quantity: LogQuantity) -> LogChannel | None:
        """Return the column that holds a quantity: the one that was said to be meant, else the first.

        Parameters
        ----------
        quantity : LogQuantity
            What is wanted.

        Returns
        -------
        LogChannel or None
            None where there is no such column.
        """
        found = self.all_of(quantity)
        return next((channel for channel in found if channel.meant), found[0] if found else None)

    def all_of(self, quantity: LogQuantity) -> tuple[LogChannel, ...]:
        """Return every column that holds a quantity, as of three phases or two thermometers.

        Parameters
        ----------
        quantity : LogQuantity
            What is wanted.

        Returns
        -------
        tuple of LogChannel
            In the order of the file.
        """
        return tuple(channel for channel in self.channels if channel.quantity is quantity)
