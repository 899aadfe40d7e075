"""Charges: what the logs of a case show of them, the marks beside each, and what the idle unit draws."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from http import HTTPStatus
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Form, Query, Request, Response

from coldpin.errors import UnknownName
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.charge import ChargeEvidence, StandbyEvidence
from coldpin.records.finding import Finding
from coldpin.records.plain import to_json
from coldpin.records.session import ClockOffset, FiledMark, MarkKind, SessionTrace, TraceOf
from coldpin.records.session_words import CHARGING
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.session import session_timeline, session_told
from coldpin.session.clocks import drift_told
from coldpin.session.trace import STRETCHES, trace_between
from coldpin.web.answering import FRESH, JSON, TOLD, Pages, done
from coldpin.web.desk import Desk
from coldpin.web.entry_words import names_of_files
from coldpin.web.figure import Picture, serve
from coldpin.web.works import Work
from coldpin.workbench.charging import at_price
from coldpin.workbench.event_marking import filed_marks, move_mark, not_placed, put_mark, take_back_mark

CHECKS = (
    "session-current",
    "offer-followed",
    "session-interruption",
    "session-stop",
    "standby-power",
)
"""The checks whose findings are about charges and the idle unit, in the order in which the page tells them."""

WORDS = tuple(one.word for one in CHARGING)
"""What is recorded of charges and the idle unit."""

EVENTS = tuple(kind.value for kind in MarkKind)

MOST_STRETCHES = 4000
"""Ours: so many stretches are told at most, more than any screen has pixels side by side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargesPage:
    """All charges of a case, what was found of them, and what the idle unit draws.

    ``price`` is that of energy which was asked for, empty where that of each entry counts. The rest as in other
    sections: ``fresh`` is true where this is of the case as it stands, ``work`` makes the next assessment, ``problems``
    are what was recorded of charges and could not be used. ``files`` tells what each log was called where it came from,
    by its entry.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    assessed: bool = False
    charges: tuple[ChargeEvidence, ...] = ()
    files: Mapping[str, str] = field(default_factory=dict)
    standby: tuple[StandbyEvidence, ...] = ()
    findings: tuple[Finding, ...] = ()
    problems: tuple[Problem, ...] = ()
    price: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargePage:
    """One charge of a case, by its log, with the marks beside it as the case stands now.

    ``file`` is what the log was called where it came from, ``draws`` names what of it can be drawn. ``tester`` is who
    marks, as the case is described.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    charge: ChargeEvidence
    file: str
    marks: tuple[FiledMark, ...]
    figure: Picture
    tester: str
    events: tuple[str, ...] = EVENTS
    draws: tuple[str, ...] = tuple(TraceOf)

    @property
    def clocks(self) -> tuple[tuple[ClockOffset, str], ...]:
        """What is known of other clocks, each with how it drifts."""
        return tuple((clock, drift_told(clock)) for clock in self.charge.reading.clocks)


def charges_page(desk: Desk, name: str, price: str = "") -> ChargesPage:
    """Return all charges of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    price : str
        Of energy, for what a year of standby costs; that of each entry where left out.

    Returns
    -------
    ChargesPage
        At once, of the last assessment.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        Its ``case.toml`` cannot be read.
    InputError
        The price cannot be read.
    """
    case = desk.case(name)
    standing = desk.standings.of(case.folder)
    made = standing.assessment
    if made is None:
        return ChargesPage(name=name, title=case.description().title, fresh=False, work=standing.work)
    return ChargesPage(
        name=name,
        title=made.title,
        fresh=standing.fresh,
        work=standing.work,
        assessed=True,
        charges=made.charges,
        files=_files(made),
        standby=tuple(_priced(one, price) if price else one for one in made.standby),
        findings=tuple(
            sorted(
                (found for found in made.findings if found.check in CHECKS),
                key=lambda found: CHECKS.index(found.check),
            )
        ),
        problems=desk.problems(made, case.folder, WORDS),
        price=price,
    )


def _priced(one: StandbyEvidence, price: str) -> StandbyEvidence:
    return replace(one, reading=at_price(one.reading, price))


def charge_page(desk: Desk, name: str, entry: str) -> ChargePage:
    """Return one charge of a case, as its log shows it.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry that filed the log.

    Returns
    -------
    ChargePage
        As it was assessed last, with the marks as they stand now.

    Raises
    ------
    UnknownName
        There is no such case or charge.
    CaseError
        The case cannot be read.
    """
    made, charge = _charge(desk, name, entry)
    case = desk.case(name)
    standing = desk.standings.of(case.folder)
    return ChargePage(
        name=name,
        title=made.title,
        fresh=standing.fresh,
        work=standing.work,
        charge=charge,
        file=_files(made)[entry],
        marks=filed_marks(case.folder, entry, charge.reading.clocks, not_placed(charge.reading)),
        figure=Picture(address=f"{_place(name, entry)}.svg", alt=session_told(charge.reading)),
        tester=made.case.tester,
        draws=_draws(charge),
    )


def _files(made: Assessment) -> dict[str, str]:
    stored = {charge.entry: charge.file for charge in made.charges}
    named = names_of_files(made.entries)
    return {entry: named.get(entry, file) for entry, file in stored.items()}


def _place(name: str, entry: str) -> str:
    return f"/case/{quote(name)}/charge/{quote(entry)}"


def _draws(charge: ChargeEvidence) -> tuple[str, ...]:
    source = charge.reading.source
    held = ((TraceOf.CURRENT, source.current_from), (TraceOf.POWER, source.power_from))
    volts = (TraceOf.VOLTAGE.value,) if source.voltage_logged else ()
    return (*(what.value for what, made_of in held if made_of), *volts)


def _charge(desk: Desk, name: str, entry: str) -> tuple[Assessment, ChargeEvidence]:
    assessment = desk.assessment(name)
    by_id = {charge.entry: charge for charge in assessment.charges}
    if entry not in by_id:
        raise UnknownName.among("charge", entry, by_id)
    return assessment, by_id[entry]


def _drawn(desk: Desk, name: str, entry: str) -> Figure:
    _, charge = _charge(desk, name, entry)
    return desk.figures.draw(
        charge, "timeline", lambda: session_timeline(charge.reading, charge.trace, Anchors(), name=charge.file)
    )


def trace_page(
    desk: Desk, name: str, entry: str, what: TraceOf, *, start: float, end: float, stretches: int
) -> SessionTrace | Work:
    """Return a part of a charge for drawing, or the work that reads its log.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry that filed the log.
    what : TraceOf
        Which quantity.
    start, end : float
        From when to when, from the first row. [s]
    stretches : int
        How many stretches at most.

    Returns
    -------
    SessionTrace or Work
        The extremes of each stretch, or the rows themselves where these are as few.

    Raises
    ------
    UnknownName
        There is no such case.
    CaseError
        The folder is not a shelf any more.
    OutsideRange
        There is nothing to draw there.
    """
    rows = desk.charge_rows.get(desk.works, desk.case(name).folder, entry)
    if isinstance(rows, Work):
        return rows
    return trace_between(rows, what, start=start, end=end, stretches=stretches)


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    # before the page, whose address would take the ending for part of a name
    serve(pages, "/case/{name}/charge/{entry}.svg", lambda name, entry: _drawn(desk, name, entry))

    reading: dict[int | str, dict[str, Any]] = {
        HTTPStatus.ACCEPTED.value: {"description": "The log is being read: ask again.", "content": {JSON: {}}}
    }

    @pages.router.get("/case/{name}/charge/{entry}/trace.json", response_class=Response, responses={**TOLD, **reading})
    def trace(
        name: str,
        entry: str,
        what: TraceOf = TraceOf.CURRENT,
        start: Annotated[float, Query(allow_inf_nan=False)] = 0.0,
        end: Annotated[float | None, Query(allow_inf_nan=False)] = None,
        stretches: Annotated[int, Query(ge=1, le=MOST_STRETCHES)] = STRETCHES,
    ) -> Response:
        """Tell a part of a charge for drawing: extremes stretch by stretch, or the rows where these are as few."""
        last = math.inf if end is None else end
        found = trace_page(desk, name, entry, what, start=start, end=last, stretches=stretches)
        status = HTTPStatus.ACCEPTED if isinstance(found, Work) else HTTPStatus.OK
        return Response(to_json(found), status, media_type=JSON, headers=FRESH)

    @pages.show("/case/{name}/charge/{entry}", "charge.html")
    def charge(name: str, entry: str) -> ChargePage:
        """Show one charge, as its log shows it, with the marks beside it."""
        return charge_page(desk, name, entry)

    @pages.show("/case/{name}/charges", "charges.html")
    def charges(name: str, price: str = "") -> ChargesPage:
        """Show all charges of a case, and what the idle unit draws."""
        return charges_page(desk, name, price)

    @pages.router.post(
        "/case/{name}/charge/{entry}/mark",
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.CREATED,
    )
    def put(
        request: Request,
        name: str,
        entry: str,
        event: Annotated[str, Form()],
        at: Annotated[str, Form()],
        who: Annotated[str, Form()],
        clock: Annotated[str, Form()] = "",
        offset: Annotated[str, Form()] = "",
        offer: Annotated[str, Form()] = "",
        note: Annotated[str, Form()] = "",
    ) -> Response:
        """Mark an event beside the log of a charge."""
        _, seen = _charge(desk, name, entry)
        made = put_mark(
            desk.case(name).folder,
            entry,
            event=event,
            at=at,
            who=who,
            clock=clock,
            offset=offset,
            offer=offer,
            note=note,
            source=seen.reading.source,
        )
        return done(request, made, place=f"{_place(name, entry)}#marks", announce="put, marked, assessed")

    @pages.router.post(
        "/case/{name}/charge/{entry}/mark/{mark}",
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.CREATED,
    )
    def move(
        request: Request,
        name: str,
        entry: str,
        mark: str,
        who: Annotated[str, Form()],
        reason: Annotated[str, Form()],
        at: Annotated[str, Form()] = "",
        which: Annotated[int, Form()] = 0,
        event: Annotated[str, Form()] = "",
        offset: Annotated[str | None, Form()] = None,
        back: Annotated[str, Form()] = "",
    ) -> Response:
        """Correct a mark, or take it back; the earlier one stays and can be seen."""
        _, seen = _charge(desk, name, entry)
        folder = desk.case(name).folder
        if back:
            made = take_back_mark(folder, mark, who=who, reason=reason)
        else:
            made = move_mark(
                folder,
                mark,
                at=at,
                who=who,
                reason=reason,
                which=which,
                event=event,
                offset=offset,
                source=seen.reading.source,
            )
        return done(request, made, place=f"{_place(name, entry)}#marks", announce="marked, assessed")
