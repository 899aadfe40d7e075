"""A log as a file, in the manners of speaking that loggers have; the makers here are invented."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

import numpy as np

from coldpin.errors import UnknownName
from coldpin.records.log import Log
from coldpin.simulator.logger import Floats, Stamps


def as_log_csv(log: Log, stamps: Stamps, *, began: datetime, style: str = "clock") -> bytes:
    """Write a log as its logger would export it.

    Parameters
    ----------
    log : Log
        The log.
    stamps : Stamps
        Its stamps, which hold what the clock showed.
    began : datetime
        What the clock showed at zero of its stamps.
    style : str
        A key of :data:`LOG_STYLES`.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    UnknownName
        There is no such style; the message lists them.

    Examples
    --------
    >>> from coldpin.records.log import LogChannel, LogQuantity
    >>> watts = LogChannel(
    ...     name="power", quantity=LogQuantity.POWER, unit="W", values=np.array([2.0, np.nan]), resolution=1.0
    ... )
    >>> two = Log(time_s=np.array([0.0, 10.0]), channels=(watts,))
    >>> shown = Stamps(true_s=two.time_s, shown_s=two.time_s, time_s=two.time_s, clock_steps=())
    >>> print(as_log_csv(two, shown, began=datetime(2026, 3, 14, 16, 0)).decode())
    Time,power [W]
    2026-03-14 16:00:00,2
    2026-03-14 16:00:10,
    <BLANKLINE>
    """
    if style not in LOG_STYLES:
        raise UnknownName.among("style of a log", style, LOG_STYLES)
    return LOG_STYLES[style](log, stamps, began)


def _clock(log: Log, stamps: Stamps, began: datetime) -> bytes:
    """Write date and time without a zone, commas, units in brackets."""
    names = ["Time", *(f"{one.name} [{one.unit}]" if one.unit != "1" else one.name for one in log.channels)]
    rows = _rows([_dates(stamps, began, "%Y-%m-%d %H:%M:%S"), *_columns(log)], ",")
    return "\n".join([",".join(names), *rows, ""]).encode()


def _seconds(log: Log, stamps: Stamps, began: datetime) -> bytes:
    """Write seconds since the start, semicolons, decimal commas, units on a row of their own."""
    first = began.strftime("%d.%m.%Y %H:%M:%S")
    names = ["Zeit", *(one.name for one in log.channels)]
    units = ["s", *("" if one.unit == "1" else one.unit for one in log.channels)]
    times = [f"{one:.1f}" for one in (stamps.shown_s - stamps.shown_s[0]).tolist()]
    rows = [row.replace(".", ",") for row in _rows([times, *_columns(log)], ";")]
    return "\n".join([f"# Start: {first}", ";".join(names), ";".join(units), *rows, ""]).encode()


def _zone(log: Log, stamps: Stamps, began: datetime) -> bytes:
    """Write ISO 8601 with the zone, tabs, units behind the names."""
    names = ["timestamp", *(f"{one.name}_{one.unit}" if one.unit != "1" else one.name for one in log.channels)]
    zone = began.strftime("%z")
    suffix = f"{zone[:3]}:{zone[3:]}" if zone else "Z"
    dates = [one + suffix for one in _dates(stamps, began, "%Y-%m-%dT%H:%M:%S")]
    return "\n".join(["\t".join(names), *_rows([dates, *_columns(log)], "\t"), ""]).encode()


LOG_STYLES: dict[str, Callable[[Log, Stamps, datetime], bytes]] = {"clock": _clock, "seconds": _seconds, "zone": _zone}
"""The dialects: date and time; seconds with decimal commas; ISO 8601 with zone."""


def _dates(stamps: Stamps, began: datetime, form: str) -> list[str]:
    return [(began + timedelta(seconds=one)).strftime(form) for one in stamps.shown_s.tolist()]


def _columns(log: Log) -> list[list[str]]:
    return [_written(one.values, one.resolution) for one in log.channels]


def _written(values: Floats, resolution: float | None) -> list[str]:
    """Write each value to the places of its step; nothing where nothing was measured."""
    places = 6 if not resolution else max(0, -int(np.floor(np.log10(resolution) + 1e-9)))
    return ["" if math.isnan(one) else f"{one:.{places}f}" for one in values.tolist()]


def _rows(columns: Sequence[Sequence[str]], separator: str) -> list[str]:
    return [separator.join(row) for row in zip(*columns, strict=True)]
