"""A case: what may be said, why, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.assessment import Assessment
from coldpin.records.finding import Finding
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work


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
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    assessment: Assessment | None


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
    return CasePage(name=name, title=title, fresh=standing.fresh, work=standing.work, assessment=standing.assessment)


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
