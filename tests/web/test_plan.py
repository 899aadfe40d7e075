"""The plan on the page: read, ticked by form and by glove, held until what is wanted is recorded, printed."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from urllib.parse import quote

import httpx2
import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, expect

from coldpin.casefile import Case
from coldpin.records.plain import from_json, to_json
from coldpin.records.tick import LineKind
from coldpin.web.app import create_app
from coldpin.web.pages.plan import PlanPage
from coldpin.web.remedies import by_page
from coldpin.web.templating import templates
from coldpin.workbench import record
from tests.checks.bench import pairs
from tests.pdf_reading import page_texts
from tests.web.serving import serving
from tests.workbench.quay import at, make_case, make_shelf

PATIENCE = 120.0
"""Seconds after which a test gives up."""
MADE = 120_000
"""Milliseconds after which a test gives up waiting for a plan."""
NAME = 'a & "b" <i>'
PLAN = f"/case/{quote(NAME, safe='')}/plan"
GLOVE_PX = 44


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf of cases with nothing recorded, one with a name that means something to a browser."""
    made = make_shelf(tmp_path_factory.mktemp("plan") / "shelf")
    make_case(made, NAME)
    make_case(made, "bench", "At the bench")
    make_case(made, "plain", "Plain")
    make_case(made, "card", "Card")
    return made


@pytest.fixture(scope="module")
def served(shelf: Path) -> Iterator[str]:
    """Where a browser finds it."""
    with serving(shelf) as place:
        yield place


@pytest.fixture(scope="module")
def client(shelf: Path) -> Iterator[TestClient]:
    """A reader of its pages, the plan made."""
    with TestClient(create_app(shelf), base_url="http://127.0.0.1") as reader:
        ready(reader)
        yield reader


def ready(reader: httpx2.Client, address: str = f"{PLAN}.json") -> PlanPage:
    """The page's record, when its plan is of the case as it stands."""
    end = time.monotonic() + PATIENCE
    while True:
        page = from_json(PlanPage, reader.get(address).text, where=address)
        if page.fresh and page.progress is not None:
            return page
        assert time.monotonic() < end, "the plan is not made"
        time.sleep(0.05)


def lines(page: PlanPage, test: str, kind: LineKind) -> list[str]:
    """The names of the lines of a kind."""
    assert page.progress is not None
    one = next(one for one in page.progress.tests if one.test.test == test)
    return [line.id for line in one.lines if line.kind is kind]


def test_the_plan_is_read_with_its_cautions_before_its_steps(client: TestClient) -> None:
    """Every test with its number; what is dangerous is told before what is done; live lines say what a tick is."""
    page = ready(client)
    assert page.progress is not None
    text = unescape(client.get(PLAN).text)
    for one in page.progress.tests:
        part = text[text.index(f'id="test-{one.test.test}"') :].partition("</details>")[0]
        for caution in one.test.cautions:
            assert part.index(caution) < part.index("<h4>")
        live = sum(line.kind in LineKind for line in one.lines) if one.test.live else 0
        assert part.count("A reminder, not an interlock.") == live, one.test.test
        assert all(by_page(step) in part for step in one.test.steps)
    assert to_json(page) == client.get(f"{PLAN}.json").text


def test_cautions_come_before_the_holds_of_the_plan_which_stand_in_one_box(client: TestClient) -> None:
    """However many tests hold the work."""
    page = ready(client)
    assert page.progress is not None
    holds = ("The earth is not shown.", "The pins are live.")
    progress = replace(page.progress, plan=replace(page.progress.plan, stopped=holds))
    text = unescape(templates().get_template("plan.html").render(page=replace(page, progress=progress)))
    before_tests = text.partition('<details class="test')[0]
    assert all(before_tests.index(one) < before_tests.index(holds[0]) for one in progress.plan.cautions)
    box = before_tests.partition('<div class="hold"')[2]
    assert all(one in box.partition("</div>")[0] for one in holds)
    assert '<div class="hold"' not in box


def test_the_card_of_the_next_test_asks_for_all_that_its_reading_needs(client: TestClient) -> None:
    """What the card alone asks for is written down, with the instrument that makes its ±."""
    at = "/case/card"
    end = time.monotonic() + PATIENCE
    while "What to test next" not in (text := client.get(at).text):
        assert time.monotonic() < end, "the case is not assessed"
        time.sleep(0.05)
    card = text[text.index('<form class="writing box"') :].partition("</form>")[0]
    fields = set(re.findall(r'name="([^"]+)"', card)) | set(re.findall(r'<option value="(meter)"', card))
    assert {"reading", "supply_voltage", "instrument", "meter"} <= fields
    form = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', card))
    asked = {"reading": "0.02 V", "supply_voltage": "24.0 V ± 0.1 V", "instrument": "meter"}
    sent = client.post(f"{at}/record/output%20with%20nothing%20connected", data=form | asked)
    assert sent.status_code < 400, sent.text


def test_a_line_is_ticked_by_form_by_script_and_by_program(client: TestClient, shelf: Path) -> None:
    """A form is sent back to the test, a script gets the test anew, a program the tick; all of it is on the disk."""
    first, second, third = lines(ready(client), "live-pins-low", LineKind.STEP)
    form = {"who": "Ines", "line": first}
    sent = client.post(f"{PLAN}/tick", data=form, follow_redirects=False)
    assert (sent.status_code, sent.headers["location"]) == (303, f"{PLAN}#test-live-pins-low")
    piece = client.post(f"{PLAN}/tick", data=form | {"line": second}, headers={"hx-request": "true"})
    assert piece.text.count('aria-pressed="true"') == 2
    told = client.post(f"{PLAN}/tick", data=form | {"line": third}, headers={"accept": "application/json"}).json()
    assert (told["who"], told["test"], told["taken_back"]) == ("Ines", "live-pins-low", False)
    assert [(one.who, one.words[:8]) for one in Case(shelf / NAME).ticks().ticks] == [
        ("Ines", "The plug"),
        ("Ines", "Read bet"),
        ("Ines", "Turn the"),
    ]
    for line in (first, second, third):
        client.post(f"{PLAN}/untick", data=form | {"line": line})
    assert client.get(PLAN).text.count('aria-pressed="true"') == 0


def test_what_waits_is_not_ticked(client: TestClient) -> None:
    """A script is told beside the test, a program by status; a line that is not there is not found."""
    line = lines(ready(client), "live-pins", LineKind.STEP)[0]
    form = {"who": "Ines", "line": line}
    piece = client.post(f"{PLAN}/tick", data=form, headers={"hx-request": "true"})
    assert piece.status_code == 422
    assert "this waits, it waits for the dead wiring map" in piece.text
    assert 'id="test-live-pins"' in piece.text
    told = client.post(f"{PLAN}/tick", data=form, headers={"accept": "application/json"})
    assert told.status_code == 422
    nothing = client.post(f"{PLAN}/tick", data=form | {"line": "no.such.line"}, headers={"accept": "application/json"})
    assert nothing.status_code == 404
    nobody = client.post(
        f"{PLAN}/tick",
        data={"who": " ", "line": lines(ready(client), "wiring", LineKind.HOLD)[0]},
        headers={"accept": "application/json"},
    )
    assert "who ticks is not said" in nobody.json()["error"]


def test_a_step_that_waits_names_its_hold_point_and_leads_there(browser: Browser, served: str) -> None:
    """Beside it, to whoever listens, on a phone and on paper; when all are ticked, no step says it any more."""
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(f"{served}/case/plain/plan")
    wiring = page.locator("#test-wiring")
    expect(wiring).to_be_attached(timeout=MADE)
    wiring.locator("summary").click()
    step = wiring.locator("ol button").first
    said = page.locator(f"[id='{step.get_attribute('aria-describedby')}']")
    hold = wiring.locator("ul.lines").first.get_by_role("button").first
    expect(said).to_contain_text("Waits for the hold point")
    expect(said).to_contain_text("tick them first")
    said.get_by_role("link").press("Enter")
    expect(hold).to_be_focused()
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    page.emulate_media(media="print")
    expect(said).to_be_visible()
    page.emulate_media(media="screen")
    live = page.locator("#test-live-pins")
    told = live.locator("ol button").first.get_attribute("aria-describedby")
    assert "this test waits" in (page.locator(f"[id='{told}']").text_content() or "")
    page.close()


def test_a_claim_to_be_written_down_is_named_once_and_leads_to_its_field(client: TestClient) -> None:
    """In the words of the page Described, not in those of a file."""
    ready(client)
    text = unescape(client.get(PLAN).text)
    described = client.get(PLAN.replace("/plan", "/described")).text
    line = next(one for one in re.findall(r'<div class="written">.*', text) if "as it stands on the specimen" in one)
    ways = dict(re.findall(r'href="([^"]+)">([^<]+)</a>', line))
    assert "Print on the cable" in ways.values()
    assert all(f'id="{one.partition("#")[2]}"' in described for one in ways)
    assert line.count("Described") == 0
    assert "Described in Described" not in text


def test_the_plan_is_cut_to_the_time_there_is_and_a_test_left_out(client: TestClient) -> None:
    """Minutes, one place, a test that cannot be done; what is typed wrongly is told."""
    page = ready(client, f"{PLAN}.json?minutes=30&one_place=true")
    assert page.progress is not None
    assert page.progress.plan.minutes <= 30
    assert page.progress.plan.left_out > 20
    without = ready(client, f"{PLAN}.json?without=wiring&without=cable-rating")
    assert without.progress is not None
    assert {"wiring", "cable-rating"}.isdisjoint(one.test.test for one in without.progress.tests)
    assert [one.back for one in without.left_out] == ["?without=cable-rating", "?without=wiring"]
    assert client.get(f"{PLAN}.json?minutes=soon").status_code == 422
    assert client.get(f"{PLAN}.json?minutes={'9' * 400}").status_code == 422
    assert client.get(f"{PLAN}.json?without=nothing").status_code == 404


def test_the_sheet_is_the_plan(client: TestClient) -> None:
    """A PDF to be written on, of the tests that are wanted."""
    ready(client)
    answer = client.get(f"{PLAN}/sheet.pdf?minutes=30")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == 'inline; filename="bench-plan.pdf"'
    text = " ".join(" ".join(page_texts(answer.content)).split())
    assert "Pins live with nothing connected, at extra-low voltage" in text
    assert "Fault loop" not in text


def test_a_plan_that_is_not_made_yet_keeps_nobody_waiting(tmp_path: Path) -> None:
    """The page is there at once, the sheet says when to ask again."""
    made = make_shelf(tmp_path / "shelf")
    make_case(made)
    with TestClient(create_app(made), base_url="http://127.0.0.1") as reader:
        page = from_json(PlanPage, reader.get("/case/skerrow-16/plan.json").text, where="plan")
        assert page.progress is None
        assert page.work is not None
        asked = reader.get("/case/skerrow-16/plan/sheet.pdf", headers={"accept": "application/json"})
        assert (asked.status_code, asked.headers["retry-after"]) == (503, "1")


def test_the_bench_is_worked_by_one_key_and_what_is_recorded_opens_the_next(
    browser: Browser, served: str, shelf: Path
) -> None:
    """Tick by keyboard, hold point, record, unblocked: in two tabs, with targets for a glove."""
    case = shelf / "bench"
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.goto(f"{served}/case/bench/plan")
    expect(page.locator("#test-wiring")).to_be_attached(timeout=MADE)
    page.keyboard.press("n")
    expect(page.locator("#test-live-pins-low button").first).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#test-live-pins-low .line.done")).to_have_count(1)
    expect(page.locator("#test-live-pins-low button").first).to_be_focused()
    page.get_by_role("button", name="Next open step").tap()
    expect(page.locator("#test-live-pins-low button").nth(1)).to_be_focused()

    other = context.new_page()
    other.set_default_timeout(15_000)
    other.goto(f"{served}/case/bench/plan")
    expect(other.locator("#test-live-pins-low .line.done")).to_have_count(1)
    wiring = other.locator("#test-wiring")
    wiring.locator("summary").tap()
    expect(wiring.locator("ol button").first).to_be_disabled()
    for hold in wiring.locator("ul.lines").first.get_by_role("button").all():
        hold.tap()
        expect(hold).to_have_attribute("aria-pressed", "true")
    expect(wiring.locator("ol button").first).to_be_enabled()
    small = f"all => all.filter(e => e.offsetParent && e.offsetHeight < {GLOVE_PX}).map(e => e.textContent)"
    assert other.locator(".line > button, .line a.button, .nextbar button").evaluate_all(small) == []

    live = page.locator("#test-live-pins")
    expect(live).to_contain_text("Hold: this test waits")
    record(case, shows="wiring map", who="Ines", pairs=pairs(), made=at(0), now=at(0))
    readings = ("52 mΩ", "53 mΩ", "52 mΩ")
    record(case, shows="earth resistance", who="Ines", readings=readings, instrument="meter", made=at(1), now=at(1))
    for word in ("mains to pilot insulation", "mains to housing insulation"):
        conditions = {"test voltage": "500 V"}
        record(case, shows=word, who="Ines", readings=("480 MΩ ± 20 MΩ",), conditions=conditions, made=at(2), now=at(2))
    page.evaluate("() => document.body.dispatchEvent(new Event('seen'))")  # as when a tab is looked at again
    expect(live).not_to_contain_text("Hold: this test waits", timeout=MADE)
    expect(page.locator(".answered summary")).to_contain_text("tests have their answer")
    live.locator("summary").tap()
    expect(live.locator("ul.lines button").first).to_be_enabled()
    assert len(Case(case).ticks().ticks) == 4
    context.close()


def test_without_script_a_line_is_ticked(browser: Browser, served: str) -> None:
    """A plain form, and the page comes back at its test."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(15_000)
    with httpx2.Client(base_url=served) as waiting:
        ready(waiting, "/case/plain/plan.json")
    page.goto(f"{served}/case/plain/plan")
    page.locator("#test-live-pins-low button").first.click()
    expect(page.locator("#test-live-pins-low .line.done")).to_have_count(1)
    assert page.url.endswith("#test-live-pins-low")
    context.close()
