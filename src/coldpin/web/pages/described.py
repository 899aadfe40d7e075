"""Section Described: what a person writes of a case by hand, field by field, as ``case.toml`` says now."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Request, Response

from coldpin.conclusion.whereabouts import Whereabouts, whereabouts
from coldpin.records.described import Conflict, Described, DescribedField, DescribedList
from coldpin.web.addresses import described_anchor
from coldpin.web.answering import Pages, done, wants_json, wants_piece
from coldpin.web.conflict import EDITED, told_conflict
from coldpin.web.desk import Desk
from coldpin.web.forms import named_values
from coldpin.workbench.describing import describe_case
from coldpin.workbench.editing import edit_case, edit_case_row
from coldpin.workbench.listing import list_entries


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribedPage:
    """What a person writes of a case by hand."""

    name: str
    title: str
    described: Described
    whereabouts: Whereabouts


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldPiece:
    """One field of the page after an edit."""

    name: str
    field: DescribedField


@dataclass(frozen=True, slots=True, kw_only=True)
class ListPiece:
    """One list of the page after an edit."""

    name: str
    list: DescribedList


Texts = Annotated[list[str] | None, Form()]


def described_page(desk: Desk, name: str) -> DescribedPage:
    """Return what a person writes of a case by hand.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.

    Returns
    -------
    DescribedPage
        As the file says now.

    Raises
    ------
    UnknownName
        There is no such case.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    told = describe_case(case.folder)
    where = whereabouts(case.description(), list_entries(case.folder).all)
    return DescribedPage(name=name, title=told.title, described=told, whereabouts=where)


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/case/{name}/described", "described.html")
    def described(name: str) -> DescribedPage:
        """Show what a person writes of a case by hand, field by field."""
        return described_page(desk, name)

    @pages.router.post(
        "/case/{name}/described", response_class=Response, responses=dict(EDITED), status_code=HTTPStatus.OK
    )
    def edit(
        request: Request,
        name: str,
        key: Annotated[str, Form()],
        old: Annotated[str, Form()] = "",
        new: Annotated[str, Form()] = "",
    ) -> Response:
        """Change one value of case.toml, if it still is what was seen."""
        folder, place = desk.case(name).folder, f"/case/{quote(name, safe='')}/described"
        told = edit_case(folder, key, old, new)
        if isinstance(told, Conflict):
            again = (("key", key), ("old", told.seen), ("new", new))
            return told_conflict(request, pages, name, told, address=place, again=again)
        if wants_piece(request) and not wants_json(request):
            return _piece(
                pages, "pieces/described_field.html", FieldPiece(name=name, field=told), described_anchor(key)
            )
        return done(request, told, place=f"{place}#{described_anchor(key)}", status=HTTPStatus.OK)

    @pages.router.post(
        "/case/{name}/described/{list}", response_class=Response, responses=dict(EDITED), status_code=HTTPStatus.OK
    )
    def edit_row(
        request: Request,
        name: str,
        list: str,  # noqa: A002 - the word in the address
        old: Annotated[str, Form()] = "",
        remove: Annotated[bool, Form()] = False,
        field: Texts = None,
        value: Texts = None,
    ) -> Response:
        """Add, change or take out one row of a list of case.toml, if it still is what was seen."""
        folder, place = desk.case(name).folder, f"/case/{quote(name, safe='')}/described"
        told = edit_case_row(folder, list, old, None if remove else named_values(field, value))
        if isinstance(told, Conflict):
            typed = zip(field or [], value or [], strict=False)
            again = (("old", told.seen), *(pair for one, text in typed for pair in (("field", one), ("value", text))))
            again = (*again, ("remove", "true")) if remove else again
            return told_conflict(request, pages, name, told, address=f"{place}/{quote(list, safe='')}", again=again)
        if wants_piece(request) and not wants_json(request):
            return _piece(pages, "pieces/described_list.html", ListPiece(name=name, list=told), described_anchor(list))
        return done(request, told, place=f"{place}#{described_anchor(list)}", status=HTTPStatus.OK)


def _piece(pages: Pages, template: str, piece: FieldPiece | ListPiece, id_: str) -> Response:
    """Return a part of the page that takes the place of what it was, and not of what is told beside."""
    return pages.render(template, piece, more_headers={"hx-retarget": f"#{id_}", "hx-reswap": "outerHTML"}, kept=True)
