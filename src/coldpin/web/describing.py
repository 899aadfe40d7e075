"""The description of every route (OpenAPI): what the routes say of themselves, and what the door may answer to any."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import TypeAdapter

from coldpin import __version__
from coldpin.web.answering import Told

ABOUT = """Every page has a twin at its address plus `.json`: the same record. Every action is a plain form. A program
that accepts JSON and not HTML is answered in JSON, errors too: `{"error": message}`. What the door refuses is told as
plain text."""

PLAIN = "text/plain"


def _said(description: str) -> dict[str, Any]:
    return {"description": description, "content": {PLAIN: {"schema": {"type": "string"}}}}


_BOTH: dict[str, Any] = {"application/json": {}, "text/html": {}}

_ANY: dict[HTTPStatus, dict[str, Any]] = {
    HTTPStatus.BAD_REQUEST: {
        "description": "Asked under a name that is not this machine's, or the request cannot be read.",
        "content": {PLAIN: {"schema": {"type": "string"}}, **_BOTH},
    },
    HTTPStatus.UNAUTHORIZED: _said("The token is missing."),
    HTTPStatus.FORBIDDEN: _said("The request came from a page of another place."),
    HTTPStatus.METHOD_NOT_ALLOWED: {"description": "The address takes no such method.", "content": _BOTH},
    HTTPStatus.TEMPORARY_REDIRECT: {"description": "The address was written with a stroke too many."},
}
"""What the door may answer to any request."""

_BODY = {
    HTTPStatus.REQUEST_TIMEOUT: _said("Nothing of the body came for too long; nothing was done."),
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: _said("The body is larger than is taken; nothing was done."),
}
"""What it may answer beside, where a body is sent."""


def describe(app: FastAPI) -> dict[str, Any]:
    """Return the description of all routes.

    Parameters
    ----------
    app : FastAPI
        The application.

    Returns
    -------
    dict
        As OpenAPI has it.
    """
    told = get_openapi(
        title="coldpin", version=__version__, summary="The page at the bench.", description=ABOUT, routes=app.routes
    )
    told["components"]["schemas"]["Told"] = TypeAdapter(Told).json_schema()
    for path, methods in told["paths"].items():
        for method, route in methods.items():
            answers = route["responses"]
            first, _, rest = route.pop("description", "").partition("\n")
            if first:  # what the function says of itself, not how it is called
                route["summary"] = first
            if rest.strip():
                route["description"] = rest.strip()
            for status, said in {**_ANY, **(_BODY if "requestBody" in route else {})}.items():
                _add(answers, str(status.value), said)
            if method == "post":
                _add_ways_of_an_action(answers)
            if path.endswith(".json") and (whole := answers.get("200")):
                whole["content"] = {"application/json": {"schema": {"type": "object"}}}
    return told


def _add(answers: dict[str, Any], status: str, said: dict[str, Any]) -> None:
    held = answers.setdefault(status, {"description": said["description"]})
    if "content" in said:
        held["content"] = {**said["content"], **held.get("content", {})}


def _add_ways_of_an_action(answers: dict[str, Any]) -> None:
    """Describe how an action tells what it did beside the record: a form is sent on, a script gets nothing."""
    for status in [status for status in answers if status.startswith("2")]:
        answers[status]["content"] = {"application/json": {"schema": {"type": "object"}}, "text/html": {}}
    answers.setdefault("303", {"description": "Done; the page that shows it is named."})
    answers.setdefault("204", {"description": "Done; a script makes its part of the page anew."})
