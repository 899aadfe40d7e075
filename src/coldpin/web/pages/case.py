"""A case: what may be said, why, what to test next, and the state of each protective function."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from coldpin.conclusion.whereabouts import Whereabouts, whereabouts
from coldpin.records.assessment import Assessment
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.plan import NextTest, PlannedTest
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.shelving import open_shelf

ORDER = (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT, FunctionState.SHOWN, FunctionState.NOT_SHOWN)
"""States in the order in which they are shown: what decides first, what nobody knows last."""


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
    functions : mapping of str to tuple of ProtectiveFunction
        The protective functions by their state, what decides first.
    advice : NextTest or None
        What to test next after that assessment.
    next_test : PlannedTest or None
        How that is done: cautions, settings, what is written down.
    instruments : mapping of str to str
        What can be read with: the instruments of the shelf in words, by the names that entries call them.
    whereabouts : Whereabouts or None
        Where the specimen is, as it was said last.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    assessment: Assessment | None
    functions: Mapping[str, tuple[ProtectiveFunction, ...]]
    advice: NextTest | None
    next_test: PlannedTest | None
    instruments: Mapping[str, str]
    whereabouts: Whereabouts | None = None


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
        Its ``case.toml`` or the shelf's ``shelf.toml`` cannot be read.
    """
    case = desk.case(name)
    standing = desk.standings.of(case.folder)
    made = standing.assessment
    advice = desk.advice(made, name) if made else None
    return CasePage(
        name=name,
        title=made.title if made else case.description().title,
        fresh=standing.fresh,
        work=standing.work,
        assessment=made,
        functions=by_state(made.functions) if made else {},
        advice=advice.told if advice else None,
        next_test=advice.planned if advice else None,
        instruments={called: one.name for called, one in open_shelf(desk.shelf).instruments().items()},
        whereabouts=whereabouts(made.case, made.entries) if made else None,
    )


def by_state(functions: tuple[ProtectiveFunction, ...]) -> dict[str, tuple[ProtectiveFunction, ...]]:
    """Return protective functions by their state.

    Parameters
    ----------
    functions : tuple of ProtectiveFunction
        In the order of the report.

    Returns
    -------
    dict of str to tuple of ProtectiveFunction
        What decides first; a state that none has is left out.
    """
    found = {state.value: tuple(one for one in functions if one.state is state) for state in ORDER}
    return {state: those for state, those in found.items() if those}


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
        """Show what may be said of one case, and why."""
        return case_page(desk, name)
