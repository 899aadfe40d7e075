"""A case: what may be said, why, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.assessment import Assessment
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding
from coldpin.records.plan import NextTest
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.listing import EntryList, list_entries


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine:
    """One thing that happened; ``replaced_by`` is the entry that corrects it or takes it back, with its ``reason``."""

    entry: Entry
    holds: bool
    replaced_by: str = ""
    reason: str = ""
    withdrawn: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CasePage:
    """A case as it stands.

    Parameters
    ----------
    name : str
        Its folder.
    title : str
        What it is called.
    fresh : bool
        True where the assessment is of the case as it stands.
    work : Work or None
        What makes the next assessment, while it is made; or the one that failed.
    assessment : Assessment or None
        The last one made; None where none was made yet.
    advice : NextTest or None
        What to test next after that assessment.
    entries : tuple of EntryLine
        Everything that happened, in order, also what was corrected and what is private: as the case stands now.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    assessment: Assessment | None
    advice: NextTest | None
    entries: tuple[EntryLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingPage:
    """One finding of a case."""

    name: str
    title: str
    finding: Finding


def case_page(desk: Desk, name: str) -> CasePage:
    """Return a case of the shelf.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.

    Returns
    -------
    CasePage
        At once, with the last assessment made.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    standing = desk.standings.of(case.folder)
    title = standing.assessment.title if standing.assessment else case.description().title
    return CasePage(
        name=name,
        title=title,
        fresh=standing.fresh,
        work=standing.work,
        assessment=standing.assessment,
        advice=desk.advice(standing.assessment) if standing.assessment else None,
        entries=_lines(list_entries(case.folder)),
    )


def _lines(listed: EntryList) -> tuple[EntryLine, ...]:
    later = {entry.replaces: entry for entry in listed.all if entry.replaces}
    return tuple(_line(entry, later.get(entry.id), holds=entry.id in listed.holding) for entry in listed.all)


def _line(entry: Entry, later: Entry | None, *, holds: bool) -> EntryLine:
    if later is None:
        return EntryLine(entry=entry, holds=holds)
    return EntryLine(entry=entry, holds=holds, replaced_by=later.id, reason=later.reason, withdrawn=later.withdraws)


def finding_page(desk: Desk, name: str, finding: str) -> FindingPage:
    """Return one finding of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    finding : str
        Id of the finding.

    Returns
    -------
    FindingPage
        As it was assessed last.

    Raises
    ------
    UnknownName
        There is no such case or finding.
    CaseError
        The case cannot be read.
    """
    assessment = desk.assessment(name)
    by_id = {found.id: found for found in assessment.findings}
    if finding not in by_id:
        raise UnknownName.among("finding", finding, by_id)
    return FindingPage(name=name, title=assessment.title, finding=by_id[finding])


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/case/{name}", "case.html")
    def case(name: str) -> CasePage:
        """One case: what may be said, and why."""
        return case_page(desk, name)

    @pages.show("/case/{name}/finding/{finding}", "finding.html")
    def finding(name: str, finding: str) -> FindingPage:
        """One finding, with its limit, its budget and what it rests on."""
        return finding_page(desk, name, finding)
