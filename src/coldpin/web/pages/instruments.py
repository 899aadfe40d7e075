"""The instruments of the shelf: their makers' words on accuracy, how their files are read, and putting one there."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated, Literal

from fastapi import Form, Request, Response

from coldpin.errors import CaseError
from coldpin.records.assessment import Problem
from coldpin.web.answering import TOLD, Pages, done
from coldpin.web.desk import Desk
from coldpin.workbench.instruments import InstrumentOnShelf, add_instrument, forget_reading, list_instruments
from coldpin.workbench.shelving import open_shelf

PLACE = "/instruments"


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentsPage:
    """All instruments, and what of them cannot be used."""

    title: str
    instruments: tuple[InstrumentOnShelf, ...]
    problems: tuple[Problem, ...]


def instruments_page(desk: Desk) -> InstrumentsPage:
    """Return the instruments of the shelf.

    Parameters
    ----------
    desk : Desk
        The shelf.

    Returns
    -------
    InstrumentsPage
        As ``shelf.toml`` says now.

    Raises
    ------
    CaseError
        It cannot be read.
    """
    listed = list_instruments(desk.shelf)
    title = open_shelf(desk.shelf).description().title
    return InstrumentsPage(title=title, instruments=listed.instruments, problems=listed.problems)


def statements_of(text: str) -> dict[str, str]:
    """Read accuracy statements as a person types them, one on a line.

    Parameters
    ----------
    text : str
        Lines such as ``voltage: 0.5 % + 2 digits, resolution 0.1 V``.

    Returns
    -------
    dict of str to str
        By what is measured.

    Raises
    ------
    CaseError
        A line has no colon, or a word stands twice.

    Examples
    --------
    >>> statements_of("voltage: 1 % + 0.05 V")
    {'voltage': '1 % + 0.05 V'}
    """
    found: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        measured, colon, statement = line.partition(":")
        if not colon or not statement.strip():
            raise CaseError(
                f"statements, line {number}: {line.strip()!r} has no colon: write 'voltage: 0.5 % + 2 digits'"
            )
        if measured.strip() in found:
            raise CaseError(f"statements, line {number}: {measured.strip()!r} stands twice: put both behind one colon")
        found[measured.strip()] = statement.strip()
    return found


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show(PLACE, "instruments.html")
    def instruments() -> InstrumentsPage:
        """Show all instruments, with what their makers say of them."""
        return instruments_page(desk)

    @pages.router.post(PLACE, response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.CREATED)
    def put(
        request: Request,
        name: Annotated[str, Form()],
        title: Annotated[str, Form()],
        kind: Annotated[str, Form()],
        maker: Annotated[str, Form()] = "",
        model: Annotated[str, Form()] = "",
        serial: Annotated[str, Form()] = "",
        calibrated: Annotated[str, Form()] = "",
        statements: Annotated[str, Form()] = "",
        note: Annotated[str, Form()] = "",
    ) -> Response:
        """Put an instrument on the shelf."""
        made = add_instrument(
            desk.shelf,
            name,
            title=title,
            kind=kind,
            maker=maker,
            model=model,
            serial=serial,
            calibrated=calibrated,
            statements=statements_of(statements),
            note=note,
        )
        return done(request, made, place=PLACE)

    @pages.router.post(
        f"{PLACE}/{{name}}/forget", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.OK
    )
    def forget(request: Request, name: str, what: Annotated[Literal["captures", "logs"], Form()]) -> Response:
        """Forget how captures or logs of an instrument were read last."""
        made = forget_reading(desk.shelf, name, logs=what == "logs")
        return done(request, made, place=PLACE, status=HTTPStatus.OK)
