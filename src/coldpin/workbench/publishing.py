"""Freezing a report as a numbered issue."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from coldpin.casefile.private import keep_mapping, read_mapping, read_private
from coldpin.casefile.publish import Issue
from coldpin.errors import CaseError
from coldpin.records.readings import IssueChanges
from coldpin.report import Issue as Stamp
from coldpin.report.figures.summary import summary_png, summary_svg
from coldpin.workbench.assessing import assess, render_and
from coldpin.workbench.clock import now as clock
from coldpin.workbench.drafting import SUMMARY
from coldpin.workbench.replies import reply_remarks
from coldpin.workbench.shelving import open_bench
from coldpin.workbench.withholding import (
    NOTE,
    bare_photographs,
    renamed,
    still_there,
    withheld_texts,
    without,
)

PAGE, SHEET = "report.html", "report.pdf"


def publish(folder: Path | str, *, on: str | None = None) -> Issue:
    """Assess a case and freeze its report as the next numbered issue, with what changed since the last.

    The summary picture is frozen with it, and photographs go with it as their pixels alone. What ``private.toml``
    names, and what gives itself away by its form (numbers of orders and vehicles, addresses of mail, telephones,
    places), is replaced; the mapping stays in the case.

    Parameters
    ----------
    folder : Path or str
        The case.
    on : str, optional
        Day of the issue, as 2026-05-30; today's where left out.

    Returns
    -------
    Issue
        Number, folder, changes, and remarks on the right of reply and on what was left out.

    Raises
    ------
    CaseError
        The case cannot be read, nothing changed since the last issue, or something private would show.
    StorageError
        The disk refused; nothing was published.
    """
    whole = assess(folder)
    case = open_bench(folder).case
    day = on or clock().date().isoformat()
    private, before = read_private(case.folder), read_mapping(case.folder)
    photographs, pictured, left_out = bare_photographs(case, whole.entries, before)
    texts = withheld_texts(whole, private, before)
    assessment = without(renamed(whole, pictured, photographs), texts)
    if texts or pictured:
        assessment = replace(assessment, limits_of_the_work=(*assessment.limits_of_the_work, NOTE))
    case.refuse_no_news(assessment, (PAGE, SHEET, *SUMMARY, *photographs), issued_on=day)
    number = max((int(issue.number) for issue in case.issues()), default=0) + 1
    stamp = Stamp(
        number=number,
        issued_on=day,
        changes=case.changes_since_last_issue(assessment),
        earlier=tuple(
            IssueChanges(number=int(issue.number), issued_on=issue.issued_on, changes=issue.changes)
            for issue in case.issues()
        ),
    )
    (record, page, sheet), pictures = render_and(
        assessment, lambda: (summary_svg(assessment), summary_png(assessment)), stamp=stamp
    )
    files = {PAGE: page, SHEET: sheet, **dict(zip(SUMMARY, pictures, strict=True)), **photographs}
    shown = still_there({**files, "assessment.json": record}, texts)
    if shown:
        raise CaseError(f"{shown[0]}: it cannot be published so; withdraw what shows it or give more of the text")
    keep_mapping(case.folder, replace(before, texts=texts, photographs=pictured))
    issue = case.publish(assessment, files, issued_on=day, number=number)
    return replace(issue, remarks=(*reply_remarks(assessment.case, day), *left_out))
