"""One drawing of a board, open to be drawn on: its ways and what is asked for, outlines proposed, the scale."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path
from typing import Annotated
from urllib.parse import quote

from fastapi import File, Form, Request, Response, UploadFile

from coldpin.insulation.outline_proposing import ProposingChoices
from coldpin.records.board import Face, Role
from coldpin.records.board_words import CALLIPER_GAP, DRAWN_FROM
from coldpin.records.drawing_sheet import DrawingSheet
from coldpin.records.inside import DrawnBoard
from coldpin.records.nets import GROUPS
from coldpin.records.plain import to_json
from coldpin.records.vocabulary import showing
from coldpin.web.answering import JSON, TOLD, Pages, done, wants_json
from coldpin.web.desk import Desk
from coldpin.web.pages.board import read_upload
from coldpin.web.standing import mark_of
from coldpin.workbench.drawing_desk import DrawingDesk
from coldpin.workbench.drawing_sheets import new_sheet, open_sheet, picture_path
from coldpin.workbench.entries import record
from coldpin.workbench.instruments import list_instruments
from coldpin.workbench.other_faces import laid_colours, laid_picture, read_other_face
from coldpin.workbench.outlines import propose_on, propose_one
from coldpin.workbench.photographs import PhotoChoices, look_at_photo

KEPT = 4
"""Ours: so many cases are held open for drawings that are being made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingPage:
    """One drawing, filed or new, with what the last assessment made of it where it was filed."""

    name: str
    title: str
    tester: str
    fresh: bool
    sheet: DrawingSheet
    judged: DrawnBoard | None
    instruments: tuple[str, ...]
    searched: tuple[str, ...]
    roles: tuple[str, ...] = tuple(Role)
    groups: tuple[str, ...] = GROUPS
    drawn_from: tuple[str, ...] = DRAWN_FROM


@dataclass(slots=True)
class Desks:
    """The cases in which drawings are looked at, each opened once for a state of it."""

    _lock: threading.Lock = field(default_factory=threading.Lock)
    _held: OrderedDict[Path, tuple[object, DrawingDesk]] = field(default_factory=OrderedDict)

    def of(self, folder: Path) -> DrawingDesk:
        """Return the desk of a case as it stands, opened anew where something was recorded since.

        Parameters
        ----------
        folder : Path
            The case.

        Returns
        -------
        DrawingDesk
            The desk.

        Raises
        ------
        CaseError
            The case cannot be read.
        """
        mark = mark_of(folder)
        with self._lock:
            if folder not in self._held or self._held[folder][0] != mark:
                self._held[folder] = mark, DrawingDesk.open(folder)
                while len(self._held) > KEPT:
                    self._held.popitem(last=False)
            self._held.move_to_end(folder)
            return self._held[folder][1]


def drawing_page(desk: Desk, name: str, entry: str) -> DrawingPage:
    """Return a filed drawing, open to be drawn on.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry that filed it.

    Returns
    -------
    DrawingPage
        At once, with what the last assessment made of it.

    Raises
    ------
    UnknownName
        There is no such case or drawing.
    CaseError
        It cannot be read.
    """
    return _page(desk, name, open_sheet(desk.case(name).folder, entry))


def new_drawing_page(desk: Desk, name: str, photograph: str, part: str = "") -> DrawingPage:
    """Return an empty drawing on a photograph.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    photograph : str
        Id of the entry of the photograph.
    part : str
        Of which board it will be.

    Returns
    -------
    DrawingPage
        Without a scale, and nothing drawn.

    Raises
    ------
    UnknownName
        There is no such case or photograph.
    CaseError
        It cannot be read.
    """
    return _page(desk, name, new_sheet(desk.case(name).folder, photograph, part=part.strip()))


def _page(desk: Desk, name: str, sheet: DrawingSheet) -> DrawingPage:
    case = desk.case(name)
    description = case.description()
    standing = desk.standings.of(case.folder)
    judged = standing.assessment.inside.boards if standing.assessment else ()
    return DrawingPage(
        name=name,
        title=description.title,
        tester=description.tester,
        fresh=standing.fresh,
        sheet=sheet,
        judged=next((board for board in judged if sheet.entry and board.entry == sheet.entry), None),
        instruments=tuple(one.name for one in list_instruments(desk.shelf).instruments),
        searched=showing(CALLIPER_GAP).allowed["searched"],
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

    @pages.show("/case/{name}/board/new/{photograph}", "drawing.html")
    def new(name: str, photograph: str, part: str = "") -> DrawingPage:
        """Begin a drawing on a photograph."""
        return new_drawing_page(desk, name, photograph, part)

    _add_looks(pages, desk)
    _add_tools(pages, desk)

    @pages.show("/case/{name}/board/{entry}", "drawing.html")
    def drawing(name: str, entry: str) -> DrawingPage:
        """Show one drawing of a board, open to be drawn on."""
        return drawing_page(desk, name, entry)


def _told(pages: Pages, request: Request, template: str, found: object) -> Response:
    if wants_json(request):
        return Response(to_json(found), media_type=JSON)
    return pages.render(template, found)


def _add_looks(pages: Pages, desk: Desk) -> None:
    """Add what is asked of a drawing while it is made; nothing of it is kept."""
    desks = Desks()

    @pages.router.post("/case/{name}/board/looked", response_class=Response, responses=dict(TOLD))
    def looked(
        request: Request, name: str, drawing: Annotated[UploadFile, File()], part: Annotated[str, Form()] = ""
    ) -> Response:
        """Say between which nets something is asked, and how gaps by calliper agree; nothing is kept."""
        found = desks.of(desk.case(name).folder).look(read_upload(drawing), part=part.strip())
        return _told(pages, request, "pieces/drawing_look.html", found)

    @pages.router.post("/case/{name}/board/followed", response_class=Response, responses=dict(TOLD))
    def followed(
        request: Request,
        name: str,
        drawing: Annotated[UploadFile, File()],
        one: Annotated[str, Form()],
        other: Annotated[str, Form()],
        part: Annotated[str, Form()] = "",
    ) -> Response:
        """Find the ways between two nets while a corner is dragged: nothing is judged, nothing kept."""
        found = desks.of(desk.case(name).folder).follow(read_upload(drawing), (one, other), part=part.strip())
        return _told(pages, request, "pieces/barrier.html", found)

    @pages.router.post("/case/{name}/board/judged", response_class=Response, responses=dict(TOLD))
    def judged(
        request: Request,
        name: str,
        drawing: Annotated[UploadFile, File()],
        one: Annotated[str, Form()],
        other: Annotated[str, Form()],
        part: Annotated[str, Form()] = "",
    ) -> Response:
        """Judge what lies between two nets as if the drawing had been filed; nothing is kept."""
        found = desks.of(desk.case(name).folder).judge(read_upload(drawing), (one, other), part=part.strip())
        return _told(pages, request, "pieces/barrier.html", found)


def _add_tools(pages: Pages, desk: Desk) -> None:
    """Add what helps to draw: outlines, the scale, gaps by calliper."""

    @pages.router.post("/case/{name}/board/outline", response_class=Response, responses=dict(TOLD))
    def outline(
        name: str,
        photograph: Annotated[str, Form()],
        at: Annotated[str, Form()],
        snap: Annotated[bool, Form()] = True,
        face: Annotated[str, Form()] = "",
        under: Annotated[UploadFile | None, File()] = None,
    ) -> Response:
        """Propose an outline at a point of a photograph, or lay corners to its edges; nothing is kept.

        With a drawing ``under`` which the photograph of the other face is laid, it is looked for in that one.
        """
        folder, choices = desk.case(name).folder, ProposingChoices(snap=snap)
        known = Face(face) if face in tuple(Face) else None
        if under is not None:
            found = propose_on(laid_colours(folder, read_upload(under)), at, choices=choices, face=known)
        else:
            found = propose_one(picture_path(folder, photograph), at, choices=choices, face=known)
        return Response(to_json(found), media_type=JSON)

    @pages.router.post("/case/{name}/board/laid", response_class=Response, responses=dict(TOLD))
    def laid(request: Request, name: str, drawing: Annotated[UploadFile, File()]) -> Response:
        """Say how the photograph of the other face lies under a drawing; nothing is kept."""
        desk.case(name)
        return _told(pages, request, "pieces/other_face.html", read_other_face(read_upload(drawing)))

    @pages.router.post("/case/{name}/board/laid/picture", response_class=Response, responses=dict(TOLD))
    def picture(name: str, drawing: Annotated[UploadFile, File()]) -> Response:
        """Lay the photograph of the other face under a drawing, as it is seen through the board."""
        return Response(laid_picture(desk.case(name).folder, read_upload(drawing)), media_type="image/jpeg")

    @pages.router.post("/case/{name}/board/scale", response_class=Response, responses=dict(TOLD))
    def scale(
        request: Request,
        name: str,
        photograph: Annotated[str, Form()],
        bar_along: Annotated[str, Form()] = "",
        bar_across: Annotated[str, Form()] = "",
        face_above: Annotated[str, Form()] = "",
        camera_height: Annotated[str, Form()] = "",
        pitch: Annotated[str, Form()] = "",
        rectangle: Annotated[str, Form()] = "",
        pick_u_px: Annotated[float | None, Form()] = None,
    ) -> Response:
        """Calibrate a photograph by the scale card in it, or by a known length or rectangle; nothing is kept."""
        found = look_at_photo(
            picture_path(desk.case(name).folder, photograph),
            PhotoChoices(
                bar_along=bar_along,
                bar_across=bar_across,
                face_above=face_above,
                camera_height=camera_height,
                pitch=pitch,
                rectangle=rectangle,
                pick_u_px=pick_u_px,
            ),
        )
        return _told(pages, request, "pieces/scale.html", found)

    @pages.router.post(
        "/case/{name}/board/calliper", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.CREATED
    )
    def calliper(
        request: Request,
        name: str,
        who: Annotated[str, Form()],
        one: Annotated[str, Form()],
        other: Annotated[str, Form()],
        readings: Annotated[str, Form()],
        instrument: Annotated[str, Form()] = "",
        kind: Annotated[str, Form()] = "",
        searched: Annotated[str, Form()] = "",
        part: Annotated[str, Form()] = "",
        place: Annotated[str, Form()] = "",
        back: Annotated[str, Form()] = "",
    ) -> Response:
        """Record a gap that was read by calliper between two shapes of a drawing."""
        conditions = {
            "from": one,
            "to": other,
            "kind": kind,
            "searched": searched,
            "part": part.strip(),
            "place": place,
        }
        made = record(
            desk.case(name).folder,
            shows=CALLIPER_GAP,
            who=who,
            readings=tuple(line.strip() for line in readings.splitlines() if line.strip()),
            conditions={word: value for word, value in conditions.items() if value},
            instrument=instrument,
        )
        to = f"/{quote(back)}" if back else ""
        return done(request, made, place=f"/case/{quote(name)}/board{to}", announce="recorded")
