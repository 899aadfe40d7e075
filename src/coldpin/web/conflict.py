"""Two values for one place: both are shown, and who edits says which is to stand."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from fastapi import Request, Response

from coldpin.records.described import Conflict
from coldpin.records.plain import to_json
from coldpin.web.answering import FRESH, HTML, JSON, TOLD, Pages, wants_json, wants_piece

EDITED: Mapping[int | str, dict[str, Any]] = {
    **TOLD,
    HTTPStatus.CONFLICT.value: {
        "description": "The file holds another value by now: both are told, and kept.",
        "model": Conflict,
        "content": {HTML: {}},
    },
}
"""The errors that an edit may answer with."""


def told_conflict(
    request: Request,
    pages: Pages,
    name: str,
    conflict: Conflict,
    *,
    address: str = "",
    again: tuple[tuple[str, str], ...] = (),
) -> Response:
    """Answer an edit whose place holds another value by now.

    Parameters
    ----------
    request : Request
        The request.
    pages : Pages
        Renders it.
    name : str
        The case's folder.
    conflict : Conflict
        Both values.
    address : str
        Where an edit goes that wants the second value all the same; empty where that is not offered.
    again : tuple of tuple of str
        What such an edit sends: name and value of each field.

    Returns
    -------
    Response
        A piece for the page, a page of its own, or the record, as it was asked for.
    """
    if wants_json(request):
        return Response(to_json(conflict), HTTPStatus.CONFLICT, media_type=JSON, headers=FRESH)
    template = "pieces/conflict.html" if wants_piece(request) else "conflict.html"
    return pages.render(template, conflict, HTTPStatus.CONFLICT, name=name, address=address, again=again)
