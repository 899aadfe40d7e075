"""Section Uses: where and how the specimen may be used, and what if it were used otherwise."""

from __future__ import annotations

from dataclasses import dataclass, fields
from http import HTTPStatus
from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Query, Request, Response

from coldpin.conclusion.use_common import common_grounds
from coldpin.errors import CaseError, InputError, UnknownName
from coldpin.records.case import ConditionOfUse
from coldpin.records.described import Conflict, DescribedField, DescribedList
from coldpin.records.plain import to_plain
from coldpin.records.supposed import SupposedUse
from coldpin.records.use import CommonGrounds, UseJudgement
from coldpin.web.answering import Pages, done
from coldpin.web.conflict import EDITED, told_conflict
from coldpin.web.desk import Desk
from coldpin.web.forms import named_values
from coldpin.web.works import Work
from coldpin.workbench.describing import fields_of
from coldpin.workbench.editing import edit_case_row
from coldpin.workbench.supposed_uses import condition_of, suppose_use
from coldpin.workbench.supposing import Supposing

LIST = "conditions_of_use"


@dataclass(frozen=True, slots=True, kw_only=True)
class UsesPage:
    """Where and how the specimen of a case may be used, as recorded.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    fresh : bool
        True where this is of the case as it stands.
    work : Work or None
        What makes the next assessment.
    uses : tuple of UseJudgement
        Each with all of its grounds.
    common : CommonGrounds
        Those of the grounds that every one of them has; the page tells them once.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    uses: tuple[UseJudgement, ...]
    common: CommonGrounds


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfPage:
    """A condition of use that is tried, beside the recorded one that it began from.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    fresh : bool
        True where what is recorded is of the case as it stands.
    work : Work or None
        What makes the next assessment.
    like : str
        Name of the recorded use; empty for none.
    likes : tuple of str
        Names of all recorded uses.
    fields : tuple of DescribedField
        What is typed.
    answer : SupposedUse or None
        None where no place is named yet, or what is typed cannot be used.
    refused : str
        Why it cannot; empty where it can.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    like: str
    likes: tuple[str, ...]
    fields: tuple[DescribedField, ...]
    answer: SupposedUse | None
    refused: str = ""


def uses_page(desk: Desk, name: str) -> UsesPage:
    """Return where and how the specimen of a case may be used.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.

    Returns
    -------
    UsesPage
        As it was assessed last.

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
    standing = desk.standings.of(desk.case(name).folder)
    return UsesPage(
        name=name,
        title=assessment.title,
        fresh=standing.fresh,
        work=standing.work,
        uses=assessment.conditions_of_use,
        common=common_grounds(assessment.conditions_of_use),
    )


def what_if_page(desk: Desk, name: str, *, like: str = "", typed: ConditionOfUse | None = None) -> WhatIfPage:
    """Return a condition of use that is tried, with its answer.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    like : str
        Name of the recorded use that it is held beside; none where empty.
    typed : ConditionOfUse, optional
        What is typed; the recorded use in words where left out.

    Returns
    -------
    WhatIfPage
        What is typed, its answer, and the recorded one.

    Raises
    ------
    UnknownName
        There is no such case or recorded use.
    BeingAssessed
        It was never assessed yet.
    CaseError
        The case cannot be read or assessed.
    InputError
        An own constant leaves out a number that is needed.
    """
    known = desk.supposing(name)
    standing = desk.standings.of(desk.case(name).folder)
    judged = {one.name: one for one in known.assessment.conditions_of_use}
    if like and like not in judged:
        raise UnknownName.among("condition of use", like, judged)
    condition = typed or _begun(known, judged.get(like))
    answer, refused = None, ""
    try:
        answer = suppose_use(known, condition, beside=like)
    except InputError as error:
        refused = str(error)
    if not condition.place:  # a use at no place is judged as one outdoors, which nobody asked
        answer = None
    return WhatIfPage(
        name=name,
        title=known.assessment.title,
        fresh=standing.fresh,
        work=standing.work,
        like=like,
        likes=tuple(judged),
        fields=fields_of(LIST, to_plain(condition)),
        answer=answer,
        refused=refused,
    )


def _begun(known: Supposing, base: UseJudgement | None) -> ConditionOfUse:
    """Return what a person begins from: a use of the case as written, a usual place in words, or nothing."""
    if base is None:
        return ConditionOfUse(name="another use")
    written = next((one for one in known.assessment.case.conditions_of_use if one.name == base.name), None)
    if written is not None or base.use is None:
        return written or ConditionOfUse(name=base.name)
    return condition_of(base.use, name=base.name)


Typed = Annotated[list[str] | None, Query()]


def condition_typed(field: list[str] | None, value: list[str] | None) -> ConditionOfUse | None:
    """Return the condition of use that a form sends as names and values.

    Parameters
    ----------
    field : list of str or None
        Names of fields of a condition of use.
    value : list of str or None
        What is typed for each.

    Returns
    -------
    ConditionOfUse or None
        None where nothing is sent.

    Raises
    ------
    CaseError
        There are not as many values as names, or it has no name.
    UnknownName
        There is no such field.
    """
    typed = named_values(field, value)
    if not typed:
        return None
    known = [one.name for one in fields(ConditionOfUse)]
    unknown = [name for name in typed if name not in known]
    if unknown:
        raise UnknownName.among("field of a condition of use", unknown[0], known)
    given = {name: text.strip() for name, text in typed.items()}
    return ConditionOfUse(**{"name": "another use", **{name: text for name, text in given.items() if text}})


def keep_use(desk: Desk, name: str, typed: ConditionOfUse | None) -> DescribedList | Conflict:
    """Add a condition of use to ``case.toml``.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    typed : ConditionOfUse or None
        What is typed.

    Returns
    -------
    DescribedList or Conflict
        The case's conditions of use as they are now.

    Raises
    ------
    UnknownName
        There is no such case.
    CaseError
        Nothing is typed, no reason is, it cannot be read, or the case has a use of that name.
    StorageError
        The disk refused.
    """
    if typed is None:
        raise CaseError("nothing is typed: give the fields of a condition of use")
    if not typed.why:
        raise CaseError("no reason: say in a sentence why this use is asked")
    case = desk.case(name)
    if any(one.name == typed.name for one in case.description().conditions_of_use):
        raise CaseError(f"{typed.name!r} is a use of this case already: give this one another name")
    kept = edit_case_row(case.folder, LIST, "", {one: str(text) for one, text in to_plain(typed).items()})
    desk.standings.of(case.folder)
    return kept


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/case/{name}/uses", "uses.html")
    def uses(name: str) -> UsesPage:
        """Show where and how the specimen may be used, with what limits the current and why."""
        return uses_page(desk, name)

    @pages.show("/case/{name}/uses/what-if", "what_if.html")
    def what_if(name: str, like: str = "", field: Typed = None, value: Typed = None) -> WhatIfPage:
        """Try a condition of use: its answer beside a recorded one; nothing is kept."""
        return what_if_page(desk, name, like=like, typed=condition_typed(field, value))

    @pages.router.post(
        "/case/{name}/uses", response_class=Response, responses=dict(EDITED), status_code=HTTPStatus.CREATED
    )
    def keep(
        request: Request,
        name: str,
        field: Annotated[list[str] | None, Form()] = None,
        value: Annotated[list[str] | None, Form()] = None,
    ) -> Response:
        """Add a condition of use to case.toml, with the reason why it is asked."""
        kept = keep_use(desk, name, condition_typed(field, value))
        if isinstance(kept, Conflict):
            return told_conflict(request, pages, name, kept)
        return done(request, kept, place=f"/case/{quote(name, safe='')}/uses")
