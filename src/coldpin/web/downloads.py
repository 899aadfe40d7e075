"""Files that leave the page: of what kind, under which name, and what a browser may do with them."""

from __future__ import annotations

from pathlib import PurePath
from urllib.parse import quote

from fastapi import Response

from coldpin.errors import UnknownName

KINDS = {
    ".html": "text/html; charset=utf-8",
    ".pdf": "application/pdf",
    ".json": "application/json",
    ".csv": "text/csv; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".zip": "application/zip",
}
"""What a file is, by the ending of its name; nothing else is handed out."""

STYLED = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:"
"""Of a report or a drawing by itself: it shows itself, loads nothing and runs nothing."""

POLICIES = {
    ".html": f"{STYLED}; sandbox; frame-ancestors 'none'; form-action 'none'; base-uri 'none'",
    ".svg": f"{STYLED}; sandbox; frame-ancestors 'none'",
}
"""What each may do in a browser; what is not named here may do as little as a page of ours."""


def handed_out(data: bytes, name: str, *, keep: bool) -> Response:
    """Return a file as an answer.

    Parameters
    ----------
    data : bytes
        All of it.
    name : str
        What it is called where it is kept; its ending says what it is.
    keep : bool
        True where it is to be kept as a file, False where it is to be looked at.

    Returns
    -------
    Response
        With its kind, name and policy.

    Raises
    ------
    UnknownName
        It is of a kind that is not handed out.
    """
    return Response(data, headers=headers_of(name, keep=keep))


def headers_of(name: str, *, keep: bool) -> dict[str, str]:
    """Return what is said of a file that is handed out.

    Parameters
    ----------
    name : str
        What it is called where it is kept; its ending says what it is.
    keep : bool
        True where it is to be kept as a file, False where it is to be looked at.

    Returns
    -------
    dict of str to str
        The headers of the answer.

    Raises
    ------
    UnknownName
        It is of a kind that is not handed out.

    Examples
    --------
    >>> headers_of("skerrow-16-report.pdf", keep=True)["content-disposition"]
    "attachment; filename*=UTF-8''skerrow-16-report.pdf"
    """
    ending = PurePath(name).suffix
    if ending not in KINDS:
        raise UnknownName.among("kind of file", ending, KINDS)
    way = "attachment" if keep else "inline"
    headers = {
        "content-type": KINDS[ending],
        "content-disposition": f"{way}; filename*=UTF-8''{quote(name, safe='')}",
        "cache-control": "no-store",
    }
    if ending in POLICIES:
        # a page that is put into a box of its own may not share its opener, which browsers take for a fault
        headers |= {"content-security-policy": POLICIES[ending], "cross-origin-opener-policy": "unsafe-none"}
    return headers
