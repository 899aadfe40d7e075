"""The shelf: every case with what may be said of it, as far as it is known now."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.conclusion.comparison import summarise
from coldpin.errors import UnknownName
from coldpin.records.assessment import Problem
from coldpin.records.comparison import CaseSummary
from coldpin.records.function import FunctionState
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.cases import TWIN
from coldpin.workbench.shelving import open_shelf

OF_A_TWIN = f"what ends in '{TWIN}' is for the page the record of another page: rename the folder"


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
    summary : CaseSummary or None
        What may be said, every function's state, what was paid; None where it was never assessed.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None = None
    summary: CaseSummary | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPage:
    """The shelf.

    Parameters
    ----------
    title : str
        What it is called.
    words : str
        What a case must hold to be shown, in its name, its title or what may be said of it; empty for all.
    state : str
        The state that a function of it must have; empty for any.
    cases : tuple of CaseLine
        Those that are shown.
    left_out : int
        How many cases are not.
    problems : tuple of Problem
        What could not be used.
    """

    title: str
    words: str = ""
    state: str = ""
    cases: tuple[CaseLine, ...]
    left_out: int = 0
    problems: tuple[Problem, ...]


def shelf_page(desk: Desk, words: str = "", state: str = "") -> ShelfPage:
    """Return the shelf as it stands.

    Parameters
    ----------
    desk : Desk
        The shelf.
    words : str
        Words that a case must hold, in any order; empty for all cases.
    state : str
        The state that one of its functions must have; empty for any.

    Returns
    -------
    ShelfPage
        At once; what is not assessed yet is being so, and is shown whatever is asked for.

    Raises
    ------
    UnknownName
        There is no such state.
    CaseError
        The folder is not a shelf any more.
    """
    if state and state not in list(FunctionState):
        raise UnknownName.among("state", state, list(FunctionState))
    shelf = open_shelf(desk.shelf)
    held = shelf.cases()
    lines = []
    for case in held.cases:
        standing = desk.standings.of(case.folder, soon=False)
        made = standing.assessment
        lines.append(
            CaseLine(
                name=case.folder.name,
                title=made.title if made else case.description().title,
                fresh=standing.fresh,
                work=standing.work,
                summary=summarise(made, case=case.folder.name) if made else None,
            )
        )
    shown = tuple(line for line in lines if _is_wanted(line, words.casefold().split(), state))
    return ShelfPage(
        title=shelf.description().title,
        words=words,
        state=state,
        cases=shown,
        left_out=len(lines) - len(shown),
        problems=(*held.problems, *(Problem(where=line.name, what=OF_A_TWIN) for line in lines if _is_hidden(line))),
    )


def _is_hidden(line: CaseLine) -> bool:
    return line.name.casefold().endswith(TWIN)


def _is_wanted(line: CaseLine, words: list[str], state: str) -> bool:
    if line.summary is None:
        return True
    told = f"{line.name} {line.title} {line.summary.specimen} {line.summary.headline.text}".casefold()
    found = not state or any(function.state == state for function in line.summary.functions)
    return found and all(word in told for word in words)


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
    def shelf(words: str = "", state: str = "") -> ShelfPage:
        """Show the cases, all or those that hold some words, and what may be said of each."""
        return shelf_page(desk, words, state)
