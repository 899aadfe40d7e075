"""The logs of charges that were drawn lately, whole and in memory, so that any part of one is drawn at once.

A log is read beside the page, in the process for long work; until it is there the page draws what the assessment kept
of it.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path

from coldpin.records.session import TraceRows
from coldpin.web.lately import Lately
from coldpin.web.works import Lane, Work, Works
from coldpin.workbench.charge_trace import open_charge

KEPT = 3
"""Ours: so many logs are kept; one of a month at a row each second takes fifty megabytes."""

DIALECTS = "dialects"
"""Where a case keeps how its files are read."""


class ChargeRows:
    """Rows of charges, by case and entry."""

    def __init__(self) -> None:
        self._held: Lately[object, TraceRows] = Lately(KEPT)

    def get(self, works: Works, folder: Path, entry: str) -> TraceRows | Work:
        """Return the rows of a log, or the work that reads them.

        Parameters
        ----------
        works : Works
            Reads them where they are not here yet.
        folder : Path
            The case.
        entry : str
            Id of the log's entry.

        Returns
        -------
        TraceRows or Work
            The rows where they are here.
        """
        key = (folder, entry, _read_as(folder))
        if (rows := self._held.get(key)) is not None:
            return rows
        return works.start(
            open_charge,
            {"folder": folder, "entry": entry},
            title="Reading the log",
            case=folder.name,
            key=("charge", key),
            then=partial(self._held.keep, key),
            lane=Lane.BENCH,
        )


def _read_as(folder: Path) -> tuple[tuple[str, int], ...]:
    """Return what tells whether a file would be read otherwise by now."""
    try:
        return tuple(sorted((one.name, one.stat().st_mtime_ns) for one in (folder / DIALECTS).iterdir()))
    except OSError:
        return ()
