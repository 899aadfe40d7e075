"""A new case: what is marked on the specimen, what kind of unit it is, what is claimed of it."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Request, Response

from coldpin.records.case import Build, Cable, Claims, Electronics, Specimen
from coldpin.web.answering import TOLD, Pages, done
from coldpin.web.desk import Desk
from coldpin.workbench.cases import CLAIMS_ASKED, new_case_on_shelf, plug_words
from coldpin.workbench.shelving import open_shelf

PLACE = "/new"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewCasePage:
    """The form of a new case: what may be chosen.

    Parameters
    ----------
    title : str
        What the shelf is called.
    builds, cables, electronics : tuple of str
        The words for what kind of unit it is.
    plugs : tuple of tuple of str and str
        Plugs of the table: word and title.
    """

    title: str
    builds: tuple[str, ...]
    cables: tuple[str, ...]
    electronics: tuple[str, ...]
    plugs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeCase:
    """A case that was made: its folder, what it is called, and which claims are not written down yet."""

    name: str
    title: str
    not_given: tuple[str, ...]


def new_case_page(desk: Desk) -> NewCasePage:
    """Return the form of a new case.

    Parameters
    ----------
    desk : Desk
        The shelf.

    Returns
    -------
    NewCasePage
        What may be chosen.

    Raises
    ------
    CaseError
        The folder is not a shelf any more.
    """
    return NewCasePage(
        title=open_shelf(desk.shelf).description().title,
        builds=tuple(Build),
        cables=tuple(Cable),
        electronics=tuple(Electronics),
        plugs=plug_words(),
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

    @pages.show(PLACE, "new_case.html")
    def new() -> NewCasePage:
        """Ask what a new case is of."""
        return new_case_page(desk)

    @pages.router.post(PLACE, response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.CREATED)
    def make(
        request: Request,
        make: Annotated[str, Form()],
        model: Annotated[str, Form()],
        charging_mode: Annotated[int, Form()],
        build: Annotated[str, Form()],
        cable: Annotated[str, Form()],
        electronics: Annotated[str, Form()] = Electronics.UNKNOWN.value,
        phases: Annotated[int, Form()] = 1,
        connector: Annotated[str, Form()] = "type 2",
        name: Annotated[str, Form()] = "",
        title: Annotated[str, Form()] = "",
        tester: Annotated[str, Form()] = "",
        question: Annotated[str, Form()] = "",
        serial: Annotated[str, Form()] = "",
        seller: Annotated[str, Form()] = "",
        plug: Annotated[str, Form()] = "",
        rated_current: Annotated[str, Form()] = "",
        declared_current: Annotated[str, Form()] = "",
        rated_voltage: Annotated[str, Form()] = "",
        cable_print: Annotated[str, Form()] = "",
        cross_section: Annotated[str, Form()] = "",
        country: Annotated[str, Form()] = "",
    ) -> Response:
        """Make a case on the shelf."""
        claims = Claims(
            plug=plug,
            rated_current=rated_current.strip(),
            declared_current=declared_current.strip(),
            rated_voltage=rated_voltage.strip(),
            cable_print=cable_print.strip(),
            cross_section=cross_section.strip(),
            country=country.strip().upper(),
        )
        made = new_case_on_shelf(
            desk.shelf,
            name=name,
            make=make,
            model=model,
            charging_mode=charging_mode,
            build=build,
            cable=cable,
            electronics=electronics,
            phases=phases,
            connector=connector,
            title=title,
            tester=tester,
            question=question,
            claims=claims,
            specimen=Specimen(make=make, model=model, serial=serial, seller=seller),
        )
        told = MadeCase(
            name=made.folder.name,
            title=made.description().title,
            not_given=tuple(one for one in CLAIMS_ASKED if not getattr(claims, one)),
        )
        return done(request, told, place=f"/case/{quote(told.name)}")
