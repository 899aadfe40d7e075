"""The door of the page: who is let in, what a browser is told, how much is taken."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator
from typing import Annotated, Any

import pytest
from fastapi import FastAPI, Form, Request
from fastapi.responses import PlainTextResponse
from fastapi.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from coldpin.errors import InputError
from coldpin.web.trust import HEADERS, Guard, Message, Trusted
from tests.web.awaited import awaited

HERE = "http://127.0.0.1:8610"
TOKEN = "a-word-of-this-evening"


def opened(trusted: Trusted) -> TestClient:
    """An application of two routes behind the door."""
    app = FastAPI()
    app.add_middleware(Guard, trusted=trusted)

    @app.get("/")
    def read() -> str:
        return "read"

    @app.post("/")
    async def write(request: Request) -> int:
        return len(await request.body())

    @app.post("/form")
    def put(name: Annotated[str, Form()]) -> str:
        return name

    @app.get("/broken")
    def break_down() -> None:
        raise ZeroDivisionError("the inside of it")

    return TestClient(app, base_url=HERE, follow_redirects=False)


@pytest.fixture(scope="module")
def alone() -> Iterator[TestClient]:
    """A page that this machine alone can reach, and that takes a hundred bytes at most."""
    with opened(Trusted(maximum_body=100)) as client:
        yield client


@pytest.fixture(scope="module")
def shared() -> Iterator[TestClient]:
    """A page that others can reach who have its token."""
    with opened(Trusted(hosts=(), token=TOKEN)) as client:
        yield client


@pytest.mark.parametrize("host", ["127.0.0.1:8610", "localhost:8610", "LOCALHOST", "[::1]:8610", "127.0.0.1"])
def test_this_machine_is_served_by_each_of_its_names(alone: TestClient, host: str) -> None:
    """With or without port, in any case of letters."""
    assert alone.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("host", ["rebound.example", "127.0.0.1.example", "127.0.0.1:8610.example", "", "[::1", "::1"])
def test_another_name_for_this_machine_is_refused(alone: TestClient, host: str) -> None:
    """A name that somebody else's server lends to this address opens nothing, and the answer says which names do."""
    answer = alone.get("/", headers={"host": host})
    assert answer.status_code == 400
    assert "127.0.0.1 or localhost" in answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://elsewhere.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "http://127.0.0.1"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site", "origin": HERE},
    ],
)
def test_what_another_page_sends_changes_nothing(alone: TestClient, headers: dict[str, str]) -> None:
    """Neither a form of another place nor one of another server on this machine."""
    assert alone.post("/", headers=headers).status_code == 403
    assert alone.get("/", headers=headers).status_code == 200, "reading is kept from others by the browser"


@pytest.mark.parametrize("headers", [{"origin": HERE}, {"origin": HERE, "sec-fetch-site": "same-origin"}, {}])
def test_our_own_forms_and_programs_are_let_in(alone: TestClient, headers: dict[str, str]) -> None:
    """A browser names our own page, a program names none."""
    assert alone.post("/", headers=headers, content=b"abc").json() == 3


def test_no_more_is_taken_than_agreed(alone: TestClient) -> None:
    """Neither where the length is told before nor where it only shows while it comes."""
    assert alone.post("/", content=b"x" * 100).json() == 100
    told = alone.post("/", content=b"x" * 101)
    assert (told.status_code, "coldpin add" in told.text) == (413, True)
    streamed = alone.post("/", content=iter([b"x" * 60, b"x" * 60]))
    assert (streamed.status_code, "too large" in streamed.text) == (413, True)
    assert alone.post("/", headers={"content-length": "-1"}, content=b"").status_code == 413


def test_a_form_that_is_too_large_is_told_as_that(alone: TestClient) -> None:
    """Also where what reads the form takes the refusal for a form that cannot be read."""
    head = {"content-type": "application/x-www-form-urlencoded"}
    streamed = alone.post("/form", headers=head, content=iter([b"name=", b"x" * 60, b"x" * 60]))
    assert (streamed.status_code, "too large" in streamed.text) == (413, True)
    assert alone.post("/form", data={"name": "tongs"}).json() == "tongs"


def test_only_a_form_with_files_may_be_large() -> None:
    """Whatever else is sent may come to be held whole in memory."""
    with opened(Trusted(maximum_body=1000, maximum_text=100)) as client:
        assert client.post("/", content=b"x" * 101).status_code == 413
        whole = client.post("/", content=b"x" * 900, headers={"content-type": "Multipart/form-data; boundary=x"})
        assert whole.json() == 900
        assert client.post("/", content=b"x" * 1001, headers={"content-type": "multipart/form-data"}).status_code == 413


@pytest.mark.parametrize("length", ["-1", "1e3", "9" * 5000, "²", "", " 7"])
def test_a_length_that_is_none_is_refused(alone: TestClient, length: str) -> None:
    """Neither read as a number nor a reason to break down."""
    answer = alone.post("/", headers=[(b"content-length", length.encode("latin-1"))], content=b"")
    assert answer.status_code == 413


@pytest.mark.parametrize("mode", ["no-cors", "cors", "same-origin"])
def test_nothing_of_ours_becomes_part_of_another_page(alone: TestClient, mode: str) -> None:
    """No picture, script or frame; a link that leads here is followed."""
    there = {"sec-fetch-site": "cross-site", "sec-fetch-mode": mode}
    assert alone.get("/", headers=there).status_code == 403
    assert alone.get("/", headers=there | {"sec-fetch-mode": "navigate"}).status_code == 200
    assert alone.get("/", headers=there | {"sec-fetch-site": "same-origin"}).status_code == 200


def test_the_head_of_a_page_is_that_of_the_page(alone: TestClient) -> None:
    """As HTTP asks of every server; what changes something has none."""
    head, whole = alone.head("/"), alone.get("/")
    assert (head.status_code, dict(head.headers)) == (200, dict(whole.headers))
    assert alone.head("/form").status_code == 405


def test_what_breaks_behind_the_door_is_told_without_its_inside(alone: TestClient) -> None:
    """With the policy, for a message of a fault may quote what somebody sent; and whoever runs the server sees all."""
    quiet = TestClient(alone.app, base_url=HERE, raise_server_exceptions=False)
    answer = quiet.get("/broken")
    assert (answer.status_code, "a fault of coldpin (ZeroDivisionError)" in answer.text) == (500, True)
    assert "the inside" not in answer.text
    assert {name: answer.headers[name] for name in HEADERS} == HEADERS
    with pytest.raises(ZeroDivisionError):
        alone.get("/broken")


def test_a_body_that_stops_coming_is_given_up() -> None:
    """It holds no place for good; one that comes slowly but comes is taken."""

    async def ask(pieces: list[bytes], silence: float) -> list[Message]:
        told: list[Message] = []
        rest = list(pieces)

        async def receive() -> dict[str, Any]:
            if not rest:
                await asyncio.sleep(60)
            await asyncio.sleep(0)
            return {"type": "http.request", "body": rest.pop(0), "more_body": len(rest) > 0 or silence < 1}

        async def send(message: Message) -> None:
            told.append(message)

        async def count(scope: Any, receive: Any, send: Any) -> None:
            await PlainTextResponse(str(len(await Request(scope, receive).body())))(scope, receive, send)

        guard = Guard(count, Trusted(silence=silence))
        scope = {"type": "http", "method": "POST", "path": "/", "raw_path": b"/", "query_string": b""}
        await guard({**scope, "headers": [(b"host", b"localhost")], "http_version": "1.1"}, receive, send)
        return told

    given_up = awaited(ask([b"abc"], 0.05))
    assert given_up[0]["status"] == 408
    assert b"nothing was done" in given_up[1]["body"]
    assert (b"connection", b"close") in given_up[0]["headers"]
    assert awaited(ask([b"abc", b"def"], 30.0))[1]["body"] == b"6"


def test_there_is_no_socket(alone: TestClient) -> None:
    """The door knows requests only."""
    with pytest.raises(WebSocketDisconnect), alone.websocket_connect("/"):
        pass


def test_every_answer_carries_the_policy(alone: TestClient) -> None:
    """Also a refusal, and what is not there."""
    for answer in (alone.get("/"), alone.get("/nowhere"), alone.get("/", headers={"host": "x.example"})):
        assert {name: answer.headers[name] for name in HEADERS} == HEADERS
    policy = HEADERS["content-security-policy"]
    assert "unsafe" not in policy
    assert policy.startswith("default-src 'none'")


def test_without_the_token_nothing_is_told(shared: TestClient) -> None:
    """Under any name, with a wrong one, in the wrong place."""
    shared.cookies.clear()
    for answer in (
        shared.get("/"),
        shared.get("/?token=wrong"),
        shared.get("/", headers={"host": "bench.example"}),
        shared.get("/", headers={"authorization": "Bearer wrong"}),
        shared.post(f"/?token={TOKEN}"),
        shared.get("/", headers={"cookie": "coldpin-token=wrong"}),
    ):
        assert answer.status_code == 401
        assert TOKEN not in answer.text


def test_the_token_is_brought_once_and_kept_out_of_the_address(shared: TestClient) -> None:
    """A browser gets a cookie that no script reads and no other page sends, and is sent on without the token."""
    shared.cookies.clear()
    first = shared.get(f"/?token={TOKEN}&of=this")
    assert (first.status_code, first.headers["location"]) == (303, "/?of=this")
    assert {"HttpOnly", "SameSite=Strict"} <= set(first.headers["set-cookie"].split("; "))
    assert shared.get("/").json() == "read"
    shared.cookies.clear()
    assert shared.get("/", headers={"authorization": f"Bearer {TOKEN}"}).json() == "read"


def test_a_token_in_the_address_is_taken_out_of_it_also_when_it_is_known(shared: TestClient) -> None:
    """A page's address is kept in the history, and shown to whoever looks over a shoulder."""
    shared.cookies.clear()
    shared.cookies.set("coldpin-token", TOKEN)
    again = shared.get(f"/?token={TOKEN}")
    assert (again.status_code, again.headers["location"]) == (303, "/")
    assert shared.get("/?token=wrong").status_code == 401


@pytest.mark.parametrize("before", ["a=b; ", 'odd[1]="x; ', "coldpin-token=of-another-evening; ", "=; ;;"])
def test_a_cookie_of_something_else_on_this_machine_hides_ours_never(shared: TestClient, before: str) -> None:
    """Cookies are not kept apart by port, and some are written in ways of their own."""
    shared.cookies.clear()
    assert shared.get("/", headers={"cookie": f"{before}coldpin-token={TOKEN}"}).json() == "read"
    assert shared.get("/", headers={"cookie": before}).status_code == 401
    stale = {"cookie": "coldpin-token=old", "authorization": f"Bearer {TOKEN}"}
    assert shared.get("/", headers=stale).json() == "read"


@pytest.mark.parametrize(
    "path", ["//elsewhere.example/", "/%5Celsewhere.example/", "/%5c%5celsewhere.example", "/%0d%0aset-cookie:x=y"]
)
def test_a_path_like_another_host_leads_back_here(shared: TestClient, path: str) -> None:
    """Two strokes at the front of an address would name another server, a line end another header."""
    shared.cookies.clear()
    answer = shared.get(f"{path}?token={TOKEN}")
    assert answer.status_code == 303
    assert re.fullmatch(r"/([^/\\\s][^\\\s]*)?", answer.headers["location"])
    assert set(answer.cookies) == {"coldpin-token"}


def test_any_name_without_a_token_is_refused_from_the_start() -> None:
    """Nobody opens the page to everybody by leaving a word out."""
    with pytest.raises(InputError, match="needs a token"):
        Trusted(hosts=())
