"""A capture of the pilot, as decoded."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from coldpin.errors import UnknownName
from coldpin.records.assessment import Assessment, PilotEvidence
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.ribbon import ribbon
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.figure import Picture, serve


@dataclass(frozen=True, slots=True, kw_only=True)
class WavePage:
    """One capture of a case, as decoded, with the figure of it."""

    name: str
    title: str
    capture: PilotEvidence
    figure: Picture


def wave_page(desk: Desk, name: str, entry: str) -> WavePage:
    """Return one capture of a case, as decoded.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry that filed the capture.

    Returns
    -------
    WavePage
        As it was assessed last.

    Raises
    ------
    UnknownName
        There is no such case or capture.
    CaseError
        The case cannot be read.
    """
    assessment, capture = _capture(desk, name, entry)
    address = f"/case/{quote(name)}/wave/{quote(entry)}.svg"
    drawn = Picture(address=address, alt=_drawn(desk, name, entry).alt)
    return WavePage(name=name, title=assessment.title, capture=capture, figure=drawn)


def _capture(desk: Desk, name: str, entry: str) -> tuple[Assessment, PilotEvidence]:
    assessment = desk.assessment(name)
    by_id = {capture.entry: capture for capture in assessment.pilot}
    if entry not in by_id:
        raise UnknownName.among("capture", entry, by_id)
    return assessment, by_id[entry]


def _drawn(desk: Desk, name: str, entry: str) -> Figure:
    _, capture = _capture(desk, name, entry)
    return desk.figures.draw(capture, "ribbon", lambda: ribbon(capture, Anchors()))


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
    serve(pages, "/case/{name}/wave/{entry}.svg", lambda name, entry: _drawn(desk, name, entry))

    @pages.show("/case/{name}/wave/{entry}", "wave.html")
    def wave(name: str, entry: str) -> WavePage:
        """One capture of the pilot, as decoded."""
        return wave_page(desk, name, entry)
