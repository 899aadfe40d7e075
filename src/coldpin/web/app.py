"""The application: every part's routes, behind the door of :mod:`coldpin.web.trust`."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import APIRouter, FastAPI, Request, Response
from fastapi.staticfiles import StaticFiles

from coldpin import __version__
from coldpin.errors import ColdpinError
from coldpin.web.answering import Pages, explain
from coldpin.web.desk import Desk
from coldpin.web.pages import case, charge, compared, instruments, shelf, wave, work
from coldpin.web.templating import templates
from coldpin.web.trust import Guard, Trusted
from coldpin.workbench.shelving import open_shelf

PARTS = (shelf, instruments, compared, work, case, wave, charge)
"""Every part of the page; each has ``add(pages, desk)``."""

HERE = Path(__file__).parent


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
        yield
        desk.works.close()

    app = FastAPI(title="coldpin", version=__version__, docs_url=None, redoc_url=None, lifespan=lifespan)
    app.add_middleware(Guard, trusted=trusted or Trusted())
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    router = APIRouter()
    pages = Pages(router, templates())
    for part in PARTS:
        part.add(pages, desk)
    app.include_router(router)

    @app.exception_handler(ColdpinError)
    async def told(request: Request, error: ColdpinError) -> Response:
        return explain(request, error, pages)

    return app
