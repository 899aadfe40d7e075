"""The one place that reads the clock."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from coldpin.errors import InputError

_FIXED = re.compile(r"(?P<sign>[+-])(?P<hours>[01]\d|2[0-3]):(?P<minutes>[0-5]\d)")


def now() -> datetime:
    """Return the present instant with its zone.

    Returns
    -------
    datetime
        In UTC.
    """
    return datetime.now(UTC)


def zone_named(text: str, *, where: str) -> tzinfo | None:
    """Return a time zone by its name.

    Parameters
    ----------
    text : str
        Such as "Europe/Copenhagen", or how far it is ahead of UTC, "+02:00"; empty for that of this machine.
    where : str
        Where it stands, for a message.

    Returns
    -------
    tzinfo or None
        None for that of this machine, whatever it is at the moment asked about.

    Raises
    ------
    InputError
        There is no such zone, as far as this machine knows.

    Examples
    --------
    >>> str(zone_named("+02:00", where="shelf.toml")), zone_named("", where="shelf.toml")
    ('UTC+02:00', None)
    """
    if not text:
        return None
    if fixed := _FIXED.fullmatch(text):
        ahead = timedelta(hours=int(fixed["hours"]), minutes=int(fixed["minutes"]))
        return timezone(-ahead if fixed["sign"] == "-" else ahead)
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise InputError(
            f"{where}: this machine knows no time zone {text!r}: write one such as 'Europe/Copenhagen', or how far it "
            "is ahead of UTC, '+02:00'"
        ) from error


def at_bench(text: str, zone: tzinfo | None = None) -> datetime | str | None:
    """Read when something was made, as a form has it: a date and time without zone is one of the bench's.

    Parameters
    ----------
    text : str
        ISO 8601, with zone or without; empty for now.
    zone : tzinfo or None
        That of the bench; this machine's where left out.

    Returns
    -------
    datetime or str or None
        With zone; None where nothing is said. What is no date and time stays as it is, to be refused where it is read.

    Examples
    --------
    >>> at_bench("2026-05-02T14:30+01:00").isoformat()
    '2026-05-02T14:30:00+01:00'
    >>> at_bench(""), at_bench("yesterday")
    (None, 'yesterday')
    """
    if not text:
        return None
    try:
        instant = datetime.fromisoformat(text)
    except ValueError:
        return text
    if instant.tzinfo is not None:
        return instant
    return instant.astimezone() if zone is None else instant.replace(tzinfo=zone)
