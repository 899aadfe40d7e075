"""Constants on the page: looked for, tried otherwise on a case, and put in the place of ours with a source."""

from __future__ import annotations

import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import open_case
from coldpin.errors import UnknownName
from coldpin.standards.book import load_book
from coldpin.web.app import create_app
from coldpin.workbench.constants import list_sources
from tests.web.test_risk import PATIENCE, PROGRAM, settle

CASE = "/case/skerrow-16"
EARTH = "earth.in-service"
HERE = f"{CASE}/sources/{EARTH}"
EMPTY = {"minimum": "", "nominal": "", "note": ""}
OWN = {"source": "the yard's own rule", "standing": "judgement", "maximum": "1", **EMPTY}


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


def pairs(**changed: str) -> dict[str, Any]:
    """A value of one's own as its form sends it."""
    held = OWN | changed
    return {"field": list(held), "value": list(held.values())}


def test_constants_are_looked_for(client: TestClient) -> None:
    """By words, standing and table; with value, source and where it was read."""
    page, twin = client.get("/sources?words=schuko"), client.get("/sources.json?words=schuko").json()
    assert page.status_code == 200
    limit = load_book().limit("plug.cee-7-4")
    assert limit.title in unescape(page.text)
    assert "16 A" in page.text
    assert limit.id in {one["id"] for one in twin["shown"]}
    assert sum(one["found"] for one in twin["tables"]) == len(twin["shown"]) + twin["left_out"]
    assert "No constant holds this." in client.get("/sources?words=herring").text
    memory = client.get("/sources.json?standing=memory").json()
    assert {one["standing"] for one in memory["shown"]} == {"memory"}
    table = next(one for one in twin["tables"] if one["found"])["title"]
    whole = client.get("/sources.json", params={"table": table}).json()
    assert (whole["left_out"], len(whole["shown"])) == (0, len(list_sources(table=table).shown))
    for wrong in ({"standing": "sure"}, {"table": "Herrings"}):
        assert client.get("/sources.json", params=wrong).status_code == 404


def test_every_constant_is_in_one_table_of_the_list() -> None:
    """None is left out, none stands twice; an id finds itself first."""
    book = load_book()
    everything = list_sources()
    assert [one.id for one in everything.shown if one.id not in book.rows] == []
    assert len({one.id for one in everything.shown}) == len(everything.shown) == len(book.rows)
    assert list_sources(EARTH).shown[0].id == EARTH
    with pytest.raises(UnknownName, match="unknown table"):
        list_sources(table="Herrings")


def test_a_constant_of_a_case_says_what_rests_on_it(client: TestClient) -> None:
    """The findings placed against it; those that the case uses come first."""
    twin = client.get(f"{HERE}.json").json()
    assert [one["id"] for one in twin["findings"]] == ["earth-resistance.value"]
    assert f"{CASE}/finding/earth-resistance.value" in client.get(HERE).text
    listed = client.get(f"{CASE}/sources.json").json()
    used = set(listed["used"])
    assert [one["id"] in used for one in listed["shown"]][:5] == [True] * 5
    only = client.get(f"{CASE}/sources.json?used=true").json()
    assert {one["id"] for one in only["shown"]} == used & set(load_book().rows)
    assert client.get(f"{CASE}/sources/earth.none").status_code == 404


@pytest.mark.hand("0.511 Ω against 0.3 Ω and against 1 Ω")
def test_another_value_is_tried_beside_the_page_and_kept_nowhere(client: TestClient, shelf: Path) -> None:
    """The finding that moves is told with both outcomes; a script is sent to where the answer comes."""
    before = (shelf / "skerrow-16" / "case.toml").read_bytes()
    script = client.post(f"{HERE}/tried", data=pairs(), headers={"hx-request": "true", "accept": "text/html"})
    place = script.headers["hx-redirect"]
    end = time.monotonic() + PATIENCE
    while (told := client.get(f"{place}.json").json())["answer"] is None:
        assert time.monotonic() < end, told["work"]
        assert told["work"]["course"] in ("waiting", "running", "done")
        time.sleep(0.05)
    moved = {one["id"]: (one["recorded"], one["supposed"]) for one in told["answer"]["findings"]}
    assert moved["earth-resistance.value"] == ("beyond", "within")
    assert (told["answer"]["recorded"], told["answer"]["supposed"]) == ("at most 0.3 Ω", "at most 1 Ω")
    text = unescape(client.get(place).text)
    assert "Findings that come out otherwise" in text
    assert (shelf / "skerrow-16" / "case.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("changed", "status", "told"),
    [
        ({"source": ""}, 422, "names no source"),
        ({"maximum": ""}, 422, "has no number"),
        ({"maximum": "much"}, 422, "is no number"),
        ({"standing": "sure"}, 422, "is none of"),
        ({"depth": "1"}, 404, "unknown field"),
    ],
)
def test_a_value_that_cannot_be_used_is_refused(
    client: TestClient, changed: dict[str, str], status: int, told: str
) -> None:
    """Whether it is to be tried or kept."""
    for place in (f"{HERE}/tried", HERE):
        answer = client.post(place, data=pairs(**changed), headers=PROGRAM)
        assert (answer.status_code, told in answer.json()["error"]) == (status, True), place


def test_columns_that_do_not_fit_write_nothing(client: TestClient, shelf: Path) -> None:
    """A field whose value is missing is not taken for one that was left empty."""
    toml = shelf / "skerrow-16" / "case.toml"
    before = toml.read_bytes()
    sent = pairs()
    sent["value"] = sent["value"][:-1]
    for place in (f"{HERE}/tried", HERE):
        answer = client.post(place, data=sent, headers=PROGRAM)
        assert (answer.status_code, "one value for every field" in answer.json()["error"]) == (422, True), place
    assert toml.read_bytes() == before


def test_a_value_is_kept_and_taken_out_again(client: TestClient, shelf: Path) -> None:
    """With its source; what stood there meanwhile is told; the file is then what it was."""
    case = open_case(shelf / "skerrow-16")
    before = (case.folder / "case.toml").read_bytes()
    assert client.post(HERE, data=pairs(), headers=PROGRAM).status_code == 200
    (own,) = case.description().constants
    assert (own.id, own.maximum, own.source, own.standing) == (EARTH, 1.0, "the yard's own rule", "judgement")
    twice = client.post(HERE, data=pairs(maximum="2"), headers=PROGRAM)
    assert (twice.status_code, "given twice" in twice.json()["error"]) == (422, True)
    settle(client)
    told = client.get(f"{HERE}.json").json()
    assert (told["limit"]["asserted_by"], told["limit"]["maximum"], told["ours"]["maximum"]) == ("this case", 1.0, 0.3)
    assert "Take ours again" in client.get(HERE).text
    assert client.get(f"{CASE}/sources.json").json()["shown"][0]["id"] == EARTH
    changed = client.post(HERE, data=pairs(maximum="2") | {"seen": told["seen"]}, headers=PROGRAM)
    assert changed.status_code == 200
    late = client.post(HERE, data=pairs(maximum="3") | {"seen": told["seen"]}, headers=PROGRAM)
    assert (late.status_code, "Maximum: 2" in late.json()["now"]) == (409, True)
    seen = changed.json()["rows"][0]["seen"]
    gone = client.post(HERE, data={"seen": seen, "remove": "true"}, headers=PROGRAM)
    assert (gone.status_code, gone.json()["rows"]) == (200, [])
    assert (case.folder / "case.toml").read_bytes() == before
