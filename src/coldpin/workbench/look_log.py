"""A quick look at a log, with nothing written anywhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from coldpin.capture.log import LogCapture, read_log
from coldpin.errors import AmbiguousDialect, CaptureError
from coldpin.records.log import LOG_UNITS, Log, LogChannel, LogQuantity


def open_log(
    path: Path | str,
    *,
    choices: Mapping[str, str | float | int | Sequence[str]] | None = None,
    progress: Callable[[float], None] | None = None,
) -> LogCapture:
    """Read a log for a quick look.

    Parameters
    ----------
    path : Path or str
        The log.
    choices : mapping, optional
        How to read it, as for :func:`coldpin.capture.log.read_log`.
    progress : callable, optional
        Told the fraction done.

    Returns
    -------
    LogCapture
        The log, how it was read, remarks.

    Raises
    ------
    CaptureError
        The file cannot be read, or only in more than one way.
    UnknownName
        A choice is not known.

    Examples
    --------
    >>> open_log("missing.csv")
    Traceback (most recent call last):
    ...
    coldpin.errors.CaptureError: ...
    """
    return read_log(path, choices=choices, progress=progress)


def channel_of(log: Log, quantity: LogQuantity, *, where: str = "the log") -> LogChannel:
    """Return the one column of a log that is meant by a quantity, or say what to do.

    Parameters
    ----------
    log : Log
        The log.
    quantity : LogQuantity
        What is wanted.
    where : str
        What the log is called in a message.

    Returns
    -------
    LogChannel
        The only column, or the one that was said by hand to be meant.

    Raises
    ------
    CaptureError
        There is none; the columns are listed.
    AmbiguousDialect
        There are several, and none or more than one was said to be meant.
    """
    found = log.all_of(quantity)
    meant = tuple(channel for channel in found if channel.meant)
    if len(found) == 1 or len(meant) == 1:
        return (meant or found)[0]
    if not found:
        columns = ", ".join(repr(channel.name) for channel in log.channels)
        raise CaptureError(
            f"{where}: no column is known to hold a {quantity} (columns: {columns}): say --column "
            f"'{quantity}=COLUMN:UNIT', such as --column '{quantity}={log.channels[0].name}:{LOG_UNITS[quantity]}'"
        )
    ways = ", ".join(f"--column '{quantity}={channel.name}'" for channel in found)
    raise AmbiguousDialect(f"{where}: {len(found)} columns hold a {quantity}: say which is meant: {ways}")
