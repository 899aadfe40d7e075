"""All readings of a case, one row each: what was written, what it comes to, with what and under which conditions."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import Response

from coldpin.errors import UnknownName
from coldpin.records.assessment import Problem
from coldpin.records.readings import ReadingRow
from coldpin.web.answering import FRESH, TOLD, Pages
from coldpin.web.desk import Desk
from coldpin.workbench.readings import MARK, all_readings, readings_table

PLACE = "/case/{name}/readings"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsPage:
    """The readings of a case.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    shows : str
        The word that a reading must show; empty for all.
    words : tuple of str
        The words that readings show, in the order in which they came.
    rows : tuple of ReadingRow
        Those that are shown; private ones are not among them.
    problems : tuple of Problem
        What could not be read.
    """

    name: str
    title: str
    shows: str
    words: tuple[str, ...]
    rows: tuple[ReadingRow, ...]
    problems: tuple[Problem, ...]


def readings_page(desk: Desk, name: str, shows: str = "") -> ReadingsPage:
    """Return the readings of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    shows : str
        The word that a reading must show; empty for all.

    Returns
    -------
    ReadingsPage
        As the case stands now.

    Raises
    ------
    UnknownName
        There is no such case, or nothing that shows the word was read.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    out = all_readings(case.folder)
    words = tuple(dict.fromkeys(row.shows for row in out.readings.rows))
    if shows and shows not in words:
        raise UnknownName.among("word of a reading of this case", shows, words)
    return ReadingsPage(
        name=name,
        title=case.description().title,
        shows=shows,
        words=words,
        rows=tuple(row for row in out.readings.rows if shows in ("", row.shows)),
        problems=out.problems,
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

    @pages.router.get(f"{PLACE}.csv", response_class=Response, responses=dict(TOLD))
    def table(name: str) -> Response:
        """Give out all readings as a table for another program."""
        text = MARK + readings_table(all_readings(desk.case(name).folder).readings)
        called = f"attachment; filename*=UTF-8''{quote(f'{name}-readings.csv')}"
        return Response(text, media_type="text/csv", headers={**FRESH, "content-disposition": called})

    @pages.show(PLACE, "readings.html")
    def readings(name: str, shows: str = "") -> ReadingsPage:
        """Show every reading of a case, all or those of one word."""
        return readings_page(desk, name, shows)
