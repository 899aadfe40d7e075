"""The door of the page: who is let in, what a browser is told, how much is taken."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from fastapi import FastAPI, Request
from fastapi.testclient import TestClient

from coldpin.errors import InputError
from coldpin.web.trust import HEADERS, Guard, Trusted

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


def test_a_path_like_another_host_leads_back_here(shared: TestClient) -> None:
    """Two slashes at the front of an address would name another server."""
    shared.cookies.clear()
    answer = shared.get(f"//elsewhere.example/?token={TOKEN}")
    assert answer.headers["location"].startswith("/")
    assert not answer.headers["location"].startswith("//")


def test_any_name_without_a_token_is_refused_from_the_start() -> None:
    """Nobody opens the page to everybody by leaving a word out."""
    with pytest.raises(InputError, match="needs a token"):
        Trusted(hosts=())
