"""Rest for the collector of cycles, while a log with thousands of gaps becomes a million records that have none."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """Let no search for cycles begin meanwhile; what is not referred to any more goes as always.

    The search goes over all records that live each time their number has grown by a quarter, and finds nothing among
    frozen records, so that the time would grow faster than the rows do. It may be entered again, and by several
    threads: the first to leave of those who found it at work sets it to work again.

    Yields
    ------
    None
        Nothing.

    Examples
    --------
    >>> with collector_at_rest():
    ...     gc.isenabled()
    False
    >>> gc.isenabled()
    True
    """
    at_work = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if at_work:
            gc.enable()
