"""Whom the page answers, and what it lets a browser do: this machine alone unless told otherwise.

A browser on the same machine shows pages of other places too. What those could reach through it is refused here, before
any route is asked: another name for this machine (`Host`), a form or script of another page (`Origin`), a picture or
script of ours in such a page (`Sec-Fetch`), a body larger than agreed or one that does not come. What is answered
carries a policy by which the browser runs no script but ours and asks nobody else.
"""

from __future__ import annotations

import asyncio
import hmac
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any
from urllib.parse import parse_qs, quote, urlencode, urlsplit

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

READING = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})
"""What changes nothing, whoever asks for it."""

MAXIMUM_BODY = 2 << 30
"""Ours: the largest body that is taken, twice the largest capture that a bench makes in an afternoon. [bytes]"""

LONGEST_LENGTH = 20
"""Digits of the longest length of a body that is read as a number: 2⁶⁴ has as many."""

MAXIMUM_TEXT = 16 << 20
"""Ours: the largest body that is no form with files: such a body may be held whole, none of ours comes near. [bytes]"""

SILENCE = 30.0
"""Ours: after so long without anything of a body it is taken for lost, and its place is given to others. [s]"""

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self' blob:",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""No script, style or letter but from our own files, nothing from elsewhere, in no frame."""

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
    maximum_text : int
        The largest that is no form with files. [bytes]
    silence : float
        How long to wait for more of a body. [s]
    """

    hosts: tuple[str, ...] = LOOPBACK
    token: str = ""
    maximum_body: int = MAXIMUM_BODY
    maximum_text: int = MAXIMUM_TEXT
    silence: float = SILENCE

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
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})  # there is none here, and the door is for requests
            return
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): text.decode("latin-1") for name, text in scope["headers"]}
        if refused := self._refused(scope, headers):
            await _refuse(send, *refused)
            return
        if self._trusted.token and (not _knows(headers, self._trusted.token) or _asks_to_come_in(scope)):
            await self._admit(scope, send)
            return
        await self._pass(scope, headers, receive, send)

    async def _pass(self, scope: Scope, headers: dict[str, str], receive: Receive, send: Send) -> None:
        """Let a request through, its body counted; what breaks behind the door is told without its inside."""
        body = _Body(receive, send, self._most(headers), self._trusted.silence)
        if scope["method"] == "HEAD":
            scope = {**scope, "method": "GET"}  # the server leaves the body out, the headers are the same
        try:
            await self._app(scope, body.receive, body.send)
        except _NotTaken:
            await body.refuse()
        except Exception as error:
            if not body.answered:
                await _refuse(send, HTTPStatus.INTERNAL_SERVER_ERROR, _fault(error))
            raise  # for whoever runs the server, with the place it came from

    def _most(self, headers: dict[str, str]) -> int:
        files = headers.get("content-type", "").lower().startswith("multipart/form-data")
        return self._trusted.maximum_body if files else min(self._trusted.maximum_text, self._trusted.maximum_body)

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
        if scope["method"] in READING and _is_part_of_another_page(headers):
            return HTTPStatus.FORBIDDEN, "refused: a page of another place asked for it; open this page by itself"
        most, declared = self._most(headers), headers.get("content-length", "0")
        if not declared.isdecimal() or len(declared) > LONGEST_LENGTH or int(declared) > most:
            return HTTPStatus.REQUEST_ENTITY_TOO_LARGE, _larger(most)
        return None

    async def _admit(self, scope: Scope, send: Send) -> None:
        """Give a browser that brings the token its cookie and send it on; anybody else is told what is missing."""
        asked = parse_qs(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
        given = asked.pop("token", [""])[0]
        if scope["method"] in ("GET", "HEAD") and hmac.compare_digest(given.encode(), self._trusted.token.encode()):
            rest = urlencode(asked, doseq=True)
            # one stroke at the front, for two name another server, and nothing that a header may not hold
            place = "/" + quote(str(scope["path"]).lstrip("/\\")) + (f"?{rest}" if rest else "")
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


class _NotTaken(Exception):
    """More of a body came than was agreed, or nothing did."""


class _Body:
    """Counts what comes in, and adds the headers to what goes out."""

    def __init__(self, receive: Receive, send: Send, most: int, silence: float) -> None:
        self._receive, self._send, self._most, self._silence = receive, send, most, silence
        self._come, self._whole = 0, False
        self._refusal: tuple[int, str] | None = None
        self.answered = False

    async def receive(self) -> Message:
        if self._whole:
            return await self._receive()  # that the other side went away
        try:
            async with asyncio.timeout(self._silence):
                message = await self._receive()
        except TimeoutError:
            self._refusal = HTTPStatus.REQUEST_TIMEOUT, _silent(self._silence)
            raise _NotTaken from None
        self._come += len(message.get("body", b""))
        self._whole = not message.get("more_body", False)
        if self._come > self._most:
            self._refusal = HTTPStatus.REQUEST_ENTITY_TOO_LARGE, _larger(self._most)
            raise _NotTaken
        return message

    async def send(self, message: Message) -> None:
        if self._refusal is not None and not self.answered:
            raise _NotTaken  # whatever was made of half a body, this is what is told
        if message["type"] == "http.response.start":
            self.answered = True
            held = {name.lower() for name, _ in message.get("headers", ())}
            message["headers"] = [*message.get("headers", ()), *_missing(held)]
        await self._send(message)

    async def refuse(self) -> None:
        """Tell why the body was not taken."""
        if not self.answered and self._refusal is not None:
            self.answered = True
            await _refuse(self._send, *self._refusal, (b"connection", b"close"))


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


def _is_part_of_another_page(headers: dict[str, str]) -> bool:
    """Say whether a page of another place wants to show or read something of ours as a part of itself."""
    foreign = headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none")
    return foreign and headers.get("sec-fetch-mode", "navigate") != "navigate"


def _asks_to_come_in(scope: Scope) -> bool:
    """Say whether the address still holds a token, which is to stand in no list of pages seen."""
    return scope["method"] in ("GET", "HEAD") and b"token=" in scope.get("query_string", b"")


def _knows(headers: dict[str, str], token: str) -> bool:
    """Say whether a request brings the token, among the cookies of whatever else runs on this machine."""
    given = [headers.get("authorization", "").removeprefix("Bearer ")]
    for cookie in headers.get("cookie", "").split(";"):
        name, _, text = cookie.strip().partition("=")
        if name == COOKIE:
            given.append(text)
    return any(hmac.compare_digest(one.encode(), token.encode()) for one in given)


def _silent(seconds: float) -> str:
    return f"nothing more came for {seconds:g} s and nothing was done: send it once more"


def _fault(error: Exception) -> str:
    return f"a fault of coldpin ({type(error).__name__}), and nothing acknowledged is lost: please report it"


def _larger(most: int) -> str:
    return f"too large: at most {most / (1 << 20):g} MiB are taken at once; file it with 'coldpin add' instead"


async def _refuse(send: Send, status: int, text: str, *more: tuple[bytes, bytes]) -> None:
    body = f"{text}\n".encode() if text else b""
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode()), *more]
    await send({"type": "http.response.start", "status": status, "headers": [*headers, *_missing(())]})
    await send({"type": "http.response.body", "body": body})
