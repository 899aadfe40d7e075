"""Freezing a report as a numbered issue."""

from __future__ import annotations

from pathlib import Path

from coldpin.casefile.publish import Issue
from coldpin.report import Issue as Stamp
from coldpin.workbench.assessing import assess, render
from coldpin.workbench.clock import now as clock
from coldpin.workbench.shelving import open_bench


def publish(folder: Path | str, *, on: str | None = None) -> Issue:
    """Assess a case and freeze its report as the next numbered issue, with what changed since the last.

    Parameters
    ----------
    folder : Path or str
        The case.
    on : str, optional
        Day of the issue, as 2026-05-30; today's where left out.

    Returns
    -------
    Issue
        Number, folder, changes.

    Raises
    ------
    CaseError
        The case cannot be read, nothing changed since the last issue, or something private would show.
    StorageError
        The disk refused; nothing was published.
    """
    assessment = assess(folder)
    case = open_bench(folder).case
    day = on or clock().date().isoformat()
    number = max((int(issue.number) for issue in case.issues()), default=0) + 1
    stamp = Stamp(number=number, issued_on=day, changes=case.changes_since_last_issue(assessment))
    _, page, sheet = render(assessment, stamp=stamp)
    return case.publish(assessment, {"report.html": page, "report.pdf": sheet}, issued_on=day, number=number)
