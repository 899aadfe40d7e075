"""Cases side by side, as they were assessed last."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import Query

from coldpin import __version__
from coldpin.conclusion.comparison import compare_cases, summarise
from coldpin.errors import CaseError
from coldpin.records.assessment import Problem
from coldpin.records.comparison import Comparison
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.shelving import open_shelf


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierCase:
    """A case that is shown as it stood before it changed, and what makes its next assessment."""

    case: str
    work: Work | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedPage:
    """Cases side by side.

    Parameters
    ----------
    comparison : Comparison
        The cases as they were assessed last.
    earlier : tuple of EarlierCase
        Those of them that changed since.
    """

    comparison: Comparison
    earlier: tuple[EarlierCase, ...]


def compared_page(desk: Desk, names: list[str]) -> ComparedPage:
    """Return cases of the shelf side by side.

    Parameters
    ----------
    desk : Desk
        The shelf.
    names : list of str
        Their folders; all of the shelf where empty.

    Returns
    -------
    ComparedPage
        As they were assessed last; one that is not assessed yet is waited for, one that cannot be is a problem.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        There is none to compare.
    """
    shelf = open_shelf(desk.shelf)
    wanted = list(dict.fromkeys(names)) or [case.folder.name for case in shelf.cases().cases]
    summaries, problems, earlier = [], [], []
    for name in wanted:
        standing = desk.standings.of(desk.case(name).folder)
        try:
            summaries.append(summarise(standing.assessment or desk.assessment(name), case=name))
            if standing.assessment is not None and not standing.fresh:
                earlier.append(EarlierCase(case=name, work=standing.work))
        except CaseError as error:
            problems.append(Problem(where=name, what=str(error)))
    if not summaries:
        raise CaseError("there is no case on the shelf that can be compared yet")
    title = shelf.description().title
    return ComparedPage(
        comparison=compare_cases(summaries, title=title, program_version=__version__, problems=problems),
        earlier=tuple(earlier),
    )


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/compare", "compared.html")
    def compared(case: Annotated[list[str] | None, Query()] = None) -> ComparedPage:
        """Show cases side by side, all of the shelf where none is named."""
        return compared_page(desk, case or [])
