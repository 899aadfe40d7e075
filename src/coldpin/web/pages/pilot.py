"""The section of the pilot: every capture of a case, with its states in small."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.entry import Entry
from coldpin.records.wave import RibbonPiece
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.listing import list_entries
from coldpin.workbench.wave_captures import is_pilot_capture
from coldpin.workbench.wave_marks import pilot_told, small_ribbon


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureLine:
    """One capture that holds.

    Parameters
    ----------
    entry : Entry
        What filed it, or corrected how it is read.
    told : str
        Its states in words; empty where it was not read.
    ribbon : tuple of RibbonPiece
        The same as a ribbon.
    events : tuple of str
        What the output did, and glitches, in few words.
    """

    entry: Entry
    told: str
    ribbon: tuple[RibbonPiece, ...]
    events: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotPage:
    """Every capture of a case.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    fresh : bool
        True where the assessment is of the case as it stands.
    work : Work or None
        What makes the next assessment, while it is made.
    captures : tuple of CaptureLine
        In order of time.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    captures: tuple[CaptureLine, ...]


def pilot_page(desk: Desk, name: str) -> PilotPage:
    """Return the captures of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.

    Returns
    -------
    PilotPage
        At once, read as far as they were.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        The case cannot be read.
    """
    case = desk.case(name)
    standing = desk.standings.of(case.folder)
    assessed = standing.assessment
    read = {} if assessed is None else {capture.entry: capture.reading for capture in assessed.pilot}
    listed = list_entries(case.folder)
    return PilotPage(
        name=name,
        title=assessed.title if assessed else case.description().title,
        fresh=standing.fresh,
        work=standing.work,
        captures=tuple(
            CaptureLine(
                entry=entry,
                told=pilot_told(read[entry.id])[0] if entry.id in read else "",
                ribbon=small_ribbon(read[entry.id]) if entry.id in read else (),
                events=pilot_told(read[entry.id])[1] if entry.id in read else (),
            )
            for entry in listed.all
            if entry.id in listed.holding and is_pilot_capture(entry)
        ),
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

    @pages.show("/case/{name}/pilot", "pilot.html")
    def pilot(name: str) -> PilotPage:
        """Every capture of the pilot, with its states in small."""
        return pilot_page(desk, name)
