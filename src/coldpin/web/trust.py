"""Whom the page answers, and what it lets a browser do: this machine alone unless told otherwise.

A browser on the same machine shows pages of other places too. What those could reach through it is refused here, before
any route is asked: another name for this machine (`Host`), a form or script of another page (`Origin`), a body larger
than agreed. What is answered carries a policy by which the browser runs no script but ours and asks nobody else.
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from dataclasses import dataclass
from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

from coldpin.errors import InputError

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
"""The names of this machine for itself, as a browser writes them into `Host`."""

COOKIE = "coldpin-token"
"""Holds the token in a browser that came with it once."""

READING = frozenset({"GET", "HEAD", "OPTIONS"})
"""What changes nothing."""

MAXIMUM_BODY = 2 << 30
"""Ours: the largest body that is taken, twice the largest capture that a bench makes in an afternoon. [bytes]"""

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""No script and no style but from our own files, nothing from elsewhere, in no frame."""

HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=()",
}
"""Sent with every answer; a route may set one itself. Without any referrer a browser would hide from us that our own
forms are ours: it then names their origin ``null``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trusted:
    """Whom the page answers.

    Parameters
    ----------
    hosts : tuple of str
        Names under which it may be asked, without port; empty for any, which a token must guard.
    token : str
        What a browser must have been given once; empty where this machine alone can reach the page.
    maximum_body : int
        The largest body that is taken. [bytes]
    """

    hosts: tuple[str, ...] = LOOPBACK
    token: str = ""
    maximum_body: int = MAXIMUM_BODY

    def __post_init__(self) -> None:
        if not self.hosts and not self.token:
            raise InputError("a page that may be asked under any name needs a token: give one")


class Guard:
    """The application behind its door.

    Parameters
    ----------
    app : callable
        An ASGI application.
    trusted : Trusted
        Whom it answers.
    """

    def __init__(self, app: App, trusted: Trusted) -> None:
        self._app, self._trusted = app, trusted

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it.

        Parameters
        ----------
        scope, receive, send
            As ASGI has them.
        """
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): text.decode("latin-1") for name, text in scope["headers"]}
        if refused := self._refused(scope, headers):
            await _refuse(send, *refused)
            return
        if self._trusted.token and not _knows(headers, self._trusted.token):
            await self._admit(scope, send)
            return
        body = _Body(receive, send, self._trusted.maximum_body)
        try:
            await self._app(scope, body.receive, body.send)
        except _TooLarge:
            if not body.answered:
                await _refuse(send, HTTPStatus.REQUEST_ENTITY_TOO_LARGE, _larger(self._trusted.maximum_body))

    def _refused(self, scope: Scope, headers: dict[str, str]) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if self._trusted.hosts and _name_of(host) not in self._trusted.hosts:
            return (
                HTTPStatus.BAD_REQUEST,
                f"this page is not asked as {host[:100]!r}: use {' or '.join(self._trusted.hosts)}",
            )
        if scope["method"] not in READING and not _from_here(headers, host):
            return (
                HTTPStatus.FORBIDDEN,
                "refused: the request came from a page of another place; use the forms of this page",
            )
        declared = headers.get("content-length", "0")
        if not declared.isdecimal() or int(declared) > self._trusted.maximum_body:
            return HTTPStatus.REQUEST_ENTITY_TOO_LARGE, _larger(self._trusted.maximum_body)
        return None

    async def _admit(self, scope: Scope, send: Send) -> None:
        """Give a browser that brings the token its cookie and send it on; anybody else is told what is missing."""
        asked = parse_qs(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
        given = asked.pop("token", [""])[0]
        if scope["method"] == "GET" and hmac.compare_digest(given.encode(), self._trusted.token.encode()):
            rest = urlencode(asked, doseq=True)
            place = "/" + str(scope["path"]).lstrip("/") + (f"?{rest}" if rest else "")
            cookie = f"{COOKIE}={self._trusted.token}; Path=/; HttpOnly; SameSite=Strict"
            await _refuse(
                send, HTTPStatus.SEE_OTHER, "", (b"location", place.encode()), (b"set-cookie", cookie.encode())
            )
            return
        await _refuse(
            send,
            HTTPStatus.UNAUTHORIZED,
            "this page asks for its token: open the address that 'coldpin serve' printed, with it",
        )


class _TooLarge(Exception):
    """More came than was agreed."""


class _Body:
    """Counts what comes in, and adds the headers to what goes out."""

    def __init__(self, receive: Receive, send: Send, most: int) -> None:
        self._receive, self._send, self._left = receive, send, most
        self.answered = False

    async def receive(self) -> Message:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            raise _TooLarge
        return message

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.answered = True
            held = {name.lower() for name, _ in message.get("headers", ())}
            message["headers"] = [*message.get("headers", ()), *_missing(held)]
        await self._send(message)


def _missing(held: Iterable[bytes]) -> list[tuple[bytes, bytes]]:
    there = set(held)
    return [(name.encode(), text.encode()) for name, text in HEADERS.items() if name.encode() not in there]


def _name_of(host: str) -> str:
    """Return the name in a `Host`, its port taken off."""
    name, colon, port = host.rpartition(":")
    return (name if colon and port.isdecimal() else host).lower()


def _from_here(headers: dict[str, str], host: str) -> bool:
    """Say whether a request that changes something came from this page, or from no page at all.

    A browser always names where a form or script came from; a program on this machine that names nothing has no need
    of a browser to reach us.
    """
    site = headers.get("sec-fetch-site", "same-origin")
    origin = headers.get("origin")
    if site not in ("same-origin", "none"):
        return False
    return origin is None or (origin != "null" and urlsplit(origin).netloc.lower() == host.lower())


def _knows(headers: dict[str, str], token: str) -> bool:
    given = headers.get("authorization", "").removeprefix("Bearer ")
    try:
        held = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        held = None
    given = held.value if held is not None else given
    return hmac.compare_digest(given.encode(), token.encode())


def _larger(most: int) -> str:
    return f"too large: at most {most / (1 << 20):g} MiB are taken at once; file it with 'coldpin add' instead"


async def _refuse(send: Send, status: int, text: str, *more: tuple[bytes, bytes]) -> None:
    body = f"{text}\n".encode() if text else b""
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode()), *more]
    await send({"type": "http.response.start", "status": status, "headers": [*headers, *_missing(())]})
    await send({"type": "http.response.body", "body": body})
