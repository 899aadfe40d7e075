"""How a page answers: a page and its twin of one record, an action in the form that was asked for, errors by family."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from fastapi import APIRouter, FastAPI, Request, Response
from fastapi.testclient import TestClient
from jinja2 import DictLoader, Environment

from coldpin.errors import (
    BeingAssessed,
    CaseError,
    ColdpinError,
    ConflictError,
    MissingExtra,
    StorageError,
    UnknownName,
)
from coldpin.web.answering import Pages, done, explain, status_of

ERRORS: dict[str, ColdpinError] = {
    "unknown": UnknownName("no such case"),
    "case": CaseError("no unit in entry 7"),
    "conflict": ConflictError("holds 16 A by now"),
    "disk": StorageError("the disk is full"),
    "extra": MissingExtra("install it"),
    "early": BeingAssessed.by("lead", None),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """What the page of this test shows."""

    name: str
    current: int


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    """A page, an action, and one that fails as it is told to."""
    templates = Environment(
        autoescape=True,
        loader=DictLoader(
            {"lead.html": "<p>{{ page.name }}: {{ page.current }} A</p>"}
            | dict.fromkeys(("being_assessed.html", "error.html", "refused.html"), "<p>{{ page }}</p>")
        ),
    )
    router = APIRouter()
    pages = Pages(router, templates)

    @pages.show("/lead/{name}", "lead.html")
    def lead(name: str, current: int = 16) -> Lead:
        """Show a lead."""
        if name in ERRORS:
            raise ERRORS[name]
        return Lead(name=name, current=current)

    @router.post("/lead/{name}/rate")
    def rate(request: Request, name: str) -> Response:
        if name in ERRORS:
            raise ERRORS[name]
        return done(request, Lead(name=name, current=10), place=f"/lead/{name}", announce="rated")

    app = FastAPI()
    app.include_router(router)
    app.add_exception_handler(ColdpinError, lambda request, error: explain(request, error, pages))
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as reader:
        yield reader


def test_a_page_and_its_twin_show_one_record(client: TestClient) -> None:
    """The address is read alike, text is escaped in the page, and the browser keeps neither."""
    page, twin = client.get("/lead/skerrow<16?current=8"), client.get("/lead/skerrow<16.json?current=8")
    assert page.text == "<p>skerrow&lt;16: 8 A</p>"
    assert twin.json() == {"name": "skerrow<16", "current": 8}
    assert page.headers["cache-control"] == twin.headers["cache-control"] == "no-store"
    assert client.get("/lead/x?current=much").status_code == 422


def test_both_addresses_are_described(client: TestClient) -> None:
    """With the parameters of the function and the errors that are answered."""
    described = client.get("/openapi.json").json()["paths"]
    for address in ("/lead/{name}", "/lead/{name}.json"):
        route = described[address]["get"]
        assert [one["name"] for one in route["parameters"]] == ["name", "current"]
        assert {"404", "409", "422", "501", "507"} <= set(route["responses"])
        assert route["summary"] == "Show a lead."


def test_an_action_answers_as_it_was_asked(client: TestClient) -> None:
    """A form is sent on, a script is told what to make anew, a program gets the record."""
    form = client.post("/lead/a/rate", headers={"accept": "text/html,*/*"})
    assert (form.status_code, form.headers["location"]) == (303, "/lead/a")
    script = client.post("/lead/a/rate", headers={"accept": "text/html", "hx-request": "true"})
    assert (script.status_code, script.headers["hx-trigger"]) == (204, "rated")
    program = client.post("/lead/a/rate", headers={"accept": "application/json"})
    assert (program.status_code, program.json()) == (201, {"name": "a", "current": 10})
    assert program.headers["location"] == "/lead/a"


@pytest.mark.parametrize(
    ("name", "status"), [("unknown", 404), ("case", 422), ("conflict", 409), ("disk", 507), ("extra", 501)]
)
def test_an_error_is_told_with_its_status_in_the_form_asked_for(client: TestClient, name: str, status: int) -> None:
    """As a page, as a piece of one, as JSON; always with the words of the error."""
    assert status_of(ERRORS[name]) == status
    for answer in (
        client.get(f"/lead/{name}"),
        client.get(f"/lead/{name}", headers={"hx-request": "true"}),
        client.get(f"/lead/{name}.json"),
        client.get(f"/lead/{name}", headers={"accept": "application/json"}),
    ):
        assert answer.status_code == status
        assert str(ERRORS[name]) in answer.text
    assert client.get(f"/lead/{name}.json").json() == {"error": str(ERRORS[name])}


def test_a_page_of_a_case_that_is_being_assessed_is_there_and_becomes_it(client: TestClient) -> None:
    """What a browser reads is no error; a program, a piece and a form are told to ask again."""
    page = client.get("/lead/early")
    assert (page.status_code, page.headers["retry-after"]) == (200, "1")
    assert "lead is being assessed for the first time" in page.text
    for answer in (
        client.get("/lead/early.json"),
        client.get("/lead/early", headers={"accept": "application/json"}),
        client.get("/lead/early", headers={"hx-request": "true"}),
        client.post("/lead/early/rate", headers={"accept": "text/html"}),
    ):
        assert (answer.status_code, answer.headers["retry-after"]) == (503, "1")
        assert "ask again in a moment" in answer.text


def test_an_error_of_no_family_is_our_fault() -> None:
    """Nothing that a person could mend is said to be theirs."""
    assert status_of(ColdpinError("odd")) == 500
