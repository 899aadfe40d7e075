"""Freezing a report as a numbered issue, and showing beforehand what would be in it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from coldpin.casefile import Case
from coldpin.casefile.private import keep_mapping, read_mapping, read_private
from coldpin.casefile.publish import Issue
from coldpin.errors import CaseError, ConflictError
from coldpin.records.assessment import Assessment
from coldpin.records.keeping import Keeping
from coldpin.records.plain import to_json
from coldpin.records.publication import Publication, PublicFile
from coldpin.records.readings import IssueChanges
from coldpin.records.withheld import WithheldMapping, WithheldText
from coldpin.report import Issue as Stamp
from coldpin.report.figures.summary import summary_png, summary_svg
from coldpin.workbench.assessing import assess
from coldpin.workbench.clock import now as clock
from coldpin.workbench.drafting import REPORT, SUMMARY, keeping
from coldpin.workbench.judging_words import judging_words
from coldpin.workbench.rendering import render_and
from coldpin.workbench.replies import reply_remarks
from coldpin.workbench.shelving import open_bench
from coldpin.workbench.since_issue import files_of, keep_state
from coldpin.workbench.withholding import (
    NOTE,
    bare_photographs,
    renamed,
    still_there,
    withheld_texts,
    without,
)

RECORD, PAGE, SHEET = REPORT

SHARE = 0.4
"""Ours: the part of the work that assessing is of assessing and writing; a guess for a bar of progress. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftIssue:
    """The next issue before it is one: what would be published, and the files, marked as a draft."""

    publication: Publication
    files: Mapping[str, bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ready:
    """A case as it may be published, before anything is drawn."""

    case: Case
    assessment: Assessment
    mapping: WithheldMapping
    texts: tuple[WithheldText, ...]
    photographs: Mapping[str, bytes]
    left_out: tuple[str, ...]

    @property
    def number(self) -> int:
        return max((int(issue.number) for issue in self.case.issues()), default=0) + 1

    @property
    def digest(self) -> str:
        return hashlib.sha256(to_json(self.assessment).encode()).hexdigest()

    def refuse_no_news(self, day: str) -> None:
        names = (PAGE, SHEET, *SUMMARY, *self.photographs)
        self.case.refuse_no_news(self.assessment, names, issued_on=day)


def publish(
    folder: Path | str,
    *,
    on: str | None = None,
    seen: str = "",
    progress: Callable[[float], None] | None = None,
) -> Issue:
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
    seen : str
        The digest of the draft that was looked at, as :func:`draft_issue` gives it; another is then not published.
    progress : callable, optional
        Told the fraction done; what it raises stops the work, and nothing is published.

    Returns
    -------
    Issue
        Number, folder, changes, and remarks on the right of reply and on what was left out.

    Raises
    ------
    CaseError
        The case cannot be read, nothing changed since the last issue, or something private would show.
    ConflictError
        What would be published is not what was looked at.
    StorageError
        The disk refused; nothing was published.
    """
    tell = progress or _nobody
    files_before = files_of(open_bench(folder).case)
    ready = _ready(folder, keep=None, progress=partial(_part, tell, 0.0, SHARE))
    case, assessment = ready.case, ready.assessment
    day = on or clock().date().isoformat()
    if seen and seen != ready.digest:
        raise ConflictError(
            "the case has changed since its draft was looked at, so nothing was published: "
            "make the draft anew and look at what would be published now"
        )
    ready.refuse_no_news(day)
    stamp = Stamp(
        number=ready.number,
        issued_on=day,
        changes=case.changes_since_last_issue(assessment),
        earlier=tuple(
            IssueChanges(number=int(issue.number), issued_on=issue.issued_on, changes=issue.changes)
            for issue in case.issues()
        ),
    )
    files = _files(ready, stamp, partial(_part, tell, SHARE, 1.0))
    shown = still_there(files, ready.texts)
    if shown:
        raise CaseError(_shows(shown[0]))
    del files[RECORD]
    keep_mapping(case.folder, ready.mapping)
    issue = case.publish(assessment, files, issued_on=day, number=stamp.number)
    keep_state(case, issue.number, files_before)
    return replace(issue, remarks=(*reply_remarks(assessment.case, day), *ready.left_out))


def draft_issue(
    folder: Path | str, *, on: str | None = None, progress: Callable[[float], None] | None = None
) -> DraftIssue:
    """Make what would be published as the next issue, marked as a draft, and say what would go public. Nothing is kept.

    Parameters
    ----------
    folder : Path or str
        The case.
    on : str, optional
        Day by which the right of reply is looked at, as 2026-05-30; today's where left out.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    DraftIssue
        Record, page, sheet, summary picture and photographs, without what is private.

    Raises
    ------
    CaseError
        The case cannot be read, or a text to be withheld is part of something that the record cannot do without.
    """
    tell = progress or _nobody
    ready = _ready(folder, keep=keeping(open_bench(folder).case), progress=partial(_part, tell, 0.0, SHARE))
    case, assessment = ready.case, ready.assessment
    day = on or clock().date().isoformat()
    files = _files(ready, None, partial(_part, tell, SHARE, 1.0))
    shown = still_there(files, ready.texts)
    try:
        ready.refuse_no_news(day)
        refused = _shows(shown[0]) if shown else ""
    except CaseError as error:
        refused = str(error)
    record = files[RECORD].decode()
    loaded = case.entries()
    publication = Publication(
        number=ready.number,
        digest=ready.digest,
        title=assessment.title,
        headline=assessment.conclusion.headline.text,
        entries=len(assessment.entries),
        kept_back=len(loaded.entries) - len(assessment.entries),
        files=_sizes({name: data for name, data in files.items() if name not in ready.photographs}),
        photographs=_sizes(ready.photographs),
        withheld=tuple(one for one in ready.texts if one.placeholder in record),
        left_out=ready.left_out,
        changes=case.changes_since_last_issue(assessment),
        replies=reply_remarks(assessment.case, day),
        judging=judging_words(assessment),
        refused=refused,
        problems=(*assessment.problems, *case.check_issues()),
    )
    return DraftIssue(publication=publication, files=files)


def _ready(folder: Path | str, *, keep: Keeping | None, progress: Callable[[float], None]) -> _Ready:
    """Assess a case and take out what must not be published."""
    whole = assess(folder, progress=progress) if keep is None else assess(folder, progress=progress, keep=keep)
    case = open_bench(folder).case
    private, before = read_private(case.folder), read_mapping(case.folder)
    photographs, pictured, left_out = bare_photographs(case, whole.entries, before)
    texts = withheld_texts(whole, private, before)
    assessment = without(renamed(whole, pictured, photographs), texts)
    if texts or pictured:
        assessment = replace(assessment, limits_of_the_work=(*assessment.limits_of_the_work, NOTE))
    return _Ready(
        case=case,
        assessment=assessment,
        mapping=replace(before, texts=texts, photographs=pictured),
        texts=texts,
        photographs=photographs,
        left_out=left_out,
    )


def _files(ready: _Ready, stamp: Stamp | None, progress: Callable[[float], None]) -> dict[str, bytes]:
    """Write record, page, sheet and summary picture; the photographs go with them."""
    assessment = ready.assessment
    report, pictures = render_and(
        assessment, lambda: (summary_svg(assessment), summary_png(assessment)), stamp=stamp, progress=progress
    )
    names = (RECORD, PAGE, SHEET, *SUMMARY)
    return {**dict(zip(names, (*report, *pictures), strict=True)), **ready.photographs}


def _shows(what: str) -> str:
    return f"{what}: it cannot be published so; withdraw what shows it or give more of the text"


def _sizes(files: Mapping[str, bytes]) -> tuple[PublicFile, ...]:
    return tuple(PublicFile(name=name, size=len(data)) for name, data in files.items())


def _part(tell: Callable[[float], None], begin: float, end: float, fraction: float) -> None:
    """Tell the fraction of the whole, of which this is a part."""
    tell(begin + (end - begin) * fraction)


def _nobody(_: float) -> None:
    """Tell nobody."""
