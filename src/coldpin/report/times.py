"""Times and lengths of time as printed."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

_HOUR = timedelta(hours=1).total_seconds()
_MINUTE = timedelta(minutes=1).total_seconds()
_UNITS = ((_HOUR, "h", _HOUR), (2.0 * _MINUTE, "min", _MINUTE), (1.0, "s", 1.0), (1e-3, "ms", 1e-3))
"""From how many seconds on a unit is used, its name, its length. [s]"""


def duration(seconds: float) -> str:
    """Return a length of time in the unit that suits it.

    Parameters
    ----------
    seconds : float
        The time. [s]

    Returns
    -------
    str
        Three digits and a unit.

    Examples
    --------
    >>> duration(0.00025), duration(0.35), duration(12.0), duration(5400.0)
    ('250 µs', '350 ms', '12 s', '1.5 h')
    """
    for least, unit, factor in _UNITS:
        if abs(seconds) >= least * (1.0 - 1e-6):
            return f"{seconds / factor:.3g} {unit}"
    return f"{seconds / 1e-6:.3g} µs" if seconds else "0 s"


def into(seconds: float) -> str:
    """Return a time from the first sample, fine enough to be found again.

    Parameters
    ----------
    seconds : float
        The time. [s]

    Returns
    -------
    str
        Six digits at most, in the unit that suits it; never in minutes.

    Examples
    --------
    >>> into(0.0053245), into(333.533612), into(0.0), into(2.5e-7)
    ('5.3245 ms', '333.534 s', '0 s', '0.25 µs')
    """
    if seconds == 0.0:
        return "0 s"
    unit, factor = next(
        ((unit, factor) for _, unit, factor in _UNITS if unit in ("s", "ms") and abs(seconds) >= factor), ("µs", 1e-6)
    )
    return f"{seconds / factor:.6g} {unit}".replace("-", "−")


def stretch(start: float, end: float) -> str:
    """Return from when to when, in one unit and with digits enough to tell the two apart.

    Parameters
    ----------
    start, end : float
        Times from the first sample. [s]

    Returns
    -------
    str
        Such as "10.40 to 10.42 s".

    Examples
    --------
    >>> stretch(0.0, 2.1), stretch(10.4, 10.42), stretch(0.0002, 0.0003)
    ('0.0 to 2.1 s', '10.40 to 10.42 s', '200 to 300 µs')
    """
    unit, factor = next(
        ((unit, factor) for _, unit, factor in _UNITS if unit != "min" and abs(end) >= factor),
        ("µs", 1e-6),
    )
    apart = abs(end - start) / factor
    digits = (
        min(6, max(int(apart < 100.0 and abs(end) < 100.0 * factor), -math.floor(math.log10(apart))))
        if apart > 0.0
        else 3
    )
    return f"{start / factor:.{digits}f} to {end / factor:.{digits}f} {unit}"


def elapsed(seconds: float) -> str:
    """Return a time from the first row of a log as a clock shows it.

    Parameters
    ----------
    seconds : float
        The time. [s]

    Returns
    -------
    str
        Hours, minutes and seconds; with days in front where there are any.

    Examples
    --------
    >>> elapsed(90.5), elapsed(5134.0), elapsed(200000.0), elapsed(-3.0)
    ('0:01:30', '1:25:34', '2 d 7:33:20', '−0:00:03')
    """
    whole = timedelta(seconds=round(abs(seconds)))
    sign = "−" if seconds < 0.0 and whole else ""
    days = f"{whole.days} d " if whole.days else ""
    return f"{sign}{days}{timedelta(seconds=whole.seconds)}"


def elapsed_span(start: float, end: float) -> str:
    """Return from when to when in a log, as a clock shows it.

    Parameters
    ----------
    start, end : float
        Times from the first row. [s]

    Returns
    -------
    str
        Such as "0:01:30 to 0:02:10".

    Examples
    --------
    >>> elapsed_span(90.5, 5134.0)
    '0:01:30 to 1:25:34'
    """
    return f"{elapsed(start)} to {elapsed(end)}"


def moment(text: str) -> str:
    """Return a time as recorded, without what a reader need not see.

    Parameters
    ----------
    text : str
        ISO 8601, with zone.

    Returns
    -------
    str
        Day, hour and minute, zone; the text itself where it is not a time.

    Examples
    --------
    >>> moment("2026-03-14T10:22:31.5+01:00"), moment("2026-03-14"), moment("in spring")
    ('2026-03-14 10:22 +01:00', '2026-03-14', 'in spring')
    """
    if len(text) <= 10:
        return text
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return text
    zone = when.strftime("%z")
    return when.strftime("%Y-%m-%d %H:%M") + (f" {zone[:3]}:{zone[3:5]}" if zone else "")


def instant(text: str) -> datetime:
    """Return a recorded time as one that can be put in order.

    Parameters
    ----------
    text : str
        ISO 8601; without zone it is taken as UTC.

    Returns
    -------
    datetime.datetime
        The time in UTC; the end of all times where the text is not a time.
    """
    try:
        when = datetime.fromisoformat(text)
        return when.replace(tzinfo=UTC) if when.tzinfo is None else when.astimezone(UTC)
    except (ValueError, OverflowError):
        return datetime.max.replace(tzinfo=UTC)
