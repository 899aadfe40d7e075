"""A charge, as its log shows it."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from coldpin.errors import UnknownName
from coldpin.records.assessment import Assessment
from coldpin.records.charge import ChargeEvidence
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.session import session_timeline
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.figure import Picture, serve


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargePage:
    """One charge of a case, by its log, with the figure of it."""

    name: str
    title: str
    charge: ChargeEvidence
    figure: Picture


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
        As it was assessed last.

    Raises
    ------
    UnknownName
        There is no such case or charge.
    CaseError
        The case cannot be read.
    """
    assessment, charge = _charge(desk, name, entry)
    address = f"/case/{quote(name)}/charge/{quote(entry)}.svg"
    drawn = Picture(address=address, alt=_drawn(desk, name, entry).alt)
    return ChargePage(name=name, title=assessment.title, charge=charge, figure=drawn)


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

    @pages.show("/case/{name}/charge/{entry}", "charge.html")
    def charge(name: str, entry: str) -> ChargePage:
        """One charge, as its log shows it."""
        return charge_page(desk, name, entry)
