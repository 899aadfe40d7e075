"""The one place that reads the clock."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """Return the present instant with its zone.

    Returns
    -------
    datetime
        In UTC.
    """
    return datetime.now(UTC)


def at_bench(text: str) -> datetime | str | None:
    """Read when something was made, as a form has it: a date and time without zone is one of this machine's.

    Parameters
    ----------
    text : str
        ISO 8601, with zone or without; empty for now.

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
    return instant if instant.tzinfo is not None else instant.astimezone()
