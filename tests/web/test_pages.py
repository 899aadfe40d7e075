"""The pages and their JSON twins: one record each, nothing from elsewhere, nothing that writes."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from html import escape, unescape
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient

from coldpin.errors import CaseError
from coldpin.records.plain import from_json, to_json
from coldpin.report.numbers import bounds
from coldpin.web.app import create_app
from coldpin.web.pages.case import CasePage
from coldpin.web.pages.findings import FindingPage, FindingsPage
from coldpin.web.pages.shelf import ShelfPage
from coldpin.web.pages.wave import WavePage
from coldpin.workbench import assess
from coldpin.workbench.drafting import assessment_of
from tests.workbench.quay import make_case, make_shelf
from tests.workbench.test_uses import files_below

CASE = "skerrow-16"
PATIENCE = 120.0
"""Seconds after which a test gives up: a process is started and a small case assessed in a few."""

ADDRESS = re.compile(r"""(?:href|src|action|data|url)\s*[=(]\s*["']?([^"'\s)>]+)""")


@pytest.fixture(scope="module")
def client(quay: Path) -> Iterator[TestClient]:
    """A reader of the shelf's pages, every case of it assessed."""
    with TestClient(create_app(quay), base_url="http://127.0.0.1") as reader:
        settled(reader)
        yield reader


def settled(reader: TestClient) -> None:
    """Wait until nothing is being assessed any more."""
    end = time.monotonic() + PATIENCE
    while not all(case["fresh"] for case in reader.get("/shelf.json").json()["cases"]):
        assert time.monotonic() < end, "the cases are not assessed"
        time.sleep(0.05)


@pytest.fixture(scope="module")
def pages(quay: Path, proving: bool) -> list[str]:
    """The address of every page there is; in small, of every fifth finding."""
    assessment = assess(quay / CASE)
    findings = [
        f"/case/{CASE}/finding/{quote(finding.id, safe='')}" for finding in assessment.findings[:: 1 if proving else 5]
    ]
    waves = [f"/case/{CASE}/wave/{capture.entry}" for capture in assessment.pilot]
    case = f"/case/{CASE}"
    return ["/", case, f"/case/{quote('empty & new')}", f"{case}/findings", f"{case}/pilot", *findings, *waves]


def test_every_page_is_there_and_quotes_nothing_from_elsewhere(client: TestClient, pages: list[str]) -> None:
    """No script, no address outside this server, the policy in the header, every link answered."""
    assert len(pages) >= 8
    links: set[str] = set()
    for page in pages:
        answer = client.get(page)
        assert answer.status_code == 200, page
        text = answer.text
        assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text)), "no script stands in a page"
        assert re.search(r"\sstyle=|<style|hx-on", text) is None
        assert re.search(r"\son\w+\s*=", re.sub(r">[^<]*<", "><", text)) is None
        used = set(map(unescape, ADDRESS.findall(text)))
        assert {one for one in used if not one.startswith(("/", "#", "data:"))} == set()
        assert not any(one.startswith("//") for one in used)
        assert answer.headers["content-security-policy"].startswith("default-src 'none';")
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"
        links |= {one for one in used if one.startswith("/")}
    others = {link for link in links if "/finding/" not in link} - set(pages)
    actions = {link for link in others if client.get(link).status_code == 405}
    assert {link for link in others - actions if client.get(link).status_code != 200} == set()
    assert set(pages) <= links | {"/"}


def test_the_twin_of_a_page_is_its_record(client: TestClient, quay: Path) -> None:
    """The JSON at the same address plus .json is the record the page was made from, and reads back."""
    assessment = assess(quay / CASE)
    finding, capture = assessment.findings[0].id, assessment.pilot[0].entry
    twins: list[tuple[str, type]] = [
        ("/shelf.json", ShelfPage),
        (f"/case/{CASE}.json", CasePage),
        (f"/case/{CASE}/findings.json", FindingsPage),
        (f"/case/{CASE}/finding/{finding}.json", FindingPage),
        (f"/case/{CASE}/wave/{capture}.json", WavePage),
    ]
    for address, kind in twins:
        answer = client.get(address)
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "application/json"
        assert to_json(from_json(kind, answer.text, where=address)) == answer.text
    told = from_json(CasePage, client.get(f"/case/{CASE}.json").text, where="the twin")
    assert told.assessment is not None
    assert to_json(told.assessment) == to_json(assessment)


def test_each_page_links_its_twin(client: TestClient, pages: list[str]) -> None:
    """The link at the foot leads to JSON."""
    for page in (pages[0], pages[1], pages[3], pages[-1]):
        (twin,) = re.findall(r'href="([^"]+)">This page as JSON', client.get(page).text)
        assert client.get(twin).headers["content-type"] == "application/json"


def test_a_page_shows_what_its_record_says(client: TestClient, quay: Path) -> None:
    """Headline, every function with its state, every finding with its outcome, what was not tested."""
    assessment = assess(quay / CASE)
    text = unescape(client.get(f"/case/{CASE}").text)

    assert assessment.conclusion.headline.text in text
    for function in assessment.functions:
        assert function.title in text
        assert function.state.replace("_", " ") in text
    text = unescape(client.get(f"/case/{CASE}/findings").text)
    for finding in assessment.findings:
        assert f"/finding/{finding.id}" in text
    for item in assessment.not_tested:
        assert item.title in text


def test_a_time_is_told_in_one_form(client: TestClient, pages: list[str]) -> None:
    """Day, hour, minute, zone; as a program writes it only where a program reads it."""
    for page in pages:
        shown = re.sub(r"<[^>]*>", "", client.get(page).text)
        assert not re.search(r"\d{4}-\d\d-\d\dT\d\d:\d\d", shown), page


def test_each_cell_of_cases_side_by_side_says_of_which_case_it_is(client: TestClient) -> None:
    """On a phone, where a row is a paragraph and no head stands above its cells."""
    case = client.get("/compare.json").json()["comparison"]["cases"][0]
    text = client.get("/compare").text
    rows = text.partition("<tbody>")[2].count("<tr>")
    assert rows > 10
    assert text.count(f'data-case="{escape(case["title"])}"') == rows


def test_a_finding_is_worded_on_the_page_as_in_the_report(client: TestClient, quay: Path) -> None:
    """A bare "no" beside "Neutral not joined to earth" can be read both ways; a probability is never rounded to one."""
    text = client.get(f"/case/{CASE}/findings").text
    assert not re.search(r"<td[^>]*>(yes|no)</td>", text)
    assert "<td>as it should be</td>" in text

    judged = next(f for f in assess(quay / CASE).findings if f.limit and (f.probability or 0.0) > 0.9999)
    text = client.get(f"/case/{CASE}/finding/{judged.id}").text
    assert '<dd class="figure">more than 99.9 %</dd>' in text
    assert judged.limit is not None
    assert bounds(judged.limit) in text


def test_findings_are_sieved_by_outcome_function_and_words(client: TestClient, quay: Path) -> None:
    """Counts are of what holds the words; an outcome or a function that is not there is refused by name."""
    assessment = assess(quay / CASE)
    place = f"/case/{CASE}/findings"
    whole = client.get(f"{place}.json").json()
    assert len(whole["findings"]) == sum(whole["counts"].values()) == len(assessment.findings)
    assert len(whole["not_tested"]) == len(assessment.not_tested)
    some = client.get(f"{place}.json?outcome=within&words=resistance protective").json()
    assert {(one["outcome"], one["id"]) for one in some["findings"]} == {
        (one.outcome, one.id)
        for one in assessment.findings
        if one.outcome == "within"
        and all(word in f"{one.title} {one.statement}".casefold() for word in ("resistance", "protective"))
    }
    function = next(one for one in assessment.functions if one.findings)
    told = client.get(f"{place}.json?function={function.id}").json()
    assert {one["id"] for one in told["findings"]} == set(function.findings)
    assert told["not_tested"] == []
    assert client.get(f"{place}?outcome=good").status_code == 404
    assert client.get(f"{place}?function=good").status_code == 404


def test_what_is_not_tested_leads_to_where_it_is_written_down(tmp_path: Path) -> None:
    """Each word to its form, filled with what is asked of it; each claim to its field; no file is named."""
    shelf = make_shelf(tmp_path / "shelf")
    assessment_of(make_case(shelf, "bare & new", "Not begun"))
    with TestClient(create_app(shelf), base_url="http://127.0.0.1") as client:
        settled(client)
        _see_ways(client, f"/case/{quote('bare & new')}")


def _see_ways(client: TestClient, case: str) -> None:
    text = client.get(f"{case}/findings").text.partition('id="not-tested"')[2].partition("</ul>")[0]
    assert "case.toml" not in text
    ways = {unescape(one) for one in ADDRESS.findall(text)}
    described = client.get(f"{case}/described").text
    claims = {one.partition("#")[2] for one in ways if "/described#" in one}
    assert claims >= {"of-claims-plug", "of-claims-country", "of-claims-cable-print", "of-claims-cross-section"}
    assert all(f'id="{one}"' in described for one in claims)
    forms = sorted(one for one in ways if "/record/" in one)
    assert all(client.get(one).status_code == 200 for one in forms[::7])
    shorted = next(one for one in forms if "condition.event=pilot%20short" in one)
    assert re.search(r'<option selected>pilot short|value="pilot short" checked', client.get(shorted).text)


def a_card_to_write_on(reader: TestClient, case: str) -> None:
    """Hold the card of a case against what it is told to hold."""
    told = reader.get(f"/case/{quote(case)}.json").json()["next_test"]
    text = unescape(reader.get(f"/case/{quote(case)}").text)
    places = [text.index(one) for one in told["cautions"]]
    for box in told["boxes"]:
        if box["recorded_as"] == "readings":
            form = f'action="/case/{quote(case)}/record/{quote(box["shows"])}"'
            assert max(places) < text.index(form)
            assert all(f'name="condition.{name}" value="{said}"' in text for name, said in box["conditions"].items())


def test_the_next_test_is_a_card_to_write_on(client: TestClient, tmp_path: Path) -> None:
    """Cautions before all, and for each reading a form that writes it down under the conditions of the plan."""
    a_card_to_write_on(client, CASE)
    make_case(make_shelf(tmp_path / "shelf"), "new & bare", "Not begun")
    with TestClient(create_app(tmp_path / "shelf"), base_url="http://127.0.0.1") as reader:
        settled(reader)
        a_card_to_write_on(reader, "new & bare")


def test_a_case_that_cannot_be_read_is_told_and_hides_no_other(client: TestClient) -> None:
    """The shelf lists it under what could not be used."""
    text = client.get("/").text

    assert "Could not be used: broken" in text
    assert "Skerrow 16" in text


@pytest.mark.parametrize(
    ("address", "message"),
    [
        ("/case/skerow-16", "unknown case &#39;skerow-16&#39;; did you mean &#39;skerrow-16&#39;?"),
        (f"/case/{CASE}/finding/nothing", "unknown finding &#39;nothing&#39;"),
        (f"/case/{CASE}/wave/nothing", "unknown capture &#39;nothing&#39;"),
        ("/case/%3Cscript%3E", "unknown case &#39;&lt;script&gt;&#39;"),
    ],
)
def test_what_is_not_there_is_said(client: TestClient, address: str, message: str) -> None:
    """A page with the message and the way back; the twin tells the same as JSON."""
    answer = client.get(address)
    assert answer.status_code == 404
    assert message in answer.text
    assert 'href="/"' in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    twin = client.get(f"{address}.json")
    assert twin.status_code == 404
    assert "unknown" in twin.json()["error"]


@pytest.mark.parametrize(
    "address",
    [
        "/case/%2e%2e",
        "/case/..%2f..%2fetc%2fpasswd",
        "/case/%2fetc",
        f"/case/{CASE}%2f..%2fbroken",
        f"/case/{CASE}/finding/..%2f..%2fshelf.toml",
        f"/case/{CASE}/wave/..%2f..%2fcase.toml",
        "/static/..%2fapp.py",
        "/static/%2e%2e/desk.py",
        "/case/skerrow-16%00",
    ],
)
def test_a_name_that_climbs_out_of_the_shelf_leads_nowhere(client: TestClient, address: str) -> None:
    """Names are looked up among those there are, never joined to a path."""
    answer = client.get(address)

    assert answer.status_code in (400, 404)
    for secret in ("root:", "import ", "format ="):
        assert secret not in answer.text


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
@pytest.mark.parametrize("address", ["/", f"/case/{CASE}", f"/case/{CASE}.json", "/shelf.json"])
def test_a_page_takes_no_method_of_an_action(client: TestClient, quay: Path, method: str, address: str) -> None:
    """Other methods are refused, and the shelf stays as it is."""
    before = files_below(quay)

    assert client.request(method, address).status_code == 405
    assert files_below(quay) == before


def test_reading_leaves_the_shelf_as_it_is(client: TestClient, quay: Path, pages: list[str]) -> None:
    """A page is made from the record; beside the cache, which may be deleted, nothing is written."""
    before = files_below(quay)
    for page in (pages[0], pages[1], pages[-1]):
        client.get(page)

    assert files_below(quay) == before


def test_a_place_that_is_no_shelf_is_refused_before_anything_listens(quay: Path, tmp_path: Path) -> None:
    """A case, or what is no folder: the message says what to give instead."""
    with pytest.raises(CaseError, match="is a case, not a shelf: give the folder above it"):
        create_app(quay / CASE)
    with pytest.raises(CaseError, match="is not a folder: give the folder that holds the cases"):
        create_app(tmp_path / "nowhere")


def test_there_is_no_other_door(client: TestClient) -> None:
    """No documentation pages, which would load from elsewhere."""
    for address in ("/docs", "/redoc", "/case/", "/static/", "/nothing"):
        assert client.get(address).status_code in (404, 405)


def test_a_folder_that_is_called_like_a_twin_is_told(tmp_path: Path) -> None:
    """Its page has no address of its own."""
    shelf = make_shelf(tmp_path / "shelf")
    make_case(shelf, "notes").rename(shelf / "notes.json")
    with TestClient(create_app(shelf), base_url="http://127.0.0.1") as reader:
        (told,) = reader.get("/shelf.json").json()["problems"]
    assert told["where"] == "notes.json"
    assert "rename the folder" in told["what"]
