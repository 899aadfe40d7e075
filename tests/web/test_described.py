"""case.toml on the page, and what is tried in a browser: two tabs and an editor beside them keep all."""

from __future__ import annotations

from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, Page, expect

from coldpin.casefile import open_case
from coldpin.report.times import moment
from coldpin.web.app import create_app
from coldpin.web.remedies import by_page
from coldpin.workbench import record
from coldpin.workbench.describing import describe_case
from tests.web.serving import serving
from tests.workbench.quay import at

CASE = "/case/skerrow-16"
HERE = f"{CASE}/described"
PATIENCE = 120.0
"""Seconds after which a test gives up waiting for an assessment."""
SOON = 15_000
"""Milliseconds after which what is to be seen is given up."""
PROGRAM = {"accept": "application/json"}


@pytest.fixture(scope="module")
def shelf(filled: Path) -> Path:
    """A shelf of its own, as its case is edited."""
    return filled


@pytest.fixture(scope="module")
def client(shelf: Path) -> Iterator[TestClient]:
    """A program that reads and edits it."""
    with TestClient(create_app(shelf), base_url="http://127.0.0.1") as reader:
        yield reader


@pytest.fixture(scope="module")
def place(shelf: Path) -> Iterator[str]:
    """Where a server shows that shelf."""
    with serving(shelf) as address:
        yield address


@pytest.fixture
def tab(browser: Browser) -> Iterator[Page]:
    """A tab that complains of nothing."""
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(SOON)
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    context.close()
    assert errors == []


def test_every_field_is_on_the_page_with_its_help(client: TestClient, shelf: Path) -> None:
    """And in its twin, as the file says now."""
    told = describe_case(shelf / "skerrow-16")
    page, twin = unescape(client.get(HERE).text), client.get(f"{HERE}.json").json()
    assert twin["title"] == told.title
    for part in told.parts:
        for field in part.fields:
            assert f'name="key" value="{field.key}"' in page
            assert by_page(field.help) in page
    for one in told.lists:
        assert f'action="{HERE}/{one.key}"' in page
    assert client.get("/case/nothing/described").status_code == 404


def test_where_it_is_now_is_asked_for_again_after_work_on_it(client: TestClient, shelf: Path) -> None:
    """With the day of both beside it, and the way to say it; said again, nothing more is asked."""
    case = shelf / "skerrow-16"

    def told(shows: str, minutes: float, **conditions: str) -> str:
        when = at(minutes)
        record(case, shows=shows, who="Ines", conditions=conditions, note="as told", made=when, now=when)
        text = unescape(client.get(HERE).text)
        return next(line for line in text.splitlines() if "Where it is now: " in line)

    kept = told("where it is", 10_000, place="cupboard 2")
    assert "cupboard 2" in kept
    assert f"said {moment(at(10_000).isoformat())}" in kept
    assert "in what state?" not in kept
    asked = told("opened", 10_010, how="screws")
    assert f"(last 'opened', {moment(at(10_010).isoformat())}): where is it now, and in what state?" in asked
    assert f'href="{CASE}/record/where%20it%20is"' in asked
    assert "in what state?" not in told("where it is", 10_020, place="box 3")


def test_a_value_is_kept_a_second_one_is_told_and_can_be_put_in_its_place(client: TestClient, shelf: Path) -> None:
    """A form is sent on, a script gets the line anew, a program the field; a conflict offers both."""
    serial = {"key": "specimen.serial", "old": "", "new": "B 17"}
    form = client.post(HERE, data=serial, follow_redirects=False, headers={"accept": "text/html"})
    assert (form.status_code, form.headers["location"]) == (303, f"{HERE}#of-specimen-serial")
    script = {"accept": "text/html", "hx-request": "true"}
    piece = client.post(HERE, data=serial | {"old": "B 17", "new": "B 18"}, headers=script)
    assert (piece.status_code, piece.headers["hx-retarget"]) == (200, "#of-specimen-serial")
    assert 'name="old" value="B 18"' in piece.text
    late = client.post(HERE, data=serial | {"old": "B 17", "new": "B 19"}, headers=script)
    assert late.status_code == 409
    text = unescape(late.text)
    assert ("B 18" in text, "B 19" in text, 'name="old" value="B 18"' in text) == (True, True, True)
    told = client.post(HERE, data=serial | {"old": "B 17", "new": "B 19"}, headers=PROGRAM)
    assert (told.status_code, told.json()["now"], told.json()["wanted"]) == (409, "B 18", "B 19")
    mine = client.post(HERE, data=serial | {"old": told.json()["seen"], "new": "B 19"}, headers=PROGRAM)
    assert (mine.status_code, mine.json()["text"]) == (200, "B 19")
    assert open_case(shelf / "skerrow-16").description().specimen.serial == "B 19"


@pytest.mark.parametrize(
    ("sent", "status", "told"),
    [
        ({"key": "claims.rated_current", "old": "16 A", "new": "sixteen"}, 422, "write the value first"),
        ({"key": "title", "old": "Skerrow 16", "new": ""}, 422, "title is empty"),
        ({"key": "format", "old": "coldpin.case/1", "new": "x"}, 404, "unknown key 'format'"),
        ({"key": "../shelf.toml", "old": "", "new": "x"}, 404, "unknown key"),
    ],
)
def test_what_cannot_be_written_is_refused_beside_the_field(
    client: TestClient, shelf: Path, sent: dict[str, str], status: int, told: str
) -> None:
    """In words, and the file is as it was."""
    before = (shelf / "skerrow-16" / "case.toml").read_bytes()
    answer = client.post(HERE, data=sent, headers={"hx-request": "true", "accept": "text/html"})
    assert (answer.status_code, told in unescape(answer.text)) == (status, True)
    assert (shelf / "skerrow-16" / "case.toml").read_bytes() == before


def test_rows_come_change_and_go(client: TestClient, shelf: Path) -> None:
    """By names and values in pairs; what somebody else changed meanwhile is told with both."""
    before = (shelf / "skerrow-16" / "case.toml").read_bytes()
    row = {"text": "Not for the yard.", "who": "Ada", "use": ""}

    def pairs(**changed: str) -> dict[str, list[str]]:
        held = row | changed
        return {"field": list(held), "value": list(held.values())}

    added = client.post(f"{HERE}/opinions", data=pairs(), headers=PROGRAM)
    assert (added.status_code, len(added.json()["rows"])) == (200, 1)
    seen = added.json()["rows"][0]["seen"]
    changed = client.post(f"{HERE}/opinions", data=pairs(who="Bo") | {"old": seen}, headers=PROGRAM)
    assert changed.status_code == 200
    late = client.post(
        f"{HERE}/opinions", data=pairs(who="Cy") | {"old": seen}, headers={"hx-request": "true", "accept": "text/html"}
    )
    assert late.status_code == 409
    assert ("Who: Bo" in late.text, "Who: Cy" in late.text) == (True, True)
    assert client.post(f"{HERE}/opinions", data={"field": "text"}, headers=PROGRAM).status_code == 422
    assert client.post(f"{HERE}/nowhere", data=pairs(), headers=PROGRAM).status_code == 404
    now = changed.json()["rows"][0]["seen"]
    gone = client.post(f"{HERE}/opinions", data={"old": now, "remove": "true"}, headers={"accept": "text/html"})
    assert gone.status_code == 200
    assert (shelf / "skerrow-16" / "case.toml").read_bytes() == before


def test_two_tabs_and_an_editor_edit_one_case(browser: Browser, tab: Page, place: str, shelf: Path) -> None:
    """Different fields all hold; the same field shows both, and the person chooses."""
    other = browser.new_page()
    other.set_default_timeout(SOON)
    for page in (tab, other):
        page.goto(f"{place}{HERE}")
    batch, model = tab.get_by_label("Batch", exact=True), other.get_by_label("Model", exact=True)
    keep = tab.get_by_role("button", name="Keep Batch")
    expect(keep).to_be_hidden()
    batch.fill("07")
    expect(keep).to_be_visible()
    keep.click()
    expect(tab.locator("#of-specimen-batch .kept")).to_have_text("Kept.")
    model.fill("16 blue")
    model.press("Enter")
    expect(other.locator("#of-specimen-model .kept")).to_have_text("Kept.")
    path = shelf / "skerrow-16" / "case.toml"
    path.write_text(path.read_text("utf-8").replace('seller = ""', 'seller = "a stall"  # on the quay'), "utf-8")

    other.get_by_label("Batch", exact=True).fill("70")
    other.get_by_label("Batch", exact=True).press("Enter")
    conflict = other.locator("#of-specimen-batch .conflict")
    expect(conflict).to_contain_text("07")
    expect(conflict).to_contain_text("70")
    assert open_case(path.parent).description().specimen.batch == "07"
    conflict.get_by_role("button", name="Write mine in its place").click()
    expect(other.locator("#of-specimen-batch .kept")).to_have_text("Kept.")

    held = open_case(path.parent).description().specimen
    assert (held.batch, held.model, held.seller) == ("70", "16 blue", "a stall")
    assert "# on the quay" in path.read_text("utf-8")
    tab.locator("#of-specimen-seller-new").fill("b")
    tab.locator("#of-specimen-seller-new").press("Enter")
    expect(tab.locator("#of-specimen-seller .conflict")).to_contain_text("a stall")
    expect(tab.locator("#of-specimen-seller .conflict")).to_contain_text("both are kept")
    other.close()


def test_an_assumption_moves_what_stands_beside_the_record(tab: Page, place: str, shelf: Path) -> None:
    """As one types; kept with a reason it is recorded, without one it is refused where it was to be kept."""
    tab.goto(f"{place}{CASE}/risk/touch-live-pins")
    expect(tab.get_by_role("heading", name="The chain, step by step")).to_be_visible(timeout=int(1e3 * PATIENCE))
    tab.locator("#way-to-earth--best").fill("1/8")
    expect(tab.locator("#effect")).to_contain_text("The level of this specimen")
    expect(tab.locator(".cells .tried")).to_have_count(1)
    tab.locator("#way-to-earth--low").fill("1/2")
    expect(tab.locator("#effect .problem")).to_contain_text("probabilities rise from low to high")
    tab.locator("#way-to-earth--low").fill("1/10")
    expect(tab.locator("#effect .problem")).to_have_count(0)
    tab.get_by_role("button", name="Keep", exact=True).click()
    expect(tab.locator("#kept")).to_contain_text("no source")
    assert open_case(shelf / "skerrow-16").description().estimates == ()
    tab.get_by_label("Where it is from, or why").fill("counted on the quay")
    with tab.expect_event("load"):
        tab.get_by_role("button", name="Keep", exact=True).click()
    (own,) = open_case(shelf / "skerrow-16").description().estimates
    assert (own.step, own.best, own.source) == ("way-to-earth", 0.125, "counted on the quay")


def test_another_use_is_answered_as_one_types_and_added(tab: Page, place: str, shelf: Path) -> None:
    """Beside the recorded one; the way in is a link beside it."""
    tab.goto(f"{place}{CASE}/uses")
    tab.get_by_role("link", name="What if … for Driveway, in rain").click(timeout=int(1e3 * PATIENCE))
    expect(tab.locator("#answer thead").first).to_contain_text("As recorded")
    tab.get_by_label("Rating of the circuit").fill("6.5 A")
    expect(tab.locator("#answer")).to_contain_text("6.5 A")
    tab.get_by_label("Hours at a time").fill("all night")
    expect(tab.locator("#answer .problem")).to_contain_text("all night")
    tab.get_by_label("Hours at a time").fill("8 h")
    tab.get_by_label("Name", exact=True).fill("slipway")
    tab.get_by_role("button", name="Add to the case").click()
    expect(tab.locator("#kept")).to_contain_text("no reason")
    tab.get_by_label("Why it is asked").fill("a visitor asked")
    with tab.expect_event("load"):
        tab.get_by_role("button", name="Add to the case").click()
    (held,) = open_case(shelf / "skerrow-16").description().conditions_of_use
    assert (held.name, held.supply_rating, held.hours) == ("slipway", "6.5 A", "8 h")
