"""Cable and heat on the page: what was found, what is asked of the lead, and the map with its pointer."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, Page, Route, expect

from coldpin.checks import all_checks
from coldpin.records.assessment import Assessment
from coldpin.web.pages.heating import CHECKS
from coldpin.workbench.drafting import assessment_of
from coldpin.workbench.lead_at import lead_at
from tests.web.yard import NAME

HERE = f"/case/{NAME}/heating"
PATIENCE = 60_000
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def made(yard: Path) -> Assessment:
    """The lead as assessed."""
    return assessment_of(yard / NAME)


@pytest.fixture
def page(browser: Browser, yard_address: str) -> Iterator[Page]:
    """The section with all of it there."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    opened = context.new_page()
    wrong: list[str] = []
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.goto(f"{yard_address}{HERE}")
    expect(opened.locator("#answer .saying")).to_be_visible(timeout=PATIENCE)
    expect(opened.locator(".heat-map canvas")).to_be_visible(timeout=PATIENCE)
    yield opened
    context.close()
    assert wrong == []


@pytest.fixture(scope="module")
def client(yard_app: FastAPI, yard_address: str) -> TestClient:
    """Asks without a browser; the case is assessed when it is given."""
    del yard_address  # the application runs
    asked, end = TestClient(yard_app, base_url="http://127.0.0.1"), time.monotonic() + 60
    while asked.get(f"{HERE}/map.json").status_code == 503 and time.monotonic() < end:
        time.sleep(0.05)
    return asked


def test_the_findings_told_are_those_of_checks_that_there_are() -> None:
    """No check of cable and heat was renamed away."""
    assert set(CHECKS) <= {check.id for check in all_checks()}


def test_the_page_is_one_record(client: TestClient, made: Assessment) -> None:
    """Every run, conductor and core of the assessment is in it, and what the lead does as it is."""
    told = client.get(f"{HERE}.json").json()

    assert [run["heated"]["rise"]["part"] for run in told["runs"]] == ["sheath", "plug"]
    named = {entry.id: entry.evidence.original_name for entry in made.entries if entry.evidence}
    assert [run["file"] for run in told["runs"]] == [named[run["heated"]["entry"]] for run in told["runs"]]
    assert not any(run["heated"]["file"] in client.get(HERE).text for run in told["runs"])
    assert [seen["conductor"] for seen in told["cable"]["conductors"]] == ["L", "N", "PE"]
    assert len(told["cores"]) == len(made.cable.cores)
    assert told["at"]["as_it_is"] is True
    assert {found["check"] for found in told["findings"]} <= set(CHECKS)
    assert told["findings"]


def test_a_question_by_its_address_is_answered_with_and_without_script(client: TestClient, made: Assessment) -> None:
    """The form's own address holds the answer of the workbench, the twin the same record."""
    asked = {"current": "20", "ambient": "30", "length": "12", "lies": "coiled"}
    reckoned = lead_at(made, **asked)
    assert reckoned.heat is not None

    text = client.get(HERE, params=asked).text
    assert reckoned.heat.statement in text
    assert 'value="20"' in text
    told = client.get(f"{HERE}/at.json", params=asked).json()
    assert told["at"]["heat"]["statement"] == reckoned.heat.statement
    assert told["at"]["length_m"] == 12.0


@pytest.mark.parametrize(
    "wrong", [{"current": "0"}, {"ambient": "nonsense"}, {"lies": "under a rug"}, {"length": "-1"}]
)
def test_what_cannot_be_asked_is_refused_in_words(client: TestClient, wrong: dict[str, str]) -> None:
    """With a status that says whose fault it is."""
    answer = client.get(f"{HERE}/at.json", params=wrong)
    assert answer.status_code in (404, 422)
    assert answer.json()["error"]


def test_figures_are_the_reports_own(client: TestClient) -> None:
    """Curve, metal and map as drawings; one that is not there is named."""
    told = client.get(f"{HERE}.json").json()
    addresses = [told["map"]["address"], told["runs"][0]["figure"]["address"], told["cores"][0]["figure"]["address"]]
    for address in addresses:
        drawn = client.get(address)
        assert drawn.headers["content-type"].startswith("image/svg+xml")
        assert "<svg" in drawn.text
    assert client.get(f"{HERE}/run/nothing.svg").status_code == 404
    assert client.get(f"{HERE}/core/9.svg").status_code == 404
    assert client.get(f"{HERE}/run/nothing.json").status_code == 404


def test_a_run_by_itself(client: TestClient) -> None:
    """Its page tells end, time constant and stop values, its twin holds the chart."""
    key = client.get(f"{HERE}.json").json()["runs"][0]["key"]
    text = client.get(f"{HERE}/run/{key}").text
    assert "Time constant" in text
    assert "Stop the test at" in text or "Reading at which to stop" in text
    chart = client.get(f"{HERE}/run/{key}.json").json()["run"]["heated"]["rise"]["chart"]
    assert len(chart["time_s"]) == len(chart["residual_k"])


def saying(page: Page) -> str:
    """What the answer says."""
    return page.locator("#answer .saying").inner_text()


def reckoned(made: Assessment, page: Page) -> str:
    """What the workbench says of what stands in the form."""
    fields = {name: page.locator(f"#{name}").input_value() for name in ("current", "ambient", "length", "lies")}
    heat = lead_at(made, **fields).heat
    assert heat is not None
    return heat.statement


def test_arrow_keys_move_the_pointer_and_the_server_answers(page: Page, made: Assessment) -> None:
    """Up and down the current, left and right the air; the figures shown are those of the workbench."""
    pane = page.locator(".heat-map .plot")
    pane.focus()
    for key in ("ArrowUp", "ArrowUp", "ArrowLeft", "Shift+ArrowDown"):
        pane.press(key)
    expect(page.locator("#current")).to_have_value("12.0")
    expect(page.locator("#ambient")).to_have_value("39.0")
    expect(page.locator("#answer .saying")).to_contain_text("At 12 A in air of 39 °C", timeout=PATIENCE)
    assert reckoned(made, page) in saying(page)


def test_the_mouse_moves_the_pointer_and_the_server_answers(page: Page, made: Assessment) -> None:
    """Pressed and drawn along, it asks for the place where it ends."""
    box = page.locator(".heat-map .u-over").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 0.3 * box["width"], box["y"] + 0.5 * box["height"])
    page.mouse.down()
    page.mouse.move(box["x"] + 0.45 * box["width"], box["y"] + 0.45 * box["height"], steps=5)
    page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.4 * box["height"])
    page.mouse.up()
    expect(page.locator("#ambient")).to_have_value("30.0")
    expect(page.locator("#answer .saying")).to_contain_text("in air of 30 °C", timeout=PATIENCE)
    current = float(page.locator("#current").input_value())
    expect(page.locator("#answer .saying")).to_contain_text(f"At {current:g} A", timeout=PATIENCE)
    assert reckoned(made, page) in saying(page)


def test_another_way_of_lying_draws_another_map(page: Page, made: Assessment) -> None:
    """The answer follows, and a slip is told beside the form without losing what was typed."""
    with page.expect_response(re.compile(r"map\.json\?lies=coiled")):
        page.locator("#lies").select_option("coiled")
    expect(page.locator("#answer .saying")).to_contain_text("coiled", timeout=PATIENCE)
    assert reckoned(made, page) in saying(page)
    page.locator("#current").fill("0")
    expect(page.locator("#answer .problem")).to_contain_text("must be above 0 A", timeout=PATIENCE)
    expect(page.locator("#current")).to_have_value("0")


INK = "() => getComputedStyle(document.querySelector('.heat-map .here.up')).borderLeftColor"


def test_what_was_typed_stays_when_the_case_is_assessed_anew(page: Page, made: Assessment) -> None:
    """The page is made anew around the form, and the new assessment is asked what stands in it."""
    page.locator("#current").fill("21")
    expect(page.locator("#answer .saying")).to_contain_text("At 21 A", timeout=PATIENCE)
    page.evaluate("() => { document.querySelector('#heat').dataset.old = 'yes'; }")
    page.evaluate("() => document.body.dispatchEvent(new Event('assessed'))")
    expect(page.locator("#heat[data-old]")).to_have_count(0, timeout=PATIENCE)
    expect(page.locator("#current")).to_have_value("21")
    expect(page.locator("#answer .saying")).to_contain_text("At 21 A", timeout=PATIENCE)
    expect(page.locator(".heat-map canvas")).to_be_visible(timeout=PATIENCE)
    assert reckoned(made, page) in saying(page)


def brightness(page: Page) -> float:
    """How bright the pointer is, whose ink is that of the text."""
    return sum(map(float, re.findall(r"\d+", page.evaluate(INK))[:3])) / 3.0


def test_figures_are_drawn_anew_in_the_dark(page: Page) -> None:
    """When the theme changes the canvases change with it, and the pointer stays where it was."""
    picture = "() => document.querySelector('.heat-map canvas').toDataURL()"
    light, ink = page.evaluate(picture), brightness(page)
    page.emulate_media(color_scheme="dark")
    page.wait_for_function(f"before => ({picture})() !== before", arg=light, timeout=PATIENCE)
    assert brightness(page) > ink + 80
    expect(page.locator(".heat-map .grip")).to_be_visible()


def test_a_curve_is_read_by_keys(page: Page) -> None:
    """Arrows go along the readings and the legend, hidden before, tells them; + shows a part, Escape all."""
    region = page.get_by_role("region", name="Curve 1: the sheath")
    expect(region.locator(".u-legend").first).to_be_hidden()
    region.focus()
    region.press("ArrowRight")
    expect(region.locator(".u-legend").first).to_be_visible()
    expect(region.locator(".u-legend").first).to_contain_text("°C")
    expect(region.locator(".u-legend").first).not_to_contain_text("read–")


def test_a_stretch_of_a_curve_is_drawn_along(page: Page) -> None:
    """A drag comes closer in both drawings, a double click shows the whole, as in a wave and a charge."""
    over = page.locator(".run .u-over").first
    over.scroll_into_view_if_needed()
    box = over.bounding_box()
    assert box is not None
    page.evaluate("() => document.fonts.ready.then(() => null)")
    drawn = "() => [...document.querySelector('.run').querySelectorAll('canvas')].map(one => one.toDataURL())"
    whole = page.evaluate(drawn)
    page.mouse.move(box["x"] + 0.2 * box["width"], box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 100, steps=4)
    page.mouse.up()
    page.wait_for_function(f"whole => ({drawn})().every((one, place) => one !== whole[place])", arg=whole)
    page.mouse.dblclick(box["x"] + 0.5 * box["width"], box["y"] + 100)
    page.wait_for_function(f"whole => ({drawn})().every((one, place) => one === whole[place])", arg=whole)


def test_a_figure_drawn_before_its_font_came_is_drawn_anew(browser: Browser, yard_address: str) -> None:
    """Its words are those of the page, not of whatever stood in until then."""
    page = browser.new_page()
    held: list[Route] = []
    page.route("**/*.woff2", lambda route: held.append(route))
    page.goto(f"{yard_address}{HERE}", wait_until="domcontentloaded")
    expect(page.locator(".run canvas").first).to_be_visible(timeout=PATIENCE)
    drawn = "() => document.querySelector('.run canvas').toDataURL()"
    before = page.evaluate(drawn)
    for route in held:
        route.continue_()
    page.unroute("**/*.woff2")
    page.evaluate("() => document.fonts.ready.then(() => null)")
    page.wait_for_function(f"before => ({drawn})() !== before", arg=before, timeout=PATIENCE)
    page.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_rule_of_access_is_broken(browser: Browser, yard_address: str, scheme: str) -> None:
    """In light and dark, with everything drawn; and a phone shows it without moving sideways."""
    context = browser.new_context(color_scheme=scheme, viewport=PHONE, has_touch=True)  # type: ignore[arg-type]  # plain values
    page = context.new_page()
    page.goto(f"{yard_address}{HERE}")
    expect(page.locator(".heat-map canvas")).to_be_visible(timeout=PATIENCE)
    expect(page.locator(".run canvas").first).to_be_visible(timeout=PATIENCE)
    result = Axe().run(page)
    assert [
        (rule["id"], [node["html"][:120] for node in rule["nodes"]]) for rule in result.response["violations"]
    ] == []
    assert page.evaluate("() => document.documentElement.scrollWidth") <= PHONE["width"]
    context.close()


def test_without_script_all_is_read_and_asked(browser: Browser, yard_address: str) -> None:
    """The figures are the report's, and the form is a form."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{yard_address}{HERE}")
    expect(page.locator(".heat-map img")).to_be_visible(timeout=PATIENCE)
    expect(page.locator(".run img").first).to_be_visible()
    page.locator("#current").fill("24")
    page.get_by_role("button", name="Reckon").click()
    expect(page.locator("#answer .saying")).to_contain_text("At 24 A")
    context.close()
