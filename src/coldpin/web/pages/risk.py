"""Section Risk: every scenario of harm in the matrix, and the assumptions of the case's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Request, Response

from coldpin.errors import UnknownName
from coldpin.records.described import Conflict, DescribedList, DescribedRow
from coldpin.records.scenario import InjuryScenario, SpecimenRisk
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.risk_matrix import matrix_alone, matrix_told
from coldpin.web.answering import TOLD, Pages, done
from coldpin.web.conflict import EDITED, told_conflict
from coldpin.web.desk import Desk
from coldpin.web.figure import Picture, svg
from coldpin.web.works import Work
from coldpin.workbench.describing import describe_case
from coldpin.workbench.editing import edit_case_row

OWN = ("estimates", "severities")
"""The lists of ``case.toml`` that hold assumptions of the case's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnAssumption:
    """An assumption of the case's own, as ``case.toml`` says now, with the list that it stands in."""

    list: str
    row: DescribedRow


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskPage:
    """What could happen with the specimen of a case.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    fresh : bool
        True where the rest is of the case as it stands.
    work : Work or None
        What makes the next assessment.
    risk : SpecimenRisk
        Of the specimen, with all that was assumed.
    scenarios : tuple of InjuryScenario
        Worst first.
    matrix : Picture
        The published matrix with the scenarios in it.
    own : tuple of OwnAssumption
        The case's own assumptions.
    titles : mapping of str to str
        Of the findings that conclude alone, by their ids.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    risk: SpecimenRisk
    scenarios: tuple[InjuryScenario, ...]
    matrix: Picture
    own: tuple[OwnAssumption, ...]
    titles: Mapping[str, str]


def risk_page(desk: Desk, name: str) -> RiskPage:
    """Return what could happen with the specimen of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.

    Returns
    -------
    RiskPage
        As it was assessed last; the case's own assumptions as the file says now.

    Raises
    ------
    UnknownName
        There is no such case.
    BeingAssessed
        It was never assessed yet.
    CaseError
        It cannot be read or assessed.
    """
    assessment = desk.assessment(name)
    folder = desk.case(name).folder
    standing = desk.standings.of(folder)
    assert assessment.risk is not None, "a case that was assessed has its scenarios judged"
    address = f"/case/{quote(name, safe='')}/risk/matrix.svg"
    return RiskPage(
        name=name,
        title=assessment.title,
        fresh=standing.fresh,
        work=standing.work,
        risk=assessment.risk,
        scenarios=assessment.scenarios,
        matrix=Picture(address=address, alt=matrix_told(assessment.scenarios)),
        own=tuple(
            OwnAssumption(list=one.key, row=row)
            for one in describe_case(folder).lists
            if one.key in OWN
            for row in one.rows
        ),
        titles={one.id: one.title for one in assessment.findings if one.id in assessment.risk.decisive},
    )


def _matrix(desk: Desk, name: str) -> Figure:
    assessment = desk.assessment(name)
    risk = assessment.risk
    assert risk is not None, "a case that was assessed has its scenarios judged"
    return desk.figures.draw(risk, "matrix", lambda: matrix_alone(risk, assessment.scenarios, Anchors()))


def give_up_own(desk: Desk, name: str, list_: str, seen: str) -> DescribedList | Conflict:
    """Take an assumption of the case's own out of ``case.toml``.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    list_ : str
        The list it stands in.
    seen : str
        The row as it was seen, as JSON.

    Returns
    -------
    DescribedList or Conflict
        The list as it is now.

    Raises
    ------
    UnknownName
        There is no such case, or the list holds no assumptions.
    CaseError
        What was seen cannot be read.
    StorageError
        The disk refused.
    """
    if list_ not in OWN:
        raise UnknownName.among("list of own assumptions", list_, OWN)
    folder = desk.case(name).folder
    left = edit_case_row(folder, list_, seen, None)
    desk.standings.of(folder)
    return left


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/case/{name}/risk", "risk.html")
    def risk(name: str) -> RiskPage:
        """Show what could happen: every scenario of harm, and all that was assumed."""
        return risk_page(desk, name)

    @pages.router.get("/case/{name}/risk/matrix.svg", response_class=Response, responses=dict(TOLD))
    def matrix(name: str) -> Response:
        """Draw the published matrix with the scenarios in it."""
        return svg(_matrix(desk, name))

    @pages.router.post(
        "/case/{name}/own/{list}", response_class=Response, responses=dict(EDITED), status_code=HTTPStatus.OK
    )
    def give_up(request: Request, name: str, list: str, seen: Annotated[str, Form()]) -> Response:  # noqa: A002 - the word in the address
        """Take an assumption of the case's own out of case.toml: ours stands again in its place."""
        left = give_up_own(desk, name, list, seen)
        if isinstance(left, Conflict):
            return told_conflict(request, pages, name, left)
        return done(request, left, place=f"/case/{quote(name, safe='')}/risk", status=HTTPStatus.OK)
