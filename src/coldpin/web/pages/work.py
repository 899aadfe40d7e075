"""Long work under way: how far it is, stopping it, and having it done once more."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from urllib.parse import quote

from fastapi import Request, Response
from fastapi.responses import HTMLResponse

from coldpin.web.answering import TOLD, Pages, done, wants_piece
from coldpin.web.desk import Desk
from coldpin.web.works import Course, Work


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkPage:
    """One piece of work, or what of a case is under way."""

    work: Work


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/under-way/{work}", "work.html")
    def work(work: str) -> WorkPage:
        """How far a piece of work is."""
        return WorkPage(work=desk.works.of(work))

    @pages.router.get("/under-way/{work}/piece", response_class=HTMLResponse, responses=dict(TOLD))
    def piece(work: str, whole: bool = False) -> Response:
        """How far a piece of work is, as a piece of a page that asks again until it is over.

        When it is, the parts of the page that show its result are made anew; or, with ``whole``, all of the page.
        """
        found = desk.works.of(work)
        answer = pages.render("pieces/work.html", found, whole=whole)
        if whole and found.course.ended:
            answer.headers["hx-refresh"] = "true"
        elif found.course is Course.DONE:
            answer.headers["hx-trigger"] = "assessed"
        return answer

    @pages.router.post(
        "/case/{name}/assess", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.ACCEPTED
    )
    def again(request: Request, name: str) -> Response:
        """Assess a case once more, whose assessment was stopped or did not succeed."""
        begun = desk.standings.again(desk.case(name).folder)
        if wants_piece(request):
            return pages.render("pieces/work.html", begun)
        return done(request, begun, place=f"/case/{quote(name)}", status=HTTPStatus.ACCEPTED)

    @pages.router.post(
        "/under-way/{work}/stop", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.OK
    )
    def stop(request: Request, work: str) -> Response:
        """Stop a piece of work; what was done before stays."""
        found = desk.works.stop(work)
        if wants_piece(request) and not found.place:
            return pages.render("pieces/work.html", found)
        place = found.place or (f"/case/{quote(found.case)}" if found.case else "/")
        return done(request, found, place=place, status=HTTPStatus.OK)
