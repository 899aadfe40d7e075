"""The application: every part's routes, behind the door of :mod:`coldpin.web.trust`."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import partial
from http import HTTPStatus
from pathlib import Path
from typing import Any

from fastapi import APIRouter, FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from coldpin import __version__
from coldpin.casefile.storage import disk_refusal
from coldpin.errors import ColdpinError
from coldpin.web.answering import Pages, explain, misfits, tell
from coldpin.web.describing import describe
from coldpin.web.desk import Desk
from coldpin.web.pages import (
    add,
    board,
    bundle_check,
    case,
    charge,
    compared,
    described,
    drawing,
    evidence,
    findings,
    heating,
    instruments,
    new_case,
    pilot,
    plan,
    readings,
    record,
    report,
    risk,
    scenario,
    shelf,
    sources,
    uses,
    wave,
    work,
)
from coldpin.web.templating import templates
from coldpin.web.trust import Guard, Trusted
from coldpin.workbench.settling import settle_shelf
from coldpin.workbench.shelving import open_shelf

PARTS = (
    shelf,
    new_case,
    instruments,
    compared,
    work,
    record,
    readings,
    add,
    evidence,
    findings,
    case,
    pilot,
    wave,
    board,
    drawing,
    heating,
    charge,
    risk,
    scenario,
    uses,
    described,
    plan,
    report,
    bundle_check,
    sources,
)
"""Every part of the page; each has ``add(pages, desk)``. ``risk`` stands before ``scenario``, whose address would take
the picture of the matrix for a scenario."""

HERE = Path(__file__).parent

FORMS: Any = {"max_files": 50, "max_fields": 400, "max_part_size": 4 << 20}
"""Ours: of one form at most so many files, each of which holds some memory, and so many fields of at most so many
bytes: the longest form of ours has some hundred of a line each, the longest text is the drawing of a board."""


def create_app(folder: Path | str, *, trusted: Trusted | None = None) -> FastAPI:
    """Return the application that shows one shelf.

    Parameters
    ----------
    folder : Path or str
        The shelf's folder.
    trusted : Trusted, optional
        Whom it answers; this machine alone where left out.

    Returns
    -------
    FastAPI
        The application.

    Raises
    ------
    CaseError
        The folder is not a shelf.
    """
    desk = Desk(shelf=open_shelf(folder).folder)

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        settle_shelf(desk.shelf)
        yield
        desk.works.close()

    app = FastAPI(
        title="coldpin", version=__version__, docs_url=None, redoc_url=None, lifespan=lifespan, form_limits=FORMS
    )
    app.add_middleware(Guard, trusted=trusted or Trusted())
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    router = APIRouter()
    pages = Pages(router, templates())
    for part in PARTS:
        part.add(pages, desk)
    app.include_router(router)

    _tell_errors(app, pages, desk)
    app.openapi = partial(describe, app)  # type: ignore[method-assign]  # as FastAPI documents it
    return app


def _tell_errors(app: FastAPI, pages: Pages, desk: Desk) -> None:
    """Tell every error in the form that was asked for, and no reader where on the disk the shelf lies."""

    @app.exception_handler(ColdpinError)
    async def told(request: Request, error: ColdpinError) -> Response:
        error.args = (desk.told(str(error)),)
        return explain(request, error, pages)

    @app.exception_handler(RequestValidationError)
    async def misfit(request: Request, error: RequestValidationError) -> Response:
        return tell(request, misfits(error.errors()), pages, status=HTTPStatus.UNPROCESSABLE_ENTITY)

    @app.exception_handler(HTTPException)
    async def of_http(request: Request, error: HTTPException) -> Response:
        return tell(request, str(error.detail), pages, status=error.status_code, headers=error.headers)

    @app.exception_handler(ClientDisconnect)
    async def gone(_: Request, __: ClientDisconnect) -> Response:
        return Response(status_code=HTTPStatus.BAD_REQUEST)  # to nobody

    @app.exception_handler(OSError)
    async def refused(request: Request, error: OSError) -> Response:
        return explain(request, disk_refusal("what was asked for was not done", error), pages)
