"""The instruments of the shelf: their makers' words on accuracy, how their files are read, writing and editing one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated, Literal

from fastapi import Form, Request, Response

from coldpin.casefile.instrument_checks import day_told
from coldpin.errors import CaseError
from coldpin.records.assessment import Problem
from coldpin.records.instrument import Instrument
from coldpin.records.measured import MEASURED
from coldpin.records.plain import from_json, to_json
from coldpin.web.answering import TOLD, Pages, done
from coldpin.web.desk import Desk
from coldpin.workbench.instruments import (
    InstrumentOnShelf,
    InstrumentUse,
    add_instrument,
    edit_instrument,
    forget_reading,
    list_instruments,
    today_here,
    uses_of,
)
from coldpin.workbench.shelving import open_shelf

PLACE = "/instruments"

Texts = Annotated[list[str] | None, Form()]


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentsPage:
    """All instruments, and what of them cannot be used; ``measured`` are the names under which accuracy is asked for.

    ``today`` is the latest day on which one can have been calibrated.
    """

    title: str
    instruments: tuple[InstrumentOnShelf, ...]
    problems: tuple[Problem, ...]
    measured: tuple[str, ...]
    today: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentPage:
    """One instrument, to be changed.

    Parameters
    ----------
    title : str
        Of the shelf.
    one : InstrumentOnShelf
        The instrument.
    seen : str
        The instrument as the form begins from it, as JSON.
    uses : tuple of InstrumentUse
        The cases in which something was read with it: what a change affects.
    told : str
        What of its day of calibration is none; empty where it is one, or none is written.
    measured : tuple of str
        The names under which accuracy is asked for.
    today : str
        The latest day on which it can have been calibrated.
    """

    title: str
    one: InstrumentOnShelf
    seen: str
    uses: tuple[InstrumentUse, ...]
    told: str
    measured: tuple[str, ...]
    today: str


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
    return InstrumentsPage(
        title=title,
        instruments=listed.instruments,
        problems=listed.problems,
        measured=MEASURED,
        today=today_here().isoformat(),
    )


def instrument_page(desk: Desk, name: str) -> InstrumentPage:
    """Return one instrument of the shelf, to be changed.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The instrument.

    Returns
    -------
    InstrumentPage
        As ``shelf.toml`` says now, with what a change affects.

    Raises
    ------
    UnknownName
        There is no such instrument.
    CaseError
        ``shelf.toml`` cannot be read.
    """
    shelf = open_shelf(desk.shelf)
    instrument = shelf.instrument(name)
    return InstrumentPage(
        title=shelf.description().title,
        one=InstrumentOnShelf(name=name, instrument=instrument),
        seen=to_json(instrument),
        uses=uses_of(desk.shelf, name),
        told=day_told(instrument.calibrated),
        measured=MEASURED,
        today=today_here().isoformat(),
    )


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


def said_of(text: str, measured: Sequence[str] | None, stated: Sequence[str] | None) -> dict[str, str]:
    """Return accuracy statements as they were sent: as lines of one text, or as two columns.

    Parameters
    ----------
    text : str
        Lines, as :func:`statements_of` reads them.
    measured : sequence of str or None
        What each statement is of.
    stated : sequence of str or None
        The statements; an empty one is none.

    Returns
    -------
    dict of str to str
        By what is measured.

    Raises
    ------
    CaseError
        A line has no colon, a word stands twice, or a statement is of nothing.

    Examples
    --------
    >>> said_of("", ["voltage", ""], ["1 % + 0.05 V", " "])
    {'voltage': '1 % + 0.05 V'}
    """
    names, values = measured or (), stated or ()
    if len(names) != len(values):
        raise CaseError("measured and stated: give one statement for every name")
    found = statements_of(text)
    for name, value in zip((one.strip() for one in names), (one.strip() for one in values), strict=True):
        if not value:
            continue
        if not name:
            raise CaseError(f"accuracy {value[:80]!r}: choose what it is the accuracy of")
        if name in found:
            raise CaseError(f"accuracy of {name[:80]!r} stands twice: put both into one statement")
        found[name] = value
    return found


def as_wanted(seen: Instrument, typed: Mapping[str, str], statements: Mapping[str, str]) -> Instrument:
    """Return an instrument as a form wants it: what differs from what was seen in blanks alone stays as it was.

    Parameters
    ----------
    seen : Instrument
        As the form began from it.
    typed : mapping of str to str
        Its plain fields.
    statements : mapping of str to str
        Its statements.

    Returns
    -------
    Instrument
        The instrument.
    """

    def kept(old: str, new: str) -> str:
        return old if new.split() == old.split() else new.strip()

    return Instrument(
        **{name: kept(getattr(seen, name), text) for name, text in typed.items()},
        statements={name: kept(seen.statements.get(name, ""), text) for name, text in statements.items()},
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
        measured: Texts = None,
        stated: Texts = None,
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
            statements=said_of(statements, measured, stated),
            note=note,
        )
        return done(request, made, place=PLACE)

    @pages.show(f"{PLACE}/{{name}}", "instrument.html")
    def instrument(name: str) -> InstrumentPage:
        """Show one instrument, with the form that changes it and what a change affects."""
        return instrument_page(desk, name)

    @pages.router.post(f"{PLACE}/{{name}}", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.OK)
    def change(
        request: Request,
        name: str,
        seen: Annotated[str, Form()],
        title: Annotated[str, Form()],
        kind: Annotated[str, Form()],
        maker: Annotated[str, Form()] = "",
        model: Annotated[str, Form()] = "",
        serial: Annotated[str, Form()] = "",
        calibrated: Annotated[str, Form()] = "",
        statements: Annotated[str, Form()] = "",
        measured: Texts = None,
        stated: Texts = None,
        note: Annotated[str, Form()] = "",
        who: Annotated[str, Form()] = "",
        before_too: Annotated[bool, Form()] = False,
    ) -> Response:
        """Change an instrument, if it still is what was seen; the cases it was used in keep a remark of it."""
        began = from_json(Instrument, seen, where="the instrument that the edit began from: load the page again")
        plain = {"name": title, "kind": kind, "maker": maker, "model": model, "serial": serial}
        plain |= {"calibrated": calibrated, "note": note}
        wanted = as_wanted(began, plain, said_of(statements, measured, stated))
        made = edit_instrument(desk.shelf, name, began, wanted, who=who, before_too=before_too)
        return done(request, made, place=PLACE, status=HTTPStatus.OK)

    @pages.router.post(
        f"{PLACE}/{{name}}/forget", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.OK
    )
    def forget(request: Request, name: str, what: Annotated[Literal["captures", "logs"], Form()]) -> Response:
        """Forget how captures or logs of an instrument were read last."""
        made = forget_reading(desk.shelf, name, logs=what == "logs")
        return done(request, made, place=PLACE, status=HTTPStatus.OK)
