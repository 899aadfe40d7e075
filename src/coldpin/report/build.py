"""One assessment record becomes one document tree."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from coldpin.records.assessment import Assessment
from coldpin.records.readings import IssueChanges
from coldpin.report.chapters.about import about
from coldpin.report.chapters.cable import cable
from coldpin.report.chapters.captures import captures
from coldpin.report.chapters.charging import charging
from coldpin.report.chapters.claims import claims
from coldpin.report.chapters.evidence import evidence
from coldpin.report.chapters.findings import findings, findings_one_by_one
from coldpin.report.chapters.front import front, title
from coldpin.report.chapters.injuries import estimates, injuries
from coldpin.report.chapters.inside import inside
from coldpin.report.chapters.market import market
from coldpin.report.chapters.method import method
from coldpin.report.chapters.replies import replies
from coldpin.report.chapters.residual import residual
from coldpin.report.chapters.sayings import plainly, sayings
from coldpin.report.chapters.shock import shock
from coldpin.report.chapters.sources import sources
from coldpin.report.chapters.specimen import specimen
from coldpin.report.chapters.untested import untested
from coldpin.report.chapters.uses import uses
from coldpin.report.document import Block, Document, Figure, Heading, Listing, Paragraph, Role, Text
from coldpin.report.index import Index, index_of
from coldpin.report.times import moment
from coldpin.report.words import specimen_name


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """A published issue: its number, the day it was issued, what changed since the one before, and the earlier ones."""

    number: int
    issued_on: str
    changes: tuple[str, ...] = ()
    earlier: tuple[IssueChanges, ...] = ()


def build_document(
    assessment: Assessment, *, issue: Issue | None = None, progress: Callable[[float], None] | None = None
) -> Document:
    """Return an assessment as a document: everything a reader needs, and nothing that is kept private.

    Parameters
    ----------
    assessment : Assessment
        The record; the document is made from it and from nothing else.
    issue : Issue, optional
        The published issue; a draft where it is not given.
    progress : callable, optional
        Told the fraction of the chapters written, their figures drawn; what it raises stops the work.

    Returns
    -------
    Document
        What :func:`~coldpin.report.html.render_html` and :func:`~coldpin.report.pdf.render_pdf` set.
    """
    index = index_of(assessment)
    status = "Draft" if issue is None else f"Issue {issue.number}, {moment(issue.issued_on)}"
    chapters = (lambda _: front(index, status=status), lambda _: _changes(index, issue), *_CHAPTERS)
    blocks: list[Block] = []
    for done, chapter in enumerate(chapters):
        if progress:
            progress(done / len(chapters))
        blocks += chapter(index)
    return Document(
        title=title(index),
        status=status,
        date=assessment.assessed_on,
        running=" · ".join(part for part in (specimen_name(assessment.case), status) if part),
        blocks=tuple(_numbered(blocks)),
    )


Chapter = Callable[[Index], tuple[Block, ...]]
"""Writes one chapter of an assessment."""


def _appendix(chapter: Chapter) -> Chapter:
    """Mark a chapter as one for who checks the others."""
    return lambda index: tuple(
        replace(block, appendix=True) if isinstance(block, Heading) and block.level == CHAPTER else block
        for block in chapter(index)
    )


CHAPTER = 2
"""Level of the headings of chapters."""

_CHAPTERS: tuple[Chapter, ...] = (
    sayings,
    uses,
    injuries,
    plainly,
    specimen,
    claims,
    findings,
    residual,
    cable,
    inside,
    shock,
    charging,
    market,
    untested,
    replies,
    about,
    _appendix(estimates),
    _appendix(findings_one_by_one),
    _appendix(captures),
    _appendix(method),
    _appendix(evidence),
    _appendix(sources),
)
"""The chapters behind the front page and what changed, in their order."""


def _changes(index: Index, issue: Issue | None) -> tuple[Block, ...]:
    if issue is None or not issue.changes:
        return ()
    return (
        Heading(2, "Changes since the last issue", index.anchors.fresh("changes")),
        Paragraph((Text("The earlier issue is kept beside this one."),), Role.QUIET),
        Listing(tuple((Text(change),) for change in issue.changes)),
        *_earlier(index, issue.earlier),
    )


def _earlier(index: Index, issues: tuple[IssueChanges, ...]) -> tuple[Block, ...]:
    """List every issue before this one with what it changed, newest first: the public list of corrections."""
    if not issues:
        return ()
    ordered = sorted(issues, key=lambda one: -one.number)
    return (
        Heading(3, "Earlier issues, and what each changed", index.anchors.fresh("earlier-issues")),
        Listing(
            tuple((Text(f"Issue {one.number}, {moment(one.issued_on)}: {' '.join(one.changes)}"),) for one in ordered)
        ),
    )


def _numbered(blocks: Iterable[Block]) -> Iterator[Block]:
    """Give numbers to the chapters, their sections and the figures, so that a reader can cite them."""
    chapter = section = figure = 0
    for block in blocks:
        match block:
            case Heading(level=2):
                chapter, section = chapter + 1, 0
                yield replace(block, text=f"{chapter} {block.text}")
            case Heading(level=3):
                section += 1
                yield replace(block, text=f"{chapter}.{section} {block.text}")
            case Figure():
                figure += 1
                yield replace(block, caption=f"Figure {figure}. {block.caption}")
            case _:
                yield block
