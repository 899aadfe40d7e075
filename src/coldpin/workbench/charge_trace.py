"""The rows of a charge's log, read again for drawing any part of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from coldpin.checks.charging_logs import LOG
from coldpin.checks.readings import condition
from coldpin.errors import InputError, UnknownName
from coldpin.records.assessment import Problem
from coldpin.records.session import TraceRows
from coldpin.session.trace import trace_rows
from coldpin.workbench.drafting import keeping
from coldpin.workbench.log_evidence import read_logs
from coldpin.workbench.privacy import usable_entries
from coldpin.workbench.shelving import open_bench


def open_charge(folder: Path | str, entry: str, *, progress: Callable[[float], None] | None = None) -> TraceRows:
    """Return all rows of the log of a charge, as they were read when it was filed.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed the log.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    TraceRows
        The rows.

    Raises
    ------
    UnknownName
        No such entry with a charging log counts.
    InputError
        The log cannot be read any more.
    CaseError
        The case itself cannot be read.
    """
    bench = open_bench(folder)
    logs = {one.id: one for one in usable_entries(bench.case.effective()) if one.shows == LOG}
    if entry not in logs:
        raise UnknownName.among("charge", entry, logs)
    problems: list[Problem] = []
    found = read_logs(bench, (logs[entry],), problems, keep=keeping(bench.case), progress=progress)
    if not found:
        raise InputError(f"{entry}: {problems[0].what if problems else 'its log cannot be read'}")
    return trace_rows(found[0].evidence.log, voltage=condition(logs[entry], "voltage", "V"))
