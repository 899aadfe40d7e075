"""Boards of a case: the drawings and photographs that were filed, and filing another."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated
from urllib.parse import quote

from fastapi import File, Form, Request, Response, UploadFile

from coldpin.capture.board_file import MOST_BYTES
from coldpin.checks.cautions import DEAD_CAUTIONS, OPENED_BOARD
from coldpin.errors import CaseError
from coldpin.records.board_words import DRAWN_FROM
from coldpin.records.drawing_sheet import BoardsOfCase
from coldpin.records.inside import DrawnBoard
from coldpin.web.answering import TOLD, Pages, done
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.board_pictures import picture_upright
from coldpin.workbench.drawing_sheets import boards_of_case, drawing_file, picture_path, save_drawing

SHOWN_FOR = "private, max-age=3600"
"""Ours: a filed picture never changes; for so long a browser need not ask again."""

SMALL_PX = 480
"""Ours: a print in a list is no larger. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPage:
    """Drawings and photographs of a case as it stands; ``judged`` are the drawings as they were assessed last.

    ``work`` is what assesses the case, while that is under way.
    """

    name: str
    title: str
    tester: str
    fresh: bool
    work: Work | None
    boards: BoardsOfCase
    judged: dict[str, DrawnBoard]
    drawn_from: tuple[str, ...] = DRAWN_FROM
    cautions: tuple[str, ...] = (*DEAD_CAUTIONS, OPENED_BOARD)


def board_page(desk: Desk, name: str) -> BoardPage:
    """Return the boards of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.

    Returns
    -------
    BoardPage
        At once, with what the last assessment made of each drawing.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        It cannot be read.
    """
    case = desk.case(name)
    description = case.description()
    standing = desk.standings.of(case.folder)
    judged = standing.assessment.inside.boards if standing.assessment else ()
    return BoardPage(
        name=name,
        title=description.title,
        tester=description.tester,
        fresh=standing.fresh,
        work=standing.work,
        boards=boards_of_case(case.folder),
        judged={board.entry: board for board in judged},
    )


def read_upload(upload: UploadFile) -> bytes:
    """Return the bytes of a drawing that was sent.

    Parameters
    ----------
    upload : UploadFile
        The file.

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    CaseError
        It is larger than any drawing.
    """
    data = upload.file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise CaseError(f"a drawing has at most {MOST_BYTES} bytes: draw the board with fewer corners")
    return data


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/case/{name}/board", "board.html")
    def board(name: str) -> BoardPage:
        """Drawings and photographs of the boards of a case."""
        return board_page(desk, name)

    @pages.router.get(
        "/case/{name}/picture/{entry}", response_class=Response, responses=dict(TOLD), summary="A photograph, upright."
    )
    def picture(name: str, entry: str, small: bool = False) -> Response:
        path = picture_path(desk.case(name).folder, entry)
        data, media = picture_upright(path, within_px=SMALL_PX if small else None)
        return Response(data, media_type=media, headers={"cache-control": SHOWN_FOR})

    @pages.router.get(
        "/case/{name}/board/{entry}/file", response_class=Response, responses=dict(TOLD), summary="A drawing's file."
    )
    def file(name: str, entry: str) -> Response:
        called, data = drawing_file(desk.case(name).folder, entry)
        headers = {"content-disposition": f"attachment; filename*=UTF-8''{quote(called)}"}
        return Response(data, media_type="application/geo+json", headers=headers)

    @pages.router.post(
        "/case/{name}/board/filed", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.CREATED
    )
    def filed(
        request: Request,
        name: str,
        drawing: Annotated[UploadFile, File()],
        who: Annotated[str, Form()],
        part: Annotated[str, Form()] = "",
        drawn_from: Annotated[str, Form()] = "",
        note: Annotated[str, Form()] = "",
        before: Annotated[str, Form()] = "",
        over: Annotated[str, Form()] = "",
    ) -> Response:
        """File a drawing as the next version of its part, in place of the entry ``before``, or ``over`` any."""
        made = save_drawing(
            desk.case(name).folder,
            read_upload(drawing),
            who=who,
            before=None if over else before,
            part=part.strip(),
            drawn_from=drawn_from,
            note=note,
        )
        return done(request, made, place=f"/case/{quote(name)}/board/{quote(made.entry.id)}")
