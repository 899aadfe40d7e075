"""When a log was made, by its own first stamp, where nobody says."""

from __future__ import annotations

from datetime import datetime, tzinfo

from coldpin.records.entry import FIRST_STAMP
from coldpin.workbench.clock import at_bench

CLOCKS_SET_SINCE = datetime.fromisoformat("2010-01-01")
"""Ours: a logger whose clock was never set begins in 1970, 1980 or 2000; what it then shows tells no day."""


def made_by_stamp(began: str, written: datetime, zone: tzinfo | None = None) -> tuple[datetime | None, str]:
    """Return when a log was made by its first stamp, and what is to be said of it.

    A stamp without zone is one of the bench's, as what is typed is. The stamp is when the file says it was: what is
    reckoned from the log goes by its own rows as before.

    Parameters
    ----------
    began : str
        The first stamp, ISO 8601, with zone or without; empty where the file holds relative times only.
    written : datetime
        Now, with zone.
    zone : tzinfo or None
        That of the bench; this machine's where left out.

    Returns
    -------
    tuple of datetime or None and str
        None where the stamp tells no day: it is of a clock that was never set, or lies ahead of now.

    Examples
    --------
    >>> from datetime import UTC
    >>> now = datetime(2026, 5, 2, 18, 0, tzinfo=UTC)
    >>> made_by_stamp("2026-05-02T14:30:00+01:00", now)[0].isoformat()
    '2026-05-02T14:30:00+01:00'
    >>> made_by_stamp("", now), made_by_stamp("1970-01-01T00:00:04+00:00", now)[0]
    ((None, ''), None)
    """
    if not began:
        return None, ""
    shown = datetime.fromisoformat(began)
    plainly = f"{shown:%Y-%m-%d %H:%M}"
    if shown.replace(tzinfo=None) < CLOCKS_SET_SINCE:
        return None, f"its first stamp is {plainly}, of a clock that was not set: it stands at the hour of its filing"
    made = at_bench(began, zone)
    if not isinstance(made, datetime) or made > written:
        return None, f"its first stamp, {plainly}, lies ahead of now: it stands at the hour of its filing"
    return made, f"it stands at {plainly}, by {FIRST_STAMP}; say when it was where that clock was wrong"
