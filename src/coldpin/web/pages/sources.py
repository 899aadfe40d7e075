"""The page Sources: every constant with value, source and standing; and a value of one's own in the place of ours."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from http import HTTPStatus
from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Query, Request, Response

from coldpin.records.case import OwnConstant
from coldpin.records.described import Conflict, DescribedField, DescribedList
from coldpin.records.finding import Finding, Limit
from coldpin.records.plain import from_plain, to_json, to_plain
from coldpin.records.supposed import SupposedConstant
from coldpin.standards.book import load_book
from coldpin.web.answering import Pages, done
from coldpin.web.conflict import EDITED, told_conflict
from coldpin.web.desk import Desk
from coldpin.web.forms import named_values
from coldpin.web.lately import Lately
from coldpin.web.works import Work
from coldpin.workbench.constants import SourceTable, list_sources
from coldpin.workbench.describing import fields_of
from coldpin.workbench.editing import edit_case_row, read_row
from coldpin.workbench.shelving import open_shelf
from coldpin.workbench.supposed_constants import suppose_constant

MOST = 60
"""Ours: so many constants are shown at once where no table is chosen; more is a list that nobody reads."""

KEPT = 20
"""Ours: so many answers to what would move are remembered."""

LIST = "constants"


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcesPage:
    """Constants that are looked for, of the program or with a case's own in the place of ours.

    Parameters
    ----------
    name : str
        The case's folder; empty for the shelf.
    title : str
        What case or shelf is called.
    words : str
        What is looked for.
    standing : str
        The standing that is looked for; empty for any.
    table : str
        The table that is looked at; empty for all.
    used_only : bool
        Whether only constants that the case uses are shown.
    tables : tuple of SourceTable
        Every table, with what of it is found.
    shown : tuple of Limit
        The constants.
    left_out : int
        How many more there are.
    used : tuple of str
        Ids of those that the assessment of the case uses.
    cases : tuple of tuple of str
        Folder and title of every case, for who looks at the shelf's and wants one of their own.
    """

    name: str
    title: str
    words: str
    standing: str
    table: str
    used_only: bool
    tables: tuple[SourceTable, ...]
    shown: tuple[Limit, ...]
    left_out: int
    used: tuple[str, ...] = ()
    cases: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstantPage:
    """One constant in a case, with what rests on it and the fields of a value of one's own.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    limit : Limit
        As it holds in the case.
    ours : Limit
        As it comes with the program.
    findings : tuple of Finding
        Those that are placed against it, as assessed last.
    used : bool
        Whether the assessment uses it at all.
    fields : tuple of DescribedField
        Of the case's own value; as it stands, or of a new one.
    seen : str
        The case's own as JSON; empty where there is none.
    """

    name: str
    title: str
    limit: Limit
    ours: Limit
    findings: tuple[Finding, ...]
    used: bool
    fields: tuple[DescribedField, ...]
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedPage:
    """What moves with another value of a constant: the work while it is under way, then the answer."""

    name: str
    title: str
    constant: str
    work: Work
    answer: SupposedConstant | None


Texts = Annotated[list[str] | None, Form()]


class Answers:
    """What was found to move lately, and which work asked for it."""

    def __init__(self) -> None:
        self.held: Lately[str, SupposedConstant] = Lately(KEPT)
        """By what was asked: the case and the value."""
        self.asked: Lately[str, str] = Lately(KEPT)
        """What a piece of work was asked, by its id."""

    def of(self, work: str) -> SupposedConstant | None:
        """Return the answer of a piece of work.

        Parameters
        ----------
        work : str
            Its id.

        Returns
        -------
        SupposedConstant or None
            None where there is none, or it was long ago.
        """
        return self.held.get(self.asked.get(work) or "")


def sources_page(desk: Desk, *, words: str = "", standing: str = "", table: str = "") -> SourcesPage:
    """Return the constants of the program that are looked for.

    Parameters
    ----------
    desk : Desk
        The shelf.
    words : str
        What they must hold.
    standing : str
        The standing they must have; any where empty.
    table : str
        Title of the table; all where empty.

    Returns
    -------
    SourcesPage
        The first of many where no table is chosen.

    Raises
    ------
    UnknownName
        There is no such standing or table.
    CaseError
        The folder is not a shelf any more.
    """
    found = list_sources(words, standing=standing, table=table, most=None if table else MOST)
    shelf = open_shelf(desk.shelf)
    return SourcesPage(
        name="",
        title=shelf.description().title,
        words=words,
        standing=standing,
        table=table,
        used_only=False,
        tables=found.tables,
        shown=found.shown,
        left_out=found.left_out,
        cases=tuple((case.folder.name, case.description().title) for case in shelf.cases().cases),
    )


def case_sources_page(
    desk: Desk, name: str, *, words: str = "", standing: str = "", table: str = "", used_only: bool = False
) -> SourcesPage:
    """Return the constants that are looked for, with a case's own in the place of ours.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    words : str
        What they must hold.
    standing : str
        The standing they must have; any where empty.
    table : str
        Title of the table; all where empty.
    used_only : bool
        Whether only those are shown that its assessment uses.

    Returns
    -------
    SourcesPage
        The case's own first.

    Raises
    ------
    UnknownName
        There is no such case, standing or table.
    BeingAssessed
        The case was never assessed yet.
    CaseError
        The case cannot be read or assessed.
    InputError
        An own value cannot be used.
    """
    assessment = desk.assessment(name)
    constants = desk.case(name).description().constants
    used = {limit.id for limit in assessment.limits}
    found = list_sources(words, standing=standing, table=table, constants=constants)
    own = {one.id for one in constants}
    wanted = [limit for limit in found.shown if not used_only or limit.id in used]
    wanted.sort(key=lambda limit: (limit.id not in own, limit.id not in used))
    most = len(wanted) if table or used_only else MOST
    return SourcesPage(
        name=name,
        title=assessment.title,
        words=words,
        standing=standing,
        table=table,
        used_only=used_only,
        tables=found.tables,
        shown=tuple(wanted[:most]),
        left_out=len(wanted) - len(wanted[:most]),
        used=tuple(sorted(used)),
    )


def constant_page(desk: Desk, name: str, constant: str) -> ConstantPage:
    """Return one constant in a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    constant : str
        Id of the constant.

    Returns
    -------
    ConstantPage
        With what rests on it.

    Raises
    ------
    UnknownName
        There is no such case or constant.
    BeingAssessed
        The case was never assessed yet.
    CaseError
        The case cannot be read or assessed.
    InputError
        An own value of the case cannot be used.
    """
    assessment = desk.assessment(name)
    held = desk.case(name).description().constants
    book = load_book()
    ours = book.limit(constant)
    own = next((one for one in held if one.id == constant), None)
    row = to_plain(own) if own else to_plain(OwnConstant(id=constant, source=""))
    return ConstantPage(
        name=name,
        title=assessment.title,
        limit=book.with_own(held).limit(constant),
        ours=ours,
        findings=tuple(one for one in assessment.findings if one.limit is not None and one.limit.id == constant),
        used=any(limit.id == constant for limit in assessment.limits),
        fields=tuple(field for field in fields_of(LIST, row) if field.key != "id"),
        seen="" if own is None else to_json(own),
    )


def own_constant(constant: str, field: list[str] | None, value: list[str] | None) -> OwnConstant:
    """Return the value of one's own that a form sends as names and values.

    Parameters
    ----------
    constant : str
        Id of the constant.
    field : list of str or None
        Names of fields.
    value : list of str or None
        What is typed for each.

    Returns
    -------
    OwnConstant
        The value.

    Raises
    ------
    UnknownName
        There is no such field.
    CaseError
        There are not as many values as names, or a number cannot be read.
    """
    typed = {**named_values(field, value), "id": constant}
    return from_plain(OwnConstant, read_row(LIST, typed), where=f"own value of {constant}")


def try_constant(desk: Desk, answers: Answers, name: str, own: OwnConstant) -> Work:
    """Begin to assess a case with another value of a constant, beside the page.

    Parameters
    ----------
    desk : Desk
        The shelf.
    answers : Answers
        Where what moves is kept.
    name : str
        The case's folder on it.
    own : OwnConstant
        The value.

    Returns
    -------
    Work
        Under way.

    Raises
    ------
    UnknownName
        There is no such case, constant or standing.
    CaseError
        The case cannot be read.
    InputError
        The value has no number, numbers out of order, or no source.
    """
    folder = desk.case(name).folder
    load_book().with_own((own,))
    key = f"{name}\n{to_json(own)}"
    work = desk.works.start(
        suppose_constant,
        {"folder": folder, "own": own},
        title="Trying the value",
        case=name,
        key=("constant", key),
        then=partial(answers.held.keep, key),
    )
    answers.asked.keep(work.id, key)
    return work


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    answers = Answers()

    @pages.show("/sources", "sources.html")
    def sources(words: str = "", standing: str = "", table: str = "") -> SourcesPage:
        """Show every constant with its value, its source and how well it is known."""
        return sources_page(desk, words=words, standing=standing, table=table)

    @pages.show("/case/{name}/sources", "case_sources.html")
    def case_sources(
        name: str, words: str = "", standing: str = "", table: str = "", used: Annotated[bool, Query()] = False
    ) -> SourcesPage:
        """Show the constants as they hold in a case, its own in the place of ours."""
        return case_sources_page(desk, name, words=words, standing=standing, table=table, used_only=used)

    @pages.show("/case/{name}/sources/{constant}", "constant.html")
    def constant(name: str, constant: str) -> ConstantPage:
        """Show one constant in a case, what rests on it, and the fields of a value of one's own."""
        return constant_page(desk, name, constant)

    @pages.show("/case/{name}/sources/{constant}/tried/{work}", "tried.html")
    def tried(name: str, constant: str, work: str) -> TriedPage:
        """Show what moves with another value of a constant, when it is known."""
        found = desk.works.of(work)
        answer = answers.of(work) if found.course.ended else None
        return TriedPage(
            name=name, title=desk.case(name).description().title, constant=constant, work=found, answer=answer
        )

    @pages.router.post(
        "/case/{name}/sources/{constant}/tried",
        response_class=Response,
        responses=dict(EDITED),
        status_code=HTTPStatus.ACCEPTED,
    )
    def try_it(request: Request, name: str, constant: str, field: Texts = None, value: Texts = None) -> Response:
        """Assess the case with another value of a constant, beside the page; nothing is kept."""
        work = try_constant(desk, answers, name, own_constant(constant, field, value))
        place = f"/case/{quote(name, safe='')}/sources/{quote(constant, safe='')}/tried/{work.id}"
        return done(request, work, place=place, status=HTTPStatus.ACCEPTED)

    @pages.router.post(
        "/case/{name}/sources/{constant}", response_class=Response, responses=dict(EDITED), status_code=HTTPStatus.OK
    )
    def keep(
        request: Request,
        name: str,
        constant: str,
        seen: Annotated[str, Form()] = "",
        remove: Annotated[bool, Form()] = False,
        field: Texts = None,
        value: Texts = None,
    ) -> Response:
        """Put a value of one's own in the place of ours, in case.toml; or take it out again."""
        folder = desk.case(name).folder
        typed = None if remove else {**named_values(field, value), "id": constant}
        told: DescribedList | Conflict = edit_case_row(folder, LIST, seen, typed)
        if isinstance(told, Conflict):
            return told_conflict(request, pages, name, told)
        desk.standings.of(folder)
        place = f"/case/{quote(name, safe='')}/sources/{quote(constant, safe='')}"
        return done(request, told, place=place, status=HTTPStatus.OK)
