"""A heating test as logged and told, and which of its rows a curve is fitted to."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_rows import Stretch, filled, longest, stretches_of_current, warming_rows
from coldpin.errors import InputError
from coldpin.quantity import Component, Quantity, format_value
from coldpin.records.finding import Limit
from coldpin.records.heating import HeatedPart
from coldpin.records.log import LogChannel
from coldpin.standards.accuracy import AccuracyStatement

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingTest:
    """A heating test as logged and told.

    ``time_s`` and ``channel`` with the temperature; ``ambient``: a second channel, or a quantity, or None. ``current``
    as told [A], ``logged`` the channel with the current. ``start_s`` is when the current came, None where it is not
    told. ``accuracy`` of the thermometers and ``ammeter`` of the logged current, None where not stated.
    ``by_resistance``: the temperature is that of a
    conductor by its resistance, and errs by ``resistance_error`` instead [°C], None where the meter's accuracy is not
    stated.
    """

    part: HeatedPart
    time_s: Array
    channel: LogChannel
    ambient: LogChannel | Quantity | None = None
    current: Quantity | None = None
    logged: LogChannel | None = None
    start_s: float | None = None
    accuracy: AccuracyStatement | None = None
    ammeter: AccuracyStatement | None = None
    arrangement: str = ""
    by_resistance: bool = False
    resistance_error: Component | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedRows:
    """The rows that are fitted: ``stretch`` of ``all``; when the current came [s]; ambient [°C], current [A] by row."""

    stretch: Stretch
    all: tuple[Stretch, ...]
    began: float
    ambient: Array
    drive: Array | None
    remarks: tuple[str, ...]


def rows_of_test(test: HeatingTest) -> FittedRows:
    """Choose the rows of a test: those of the longest stretch of one current, from the moment it came.

    Parameters
    ----------
    test : HeatingTest
        The test.

    Returns
    -------
    FittedRows
        The rows, with remarks on how they were chosen.

    Raises
    ------
    InputError
        No current was logged in the column that should hold it, or the start lies outside the log.
    """
    time = test.time_s
    temperature = filled(time, test.channel.values)
    remarks: list[str] = []
    drive = None if test.logged is None else filled(time, test.logged.values)
    if test.logged is not None and drive is not None:
        found = stretches_of_current(drive)
        if not found:
            raise InputError(f"column {test.logged.name!r} shows no current in any row: check which column is meant")
        stretch = longest(found, time)
        if len(found) > 1:
            remarks.append(
                f"{len(found)} currents were logged, one after another; the curve is fitted to the longest stretch, at "
                f"{format_value(round(stretch.current or 0.0, 2), 'A')}"
            )
        # a row shows the current on at the latest when it was written, and off at the earliest one row before
        began = float(time[max(stretch.first - 1, 0)])
    else:
        stretch = warming_rows(temperature)
        found = (stretch,)
        began = float(time[stretch.first])
        remarks.append("no current was logged: its coming and going are read off the temperature")
    if test.start_s is not None:
        if not time[0] <= test.start_s < time[-1]:
            raise InputError(
                f"the start at {test.start_s:g} s lies outside the log, which runs from {time[0]:g} s to "
                f"{time[-1]:g} s: give it in the log's own time"
            )
        first = int(np.searchsorted(time, test.start_s, side="left"))
        stretch = replace(stretch, first=min(first, time.size - 1), end=max(stretch.end, first + 1))
        began = test.start_s
    if stretch.end < time.size and drive is None:
        remarks.append(f"the rows after {time[stretch.end - 1]:g} s, where it cools, are left out")
    ambient, said = _ambient_rows(test, temperature, stretch)
    remarks += said
    return FittedRows(stretch=stretch, all=found, began=began, ambient=ambient, drive=drive, remarks=tuple(remarks))


def _ambient_rows(test: HeatingTest, temperature: Array, stretch: Stretch) -> tuple[Array, list[str]]:
    if isinstance(test.ambient, LogChannel):
        return filled(test.time_s, test.ambient.values), []
    if isinstance(test.ambient, Quantity):
        return np.full(test.time_s.size, test.ambient.value), []
    before = temperature[: max(stretch.first, 1)]
    remark = (
        f"no ambient was told or logged: the part's own temperature before the current, "
        f"{format_value(round(float(np.median(before)), 2), '°C')}, is taken for it"
    )
    return np.full(test.time_s.size, float(np.median(before))), [remark]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedUse:
    """What the result is wanted for: the rated current [A], the hottest ambient [°C], a limit of the temperature."""

    rated_current: Quantity | None = None
    max_ambient: Quantity | None = None
    limit: Limit | None = None

    @property
    def unasked(self) -> tuple[str, ...]:
        """What of the use was not told, in words."""
        told = {"the rated current": self.rated_current, "the hottest air": self.max_ambient}
        return tuple(name for name, value in told.items() if value is None)
