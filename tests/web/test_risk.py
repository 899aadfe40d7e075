"""Risk and uses on the page: what is tried is answered beside the record, what is kept stands in case.toml."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import open_case
from coldpin.web.app import create_app
from tests.web.page_words import said_elsewhere

CASE = "/case/skerrow-16"
CHAIN = f"{CASE}/risk/touch-live-pins"
PATIENCE = 120.0
"""Seconds after which a test gives up waiting for an assessment."""
TRIED = {"step": "way-to-earth", "state": "", "low": "1/100", "best": "1/50", "high": "10 %"}
PROGRAM = {"accept": "application/json"}


@pytest.fixture(scope="module")
def shelf(filled: Path) -> Path:
    """A shelf of its own, as its case is changed."""
    return filled


@pytest.fixture(scope="module")
def client(shelf: Path) -> Iterator[TestClient]:
    """A reader of it, its case assessed."""
    with TestClient(create_app(shelf), base_url="http://127.0.0.1") as reader:
        settle(reader)
        yield reader


def settle(reader: TestClient) -> None:
    """Wait until the case is assessed as it stands."""
    end = time.monotonic() + PATIENCE
    while not all(one["fresh"] for one in reader.get("/shelf.json").json()["cases"]):
        assert time.monotonic() < end, "the case is not assessed"
        time.sleep(0.05)


def test_every_scenario_has_its_page_and_its_twin(client: TestClient) -> None:
    """With the levels of the record; the matrix is a picture with words."""
    page, twin = client.get(f"{CASE}/risk"), client.get(f"{CASE}/risk.json").json()
    assert page.status_code == 200
    text = unescape(page.text)
    assert len(twin["scenarios"]) > 10
    for one in twin["scenarios"]:
        assert f'href="{CASE}/risk/{one["id"]}"' in text
        assert one["title"] in text
    drawn = client.get(twin["matrix"]["address"])
    assert (drawn.status_code, drawn.headers["content-type"]) == (200, "image/svg+xml")
    assert twin["scenarios"][0]["title"] in twin["matrix"]["alt"]
    assert client.get(f"{CASE}/risk/none").status_code == 404


def test_an_assumption_is_answered_beside_the_record_and_kept_nowhere(client: TestClient, shelf: Path) -> None:
    """The twin has the same effect as the page; back at the record nothing is tried."""
    before = (shelf / "skerrow-16" / "case.toml").read_bytes()
    plain = client.get(f"{CHAIN}.json").json()
    told = client.get(f"{CHAIN}.json", params=TRIED | {"severity": "3"}).json()
    assert (plain["effect"], plain["supposed"], plain["refused"]) == (None, None, "")
    assert (told["scenario"]["severity"], told["supposed"]["severity"]) == (4, 3)
    assert told["supposed"]["worst"]["probability"] < told["scenario"]["worst"]["probability"]
    assert len(told["effect"]["scenarios"]) == 1
    wide = client.get(f"{CHAIN}.json", params=TRIED | {"everywhere": "true"}).json()
    assert (len(wide["effect"]["scenarios"]) > 3, wide["everywhere"]) == (True, True)
    moved = [line["moved"] for step in told["chain"] for line in step["lines"]]
    assert moved.count(True) == 1
    page = unescape(client.get(CHAIN, params=TRIED).text)
    assert told["effect"]["statement"].partition(".")[0] in page
    assert 'value="1/100"' in page
    every = [line["typed"] for step in plain["chain"] for line in step["lines"]]
    columns = {name: [one[name] for one in every] for name in ("step", "state", "low", "best", "high")}
    assert client.get(f"{CHAIN}.json", params=columns).json()["effect"] is None
    assert (shelf / "skerrow-16" / "case.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"low": "often"}, "“The current finds a way through the body to earth”, low: cannot read 'often'"),
        ({"low": "0.5"}, "probabilities rise from low to high"),
        ({"severity": "all"}, "is no severity"),
        ({"severity": "1" * 5000}, "is no severity"),
        ({"severity": "7"}, "severity is 7"),
    ],
)
def test_what_cannot_be_tried_is_told_on_the_page(client: TestClient, typed: dict[str, str], told: str) -> None:
    """Beside what was typed, which stays."""
    answer = client.get(f"{CHAIN}.json", params=TRIED | typed)
    assert (answer.status_code, answer.json()["effect"]) == (200, None)
    assert told in answer.json()["refused"]
    page = client.get(CHAIN, params=TRIED | typed).text
    assert told in unescape(page)
    assert said_elsewhere(page) == []


def test_columns_that_do_not_fit_are_refused(client: TestClient) -> None:
    """A program is told."""
    assert client.get(f"{CHAIN}.json", params={"step": "way-to-earth"}).status_code == 422
    assert client.get(f"{CHAIN}.json", params=TRIED | {"step": "no-step"}).status_code == 404


def test_an_assumption_is_kept_with_its_reason_and_given_up_again(client: TestClient, shelf: Path) -> None:
    """As the case's own estimate; without a reason it is refused, twice from one beginning both are told."""
    case = open_case(shelf / "skerrow-16")
    before = (case.folder / "case.toml").read_bytes()
    assert client.post(CHAIN, data=TRIED, headers=PROGRAM).status_code == 422
    assert client.post(CHAIN, data={"source": "x"}, headers=PROGRAM).status_code == 422
    kept = client.post(CHAIN, data=TRIED | {"source": "our count", "severity": "3"}, headers=PROGRAM)
    assert (kept.status_code, kept.headers["location"]) == (201, CHAIN)
    (own,) = case.description().estimates
    assert (own.scenario, own.step, own.low, own.best, own.high) == ("touch-live-pins", "way-to-earth", 0.01, 0.02, 0.1)
    (end,) = case.description().severities
    assert (end.scenario, end.severity, end.source) == ("touch-live-pins", 3, "our count")
    settle(client)
    told = client.get(f"{CHAIN}.json").json()
    assert (told["scenario"]["own_severity"], told["scenario"]["severity"]) == ("our count", 3)
    line = next(line for step in told["chain"] for line in step["lines"] if line["typed"]["step"] == "way-to-earth")
    assert (line["recorded"]["own"]["source"], line["typed"]["best"]) == ("our count", "1/50")

    other = TRIED | {"best": "1/20", "source": "another count", "seen": line["seen"]}
    assert client.post(CHAIN, data=other, headers=PROGRAM).status_code == 201
    late = client.post(CHAIN, data=other | {"best": "1/30", "severity": "4"}, headers=PROGRAM)
    assert late.status_code == 409
    assert case.description().severities == (end,), "what belongs together is written together or not at all"
    assert ("Best: 0.05" in late.json()["now"], "Best: 0.0333" in late.json()["wanted"]) == (True, True)
    shown = client.post(CHAIN, data=other | {"best": "1/30"}, headers={"accept": "text/html"})
    assert shown.status_code == 409
    assert "You typed" in shown.text

    page = client.get(f"{CASE}/risk.json").json()
    assert {one["list"] for one in page["own"]} == {"estimates", "severities"}
    for one in page["own"]:
        place = f"{CASE}/own/{one['list']}"
        left = client.post(place, data={"seen": one["row"]["seen"]}, follow_redirects=False)
        assert (left.status_code, left.headers["location"]) == (303, f"{CASE}/risk")
    assert (case.folder / "case.toml").read_bytes() == before
    assert client.post(f"{CASE}/own/letters", data={"seen": "{}"}).status_code == 404
    settle(client)


def condition(told: dict[str, Any], **changed: str) -> dict[str, list[str]]:
    """The fields of a what-if as its form sends them, some changed."""
    held = {one["key"]: one["text"] for one in told["fields"]} | changed
    return {"field": list(held), "value": list(held.values())}


def test_every_use_is_told_and_begins_where_it_is_recorded(client: TestClient) -> None:
    """A usual place in words gives the answer that is recorded, where no socket is asked for."""
    page, twin = client.get(f"{CASE}/uses"), client.get(f"{CASE}/uses.json").json()
    assert page.status_code == 200
    assert len(twin["uses"]) >= 5
    for use in twin["uses"]:
        assert use["name"] in unescape(page.text)
        told = client.get(f"{CASE}/uses/what-if.json", params={"like": use["name"]}).json()
        assert told["answer"]["recorded"]["name"] == use["name"]
        if not use["use"]["sockets"]:
            assert told["answer"]["supposed"]["answer"] == use["answer"]
    assert client.get(f"{CASE}/uses/what-if.json", params={"like": "nowhere"}).status_code == 404


def briefly(reason: dict[str, Any]) -> str:
    """What a reason says under the head of its kind."""
    return str(reason["briefly"] or reason["text"])


def test_a_ground_that_every_use_has_is_told_once(client: TestClient) -> None:
    """The twin keeps all grounds with each use, and says which they have in common; the page repeats none of these."""
    page, twin = unescape(client.get(f"{CASE}/uses").text), client.get(f"{CASE}/uses.json").json()
    common = [one["text"] for one in twin["common"]["reasons"]]
    assert common
    for text in common:
        assert all(text in [one["text"] for one in use["reasons"]] for use in twin["uses"])
    shared = page.partition('<section class="lead use" id="common"')[2].partition("</section>")[0]
    for reason in twin["common"]["reasons"]:
        assert briefly(reason) in shared
        assert page.count(f"<li>{briefly(reason)}") == 1
    for use, part in zip(twin["uses"], page.split('<section class="lead use" id="use-')[1:], strict=True):
        own = [one for one in use["reasons"] if one["text"] not in common]
        for one in own:
            assert any(f"<li>{text}" in part for text in (one["text"], briefly(one)))
            assert one["text"] in part or all(f": {measure}" in part for measure in one["instead"])
        if use["answer"] == "advised against":
            assert any(one["text"].split(". ")[0] in part.partition("</p>")[2] for one in use["reasons"])


def test_another_supply_is_answered_and_added_with_a_reason(client: TestClient, shelf: Path) -> None:
    """What is decided outside is said; what cannot be read stands beside what was typed."""
    begun = client.get(f"{CASE}/uses/what-if.json").json()
    typed = condition(begun, name="slipway", place="quay", supply_rating="6 A", residual_device="none")
    told = client.get(f"{CASE}/uses/what-if.json", params=typed).json()
    answer = told["answer"]
    assert (answer["supposed"]["name"], answer["recorded"]) == ("slipway", None)
    assert answer["supposed"]["bound_a"] == 6.0
    assert "local codes" in answer["outside"][-1]
    refused = client.get(f"{CASE}/uses/what-if", params=condition(begun, hours="all night"))
    assert "hours = 'all night'" in unescape(refused.text)
    assert said_elsewhere(refused.text) == []
    assert 'value="all night"' in refused.text
    assert client.get(f"{CASE}/uses/what-if", params={"field": "hours"}).status_code == 422
    assert client.get(f"{CASE}/uses/what-if", params={"field": "depth", "value": "x"}).status_code == 404

    wanted = condition(begun, name="slipway", supply_rating="6 A")
    assert client.post(f"{CASE}/uses", data=wanted, headers=PROGRAM).status_code == 422
    added = client.post(f"{CASE}/uses", data=condition(told, why="a visitor asked"), headers=PROGRAM)
    assert added.status_code == 201
    (held,) = open_case(shelf / "skerrow-16").description().conditions_of_use
    assert (held.name, held.supply_rating, held.why) == ("slipway", "6 A", "a visitor asked")
    again = client.post(f"{CASE}/uses", data=condition(told, why="again"), headers=PROGRAM)
    assert "is a use of this case already" in again.json()["error"]
    settle(client)
    assert "Asked because: a visitor asked" in client.get(f"{CASE}/uses").text


def test_where_no_place_is_named_nothing_is_answered(client: TestClient) -> None:
    """It asks for the place, with no answer and no current; so too beside a recorded use whose place is emptied."""
    begun = client.get(f"{CASE}/uses/what-if.json").json()
    rain = client.get(f"{CASE}/uses/what-if.json", params={"like": "Driveway, in rain"}).json()
    assert rain["answer"] is not None
    emptied = condition(rain, place=" ") | {"like": "Driveway, in rain"}
    for typed in ({}, condition(begun, supply_rating="6 A"), emptied):
        assert client.get(f"{CASE}/uses/what-if.json", params=typed).json()["answer"] is None
        page = client.get(f"{CASE}/uses/what-if", params=typed).text
        answered = page[page.index('id="answer"') :].partition("</aside>")[0]
        assert "Say where" in answered
        assert not re.search(r"\d A\b|class=\"answer", answered)
    assert client.get(f"{CASE}/uses/what-if.json", params=condition(begun, hours="all night")).json()["refused"]
    told = client.get(f"{CASE}/uses/what-if", params=condition(begun, place="garage")).text
    assert ('class="answer' in told, "Say where" in told) == (True, False)


def test_no_page_of_these_runs_a_script_in_it_or_asks_elsewhere(client: TestClient) -> None:
    """The policy holds."""
    for address in (f"{CASE}/risk", CHAIN, f"{CASE}/uses", f"{CASE}/uses/what-if"):
        text = client.get(address).text
        assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text))
        assert " style=" not in text
        assert not re.findall(r'(?:href|src|action)="https?:', text)


def test_the_twins_are_json_all_through(client: TestClient) -> None:
    """Never a number that JSON does not have."""
    for address in (f"{CASE}/risk.json", f"{CHAIN}.json", f"{CASE}/uses.json", f"{CASE}/uses/what-if.json"):
        assert json.loads(client.get(address).text, parse_constant=lambda name: pytest.fail(name))
