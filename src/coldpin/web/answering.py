"""How a page answers: one record, shown as HTML or told as JSON; an action, told to a form, to a script, or as JSON.

Every page is a function from its address to a frozen record. :class:`Pages` makes two routes of it: the address itself,
and its JSON twin at the same address plus ``.json``. Every action is a plain route too: a form without script is sent
on to the page it changed, a form with script gets the piece of that page, and a program that asks for JSON gets the
record of what was done.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import wraps
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import Environment

from coldpin.errors import (
    BeingAssessed,
    ColdpinError,
    ConflictError,
    CorrectedBefore,
    InputError,
    MissingExtra,
    StorageError,
    UnknownName,
)
from coldpin.records.plain import to_json
from coldpin.web.remedies import by_page

JSON = "application/json"

HTML = "text/html"

FRESH = {"cache-control": "no-store"}
"""Of every page and twin: a case changes under it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What went wrong: what was given, where, what is allowed, what to do next."""

    error: str


SCHEMA_OF_TOLD = "#/components/schemas/Told"
"""Where the description of all routes holds it once; as the model of each answer it would be built a thousand times."""


def _told(description: str) -> dict[str, Any]:
    return {"description": description, "content": {HTML: {}, JSON: {"schema": {"$ref": SCHEMA_OF_TOLD}}}}


TOLD: Mapping[int | str, dict[str, Any]] = {
    HTTPStatus.NOT_FOUND.value: _told("There is nothing of that name; the message says what there is."),
    HTTPStatus.CONFLICT.value: _told("The file holds another value by now; both are kept."),
    HTTPStatus.UNPROCESSABLE_ENTITY.value: _told("What was given cannot be used; the message says where and why."),
    HTTPStatus.NOT_IMPLEMENTED.value: _told("An optional part is not installed; the message says how to."),
    HTTPStatus.SERVICE_UNAVAILABLE.value: _told("The case is being assessed for the first time: ask again."),
    HTTPStatus.INSUFFICIENT_STORAGE.value: _told("The disk refused; nothing that was acknowledged is lost."),
}
"""The errors that any page may answer with; those of the door are in :mod:`coldpin.web.describing`."""

_STATUS: tuple[tuple[type[ColdpinError], HTTPStatus], ...] = (
    (UnknownName, HTTPStatus.NOT_FOUND),
    (ConflictError, HTTPStatus.CONFLICT),
    (CorrectedBefore, HTTPStatus.CONFLICT),
    (MissingExtra, HTTPStatus.NOT_IMPLEMENTED),
    (BeingAssessed, HTTPStatus.SERVICE_UNAVAILABLE),
    (StorageError, HTTPStatus.INSUFFICIENT_STORAGE),
    (InputError, HTTPStatus.UNPROCESSABLE_ENTITY),
)


def status_of(error: ColdpinError) -> HTTPStatus:
    """Return the status with which an error is told.

    Parameters
    ----------
    error : ColdpinError
        What was raised.

    Returns
    -------
    HTTPStatus
        That of the first of its family.

    Examples
    --------
    >>> int(status_of(UnknownName("no such case")))
    404
    """
    return next((status for kind, status in _STATUS if isinstance(error, kind)), HTTPStatus.INTERNAL_SERVER_ERROR)


class Pages:
    """The routes of one part of the page, each with its twin.

    Parameters
    ----------
    router : APIRouter
        Where the routes go.
    templates : Environment
        The templates.
    """

    def __init__(self, router: APIRouter, templates: Environment) -> None:
        self.router, self._templates = router, templates

    def show(self, address: str, template: str) -> Callable[[Callable[..., object]], Callable[..., object]]:
        """Make a page of a function that returns a record.

        Parameters
        ----------
        address : str
            With names in braces, which the function takes.
        template : str
            Renders the record as ``page``.

        Returns
        -------
        callable
            A decorator; the function stays as it is.
        """

        def add(make: Callable[..., object]) -> Callable[..., object]:
            twin = "/shelf.json" if address == "/" else f"{address}.json"
            summary = (make.__doc__ or "").split("\n")[0]
            as_json, as_page = self._as_json(make), self._as_page(make, template)
            self.router.get(twin, response_class=Response, summary=summary, responses=dict(TOLD))(as_json)
            self.router.get(address, response_class=HTMLResponse, summary=summary, responses=dict(TOLD))(as_page)
            return make

        return add

    def render(
        self,
        template: str,
        record: object,
        status: int = HTTPStatus.OK,
        *,
        more_headers: Mapping[str, str] | None = None,
        **more: object,
    ) -> HTMLResponse:
        """Return a record as a page or as a piece of one.

        Parameters
        ----------
        template : str
            Renders the record as ``page``.
        record : object
            What it shows.
        status : int
            Of the answer.
        more_headers : mapping, optional
            Of the answer, beside the usual.
        **more
            What the template wants beside.

        Returns
        -------
        HTMLResponse
            Not to be kept by the browser: a case changes under it.
        """
        text = self._templates.get_template(template).render(page=record, **more)
        return HTMLResponse(text, status, headers={**FRESH, **(more_headers or {})})

    def _as_json(self, make: Callable[..., object]) -> Callable[..., Response]:
        @wraps(make)
        def tell(**given: Any) -> Response:
            return Response(to_json(make(**given)), media_type=JSON, headers=FRESH)

        return _with_signature(tell, make, Response)

    def _as_page(self, make: Callable[..., object], template: str) -> Callable[..., Response]:
        @wraps(make)
        def show(**given: Any) -> Response:
            return self.render(template, make(**given))

        return _with_signature(show, make, HTMLResponse)


def _with_signature(
    function: Callable[..., Response], like: Callable[..., object], answer: type[Response]
) -> Callable[..., Response]:
    """Give a route the parameters of the function it calls, by which the address is read and described."""
    signature = inspect.signature(like, eval_str=True).replace(return_annotation=answer)
    function.__signature__ = signature  # type: ignore[attr-defined]  # read by inspect.signature
    function.__annotations__ = {name: one.annotation for name, one in signature.parameters.items()}
    return function


def wants_json(request: Request) -> bool:
    """Say whether a program asks, which wants JSON and no page.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    bool
        True where the address ends so, or JSON is accepted and HTML is not.
    """
    accepted = request.headers.get("accept", "")
    return request.url.path.endswith(".json") or (JSON in accepted and "text/html" not in accepted)


def wants_piece(request: Request) -> bool:
    """Say whether a script on our page asks, which puts a piece into it.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    bool
        True for a request by htmx that replaces a part.
    """
    return request.headers.get("hx-request") == "true" and request.headers.get("hx-request-type") != "full"


def _asks_for_a_page(request: Request) -> bool:
    """Say whether a page of ours is read, not a file taken along or a form sent."""
    return request.method == "GET" and getattr(request.scope.get("route"), "response_class", None) is HTMLResponse


def done(
    request: Request, record: object, *, place: str, status: int = HTTPStatus.CREATED, announce: str = ""
) -> Response:
    """Answer an action: a program gets the record of what was done, a browser is sent to the page that shows it.

    Parameters
    ----------
    request : Request
        The request.
    record : object
        What was done.
    place : str
        The address of the page that shows it.
    status : int
        For a program.
    announce : str
        An event that the page is told of, where a script asked: what listens for it on the page is made anew.

    Returns
    -------
    Response
        The answer.
    """
    place = quote(place, safe="/?&=#%;,:+@!$'()*~-._")  # a header holds no letter beyond ASCII, and no line end
    if wants_json(request):
        return Response(to_json(record), status, media_type=JSON, headers={"location": place})
    if wants_piece(request):
        headers = {"hx-trigger": announce} if announce else {"hx-redirect": place}
        return Response(status_code=HTTPStatus.NO_CONTENT, headers=headers)
    return RedirectResponse(place, HTTPStatus.SEE_OTHER)


def explain(request: Request, error: ColdpinError, pages: Pages) -> Response:
    """Tell what went wrong, in the form that was asked for.

    Parameters
    ----------
    request : Request
        The request.
    error : ColdpinError
        What was raised.
    pages : Pages
        Renders it.

    Returns
    -------
    Response
        With the status of :func:`status_of`. Where a case is being assessed for the first time, a browser gets a page
        that shows how far that is and becomes what was asked for by itself: a page that was asked for is thus there
        already, and no error.
    """
    if isinstance(error, BeingAssessed):
        again = {"retry-after": "1"}
        if not wants_json(request) and not wants_piece(request):
            status = HTTPStatus.OK if _asks_for_a_page(request) else status_of(error)
            return pages.render("being_assessed.html", error, status, more_headers=again)
        return tell(request, str(error), pages, status=status_of(error), headers=again)
    return tell(request, str(error), pages, status=status_of(error))


def tell(
    request: Request, message: str, pages: Pages, *, status: int, headers: Mapping[str, str] | None = None
) -> Response:
    """Tell a message in the form that was asked for: as a page, as a piece of one, as JSON.

    Parameters
    ----------
    request : Request
        The request.
    message : str
        What went wrong and what to do.
    pages : Pages
        Renders it.
    status : int
        Of the answer.
    headers : mapping, optional
        Of the answer, beside the usual.

    Returns
    -------
    Response
        The answer.
    """
    if wants_json(request):
        return Response(to_json(Told(error=by_page(message))), status, media_type=JSON, headers=headers)
    template = "refused.html" if wants_piece(request) else "error.html"
    return pages.render(template, message, status, more_headers=headers)


def misfits(errors: Iterable[Mapping[str, Any]]) -> str:
    """Say in one sentence what of a form or an address is not as its description asks.

    Parameters
    ----------
    errors : iterable of mapping
        As they are told by what reads forms and addresses.

    Returns
    -------
    str
        Each field with what is wrong with it; never what was given, which may be long.

    Examples
    --------
    >>> misfits([{"loc": ("body", "name"), "msg": "Field required", "input": None}])
    'name: field required'
    """
    told = []
    for error in errors:
        place = ".".join(str(part) for part in error["loc"][1:]) or str(error["loc"][0])
        what = str(error["msg"])
        told.append(f"{place}: {what[:1].lower()}{what[1:]}")
    return "; ".join(told)
