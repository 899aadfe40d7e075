"""The shelf: every case with what may be said of it, as far as it is known now."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.assessment import Problem, Sentence
from coldpin.records.function import ProtectiveFunction
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.shelving import open_shelf


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseLine:
    """One case on the shelf.

    Parameters
    ----------
    name : str
        Its folder.
    title : str
        What it is called.
    fresh : bool
        True where the rest is of the case as it stands; else it is of an earlier state, or not known yet.
    work : Work or None
        What makes it, while it is made.
    headline : Sentence or None
        What may be said.
    functions : tuple of ProtectiveFunction
        What is there.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None = None
    headline: Sentence | None = None
    functions: tuple[ProtectiveFunction, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPage:
    """The shelf, and what of it could not be used."""

    title: str
    cases: tuple[CaseLine, ...]
    problems: tuple[Problem, ...]


def shelf_page(desk: Desk) -> ShelfPage:
    """Return the shelf as it stands.

    Parameters
    ----------
    desk : Desk
        The shelf.

    Returns
    -------
    ShelfPage
        At once; what is not assessed yet is being so.

    Raises
    ------
    CaseError
        The folder is not a shelf any more.
    """
    shelf = open_shelf(desk.shelf)
    held = shelf.cases()
    lines = []
    for case in held.cases:
        standing = desk.standings.of(case.folder)
        made = standing.assessment
        lines.append(
            CaseLine(
                name=case.folder.name,
                title=made.title if made else case.description().title,
                fresh=standing.fresh,
                work=standing.work,
                headline=made.conclusion.headline if made else None,
                functions=made.functions if made else (),
            )
        )
    return ShelfPage(title=shelf.description().title, cases=tuple(lines), problems=held.problems)


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/", "shelf.html")
    def shelf() -> ShelfPage:
        """Show all cases, and what may be said of each."""
        return shelf_page(desk)
