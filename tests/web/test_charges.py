"""Charges on the page: the log of any part of one, marks put and corrected on the timeline, standby."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, Page, expect

from coldpin.checks import all_checks
from coldpin.records.assessment import Problem
from coldpin.web.desk import Desk
from coldpin.web.pages.charge import CHECKS
from coldpin.workbench.drafting import assessment_of
from coldpin.workbench.listing import list_entries
from tests.web.yard import LOST_S, NAME

CASE = f"/case/{NAME}"
PATIENCE = 60_000
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def here(yard: Path) -> str:
    """The address of the charge."""
    (log,) = (one.id for one in list_entries(yard / NAME).all if one.shows == "charging log")
    return f"{CASE}/charge/{log}"


def asked_until(client: TestClient, address: str, status: int = 200) -> dict[str, Any]:
    """What an address tells once what it waits for is done."""
    end = time.monotonic() + 60
    while (answer := client.get(address)).status_code in (202, 503) and time.monotonic() < end:
        time.sleep(0.05)
    assert answer.status_code == status, answer.text
    told: dict[str, Any] = answer.json()
    return told


@pytest.fixture(scope="module")
def client(yard_app: FastAPI, yard_address: str, here: str) -> TestClient:
    """Asks without a browser, when the case is assessed."""
    del yard_address  # the application runs
    asked = TestClient(yard_app, base_url="http://127.0.0.1")
    asked_until(asked, f"{here}.json")
    return asked


def test_the_findings_told_are_those_of_checks_that_there_are() -> None:
    """No check of a charge was renamed away."""
    assert set(CHECKS) <= {check.id for check in all_checks()}


def test_the_list_tells_each_charge_and_the_idle_unit(client: TestClient) -> None:
    """Energy, offer, supply lost; power with what it comes to in a year, the meter's accuracy beside it."""
    told = client.get(f"{CASE}/charges.json").json()
    assert len(told["charges"]) == 1
    (idle,) = told["standby"]
    assert idle["accuracy"] == "1 % + 0.01 W"
    assert idle["reading"]["yearly_wh"]["value"] == pytest.approx(0.82 * 8760.0, rel=1e-3)
    text = client.get(f"{CASE}/charges").text
    (charge,) = told["charges"]
    assert charge["file"] not in text, "it is called as it was where it came from"
    assert f">{told['files'][charge['entry']]}</a>" in text
    assert f"<p>{told['files'][charge['entry']]}" in client.get(f"{CASE}/charge/{charge['entry']}").text
    assert "Power of the idle unit" in text
    assert "1 % + 0.01 W" in text


def test_what_could_not_be_used_of_a_charge_is_told_where_charges_are(yard: Path, here: str) -> None:
    """A problem that names an entry of a charge is one of this section; others are told elsewhere."""
    log = here.rpartition("/")[2]
    mine, other = Problem(where=f"entry {log}", what="gone"), Problem(where="case.toml", what="odd")
    desk = Desk(shelf=yard)
    try:
        made = replace(assessment_of(yard / NAME), problems=(mine, other))
        assert desk.problems(made, yard / NAME, ("charging log",)) == (mine,)
        assert desk.problems(made, yard / NAME, ("heating log",)) == ()
    finally:
        desk.works.close()


@pytest.mark.hand("0.82 W for 8760 h at 0.50 EUR for each kilowatt-hour")
def test_a_year_of_standby_at_another_price(client: TestClient) -> None:
    """Reckoned again from what was read; what is no price is refused."""
    (idle,) = client.get(f"{CASE}/charges.json", params={"price": "0.50 EUR/kWh"}).json()["standby"]
    assert idle["reading"]["yearly_cost"]["value"] == pytest.approx(3.59, abs=0.01)
    assert client.get(f"{CASE}/charges.json", params={"price": "cheap"}).status_code == 422


def test_any_part_of_the_log_is_told(client: TestClient, here: str) -> None:
    """Extremes of the whole, rows of a part, other quantities; what is not there is refused in words."""
    whole = asked_until(client, f"{here}/trace.json?stretches=100")
    assert (whole["exact"], whole["unit"], len(whole["time_s"])) == (False, "A", 100)
    part = asked_until(client, f"{here}/trace.json?what=voltage&start=695&end=705&stretches=100")
    assert part["exact"] is True
    assert part["unit"] == "V"
    assert 0.0 in part["low"]
    for wrong in ("start=5&end=1", "stretches=0", "stretches=99999", "start=nan", "what=weather", "start=1e12"):
        assert client.get(f"{here}/trace.json?{wrong}").status_code == 422, wrong
    assert client.get(f"{CASE}/charge/nothing").status_code == 404


def test_a_program_marks_and_corrects(client: TestClient, here: str, yard: Path) -> None:
    """The record of the entry comes back; a slip is told and nothing written."""
    made = client.post(
        f"{here}/mark",
        data={"event": "unlock", "at": "1390 s ± 1 s", "who": "Ines"},
        headers={"accept": "application/json"},
    )
    assert made.status_code == 201
    entry = made.json()["id"]
    moved = client.post(
        f"{here}/mark/{entry}",
        data={"at": "1391 s ± 1 s", "who": "Ines", "reason": "read anew"},
        headers={"accept": "application/json"},
    )
    assert moved.json()["replaces"] == entry
    count = len(list_entries(yard / NAME).all)
    for data in ({"event": "unlock", "at": "soon", "who": "I"}, {"event": "lunch", "at": "1 s", "who": "I"}):
        assert client.post(f"{here}/mark", data=data, headers={"accept": "application/json"}).status_code in (404, 422)
    assert (
        client.post(
            f"{here}/mark/{entry}",
            data={"at": "1 s", "who": "I", "reason": "x"},
            headers={"accept": "application/json"},
        ).status_code
        == 404
    )
    assert len(list_entries(yard / NAME).all) == count


def test_a_mark_by_a_clock_that_nobody_aligned_is_told_as_not_placed(
    client: TestClient, here: str, yard_address: str, browser: Browser
) -> None:
    """Last of the marks, with what to do, no flag on the timeline, and its time still to be corrected."""
    asked = {"accept": "application/json"}
    data = {"event": "unlock", "at": "33 s ± 1 s", "who": "Ines", "clock": "phone"}
    entry = client.post(f"{here}/mark", data=data, headers=asked).json()["id"]
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]  # plain dict
    opened = context.new_page()
    opened.goto(f"{yard_address}{here}")
    expect(opened.locator(".timeline[data-shows]")).to_be_visible(timeout=PATIENCE)
    last = opened.locator("#all-marks > li").last
    expect(last.locator("summary")).to_contain_text(
        "unlock not placed: the clock 'phone' is not aligned with that of the log: mark an event that both see "
        "(breaker off, breaker on) or state the offset"
    )
    marks = opened.locator("#all-marks > li").count()
    assert opened.locator("#all-marks > li[data-at]").count() == opened.locator(".timeline .mark").count() == marks - 1
    last.locator("summary").click()
    expect(last.get_by_label("Offset of phone")).to_be_visible()
    assert opened.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    context.close()
    back = {"at": "33 s ± 1 s", "who": "Ines", "reason": "another car", "back": "yes"}
    assert client.post(f"{here}/mark/{entry}", data=back, headers=asked).status_code < 400


@pytest.fixture
def page(browser: Browser, yard_address: str, here: str) -> Iterator[Page]:
    """The charge with its timeline drawn from the rows."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    opened = context.new_page()
    wrong: list[str] = []
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.goto(f"{yard_address}{here}")
    expect(opened.locator(".timeline[data-shows]")).to_be_visible(timeout=PATIENCE)
    yield opened
    context.close()
    assert wrong == []


def test_zooming_turns_extremes_into_rows(page: Page) -> None:
    """By button, key, drag, wheel; moved with shift; and back to all by a double click, which leaves cursors alone."""
    figure, region = page.locator(".timeline"), page.get_by_role("region", name="The charge over time")
    region.focus()
    for _ in range(4):
        page.get_by_role("button", name="Closer").click()
    expect(figure).to_have_attribute("data-shows", "rows", timeout=PATIENCE)
    page.get_by_role("button", name="Whole").click()
    expect(figure).to_have_attribute("data-shows", "extremes", timeout=PATIENCE)
    box = page.locator(".timeline .u-over").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 0.45 * box["width"], box["y"] + 200)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.52 * box["width"], box["y"] + 200, steps=4)
    page.mouse.up()
    expect(figure).to_have_attribute("data-shows", "rows", timeout=PATIENCE)
    page.keyboard.down("Shift")
    page.mouse.down()
    page.mouse.move(box["x"] + 0.4 * box["width"], box["y"] + 200, steps=4)
    page.mouse.up()
    page.keyboard.up("Shift")
    expect(figure).to_have_attribute("data-shows", "rows")
    page.mouse.click(box["x"] + 0.5 * box["width"], box["y"] + 200)
    read = page.locator(".timeline .read")
    expect(read).to_contain_text("A 0:")
    picked = read.inner_text()
    page.mouse.dblclick(box["x"] + 0.4 * box["width"], box["y"] + 200)
    expect(figure).to_have_attribute("data-shows", "extremes", timeout=PATIENCE)
    assert read.inner_text().split(":")[:3] == picked.split(":")[:3], "the double click leaves the cursor where it was"
    for _ in range(16):
        page.mouse.wheel(0, -100)
    expect(figure).to_have_attribute("data-shows", "rows", timeout=PATIENCE)
    region.press("Escape")
    expect(figure).to_have_attribute("data-shows", "extremes", timeout=PATIENCE)


def test_while_the_rows_are_read_the_page_tells_how_far(browser: Browser, yard_address: str, here: str) -> None:
    """A bar with its button to stop; it goes when the rows are there, and what was stopped is not begun anew."""
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.route(
        "**/trace.json?*", lambda route: route.fulfill(status=202, json={"id": "77", "title": "Reading the log"})
    )
    piece = '<div class="work {}"><progress max="1" value="0.4"></progress> <button>Stop</button></div>'
    page.route(
        "**/under-way/77/piece", lambda route: route.fulfill(body=piece.format("running"), content_type="text/html")
    )
    page.goto(f"{yard_address}{here}")
    bar = page.locator(".reading progress")
    expect(bar).to_be_visible(timeout=PATIENCE)
    assert bar.get_attribute("value") == "0.4"
    region = page.get_by_role("region", name="The charge over time")
    page.evaluate("() => document.querySelector('.reading .work').classList.add('stopped')")
    asked.clear()
    region.press("+")
    page.evaluate("() => new Promise(requestAnimationFrame)")
    assert [url for url in asked if "trace.json" in url] == []
    page.evaluate("() => document.querySelector('.reading .work').classList.remove('stopped')")
    page.unroute("**/trace.json?*")
    page.evaluate("() => document.body.dispatchEvent(new Event('assessed'))")
    expect(page.locator(".timeline[data-shows]")).to_be_visible(timeout=PATIENCE)
    expect(bar).to_be_hidden()
    page.close()


def test_two_cursors_tell_times_values_and_what_lies_between(page: Page) -> None:
    """By keys alone."""
    region, read = page.get_by_role("region", name="The charge over time"), page.locator(".timeline .read")
    region.focus()
    region.press("a")
    region.press("Home")
    expect(read).to_contain_text("A 0:00:00")
    region.press("b")
    region.press("End")
    expect(read).to_contain_text("B 0:24:59")
    expect(read).to_contain_text("between them 0:24:59")
    region.press("ArrowLeft")
    expect(read).not_to_contain_text("between them 0:24:59")


def test_a_mark_is_put_at_the_cursor_and_stands_on_the_timeline(page: Page, yard: Path) -> None:
    """The time goes into the form with how finely it was picked; what is refused is told beside what was typed."""
    before = page.locator(".marks li[data-at]").count()
    region = page.get_by_role("region", name="The charge over time")
    region.focus()
    region.press("a")
    region.press("End")
    region.press("m")
    form = page.locator(".new-mark")
    expect(form.get_by_label("Time", exact=True)).to_have_value(re.compile(r"^149\d(\.\d+)? s ± \d+(\.\d+)? s$"))
    form.get_by_label("Event").select_option("unlock")
    form.get_by_label("Its offset").fill("late")
    form.get_by_label("Read by another clock").fill("watch")
    page.get_by_role("button", name="Put the mark").click()
    expect(form.locator(".problem")).to_be_visible(timeout=PATIENCE)
    form.get_by_label("Its offset").fill("0 s ± 1 s")
    page.get_by_role("button", name="Put the mark").click()
    expect(page.locator(".marks li[data-at]")).to_have_count(before + 1, timeout=PATIENCE)
    expect(page.locator(".timeline .mark")).to_have_count(before + 1, timeout=PATIENCE)
    expect(form.get_by_label("Time", exact=True)).to_have_value("")
    made = [one for one in list_entries(yard / NAME).all if one.conditions.get("clock") == "watch"]
    assert made[-1].conditions["offset"] == "0 s ± 1 s"


def test_a_mark_is_moved_by_keys_and_corrected_with_a_reason(page: Page, yard: Path) -> None:
    """Arrows fill in its form; only with a reason is it written, and the earlier one stays."""
    flag = page.get_by_role("button", name="Mark 1, breaker off")
    flag.focus()
    flag.press("ArrowRight")
    flag.press("ArrowRight")
    flag.press("Enter")
    item = page.locator(".marks li").first
    expect(item.get_by_label("Time")).to_have_value(re.compile(rf"^{LOST_S[0] + 2:.0f}(\.0+)? s ± "))
    item.get_by_label("Reason").fill("the click was two seconds later")
    item.get_by_role("button", name="Correct the mark").click()
    expect(page.locator(".marks li").first.locator("summary")).to_contain_text("0:11:42", timeout=PATIENCE)
    corrected = [one for one in list_entries(yard / NAME).all if one.reason == "the click was two seconds later"]
    assert [one.conditions["event"] for one in corrected] == ["breaker off"]
    assert any(one.id == corrected[0].replaces for one in list_entries(yard / NAME).all)


def test_a_mark_is_drawn_along_and_the_timeline_is_drawn_anew_in_the_dark(page: Page) -> None:
    """By the mouse it fills in the same form; a change of theme keeps marks and view."""
    expect(page.locator(".work")).to_have_count(0, timeout=PATIENCE)
    flag = page.locator(".timeline .mark button").first
    expect(flag).to_be_visible()
    box = flag.bounding_box()
    assert box is not None
    field = page.locator(".marks li").first.get_by_label("Time")
    before = field.input_value()
    page.mouse.move(box["x"] + 22, box["y"] + 22)
    page.mouse.down()
    page.mouse.move(box["x"] + 62, box["y"] + 22, steps=4)
    page.mouse.up()
    expect(field).not_to_have_value(before)
    count = page.locator(".timeline .mark").count()
    picture = "() => document.querySelector('.timeline canvas').toDataURL()"
    light = page.evaluate(picture)
    page.emulate_media(color_scheme="dark")
    page.wait_for_function(f"before => ({picture})() !== before", arg=light, timeout=PATIENCE)
    expect(page.locator(".timeline .mark")).to_have_count(count)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_rule_of_access_is_broken(browser: Browser, yard_address: str, here: str, scheme: str) -> None:
    """In light and dark on a phone, which shows it without moving sideways."""
    context = browser.new_context(color_scheme=scheme, viewport=PHONE, has_touch=True)  # type: ignore[arg-type]  # plain values
    page = context.new_page()
    for one in (here, f"{CASE}/charges"):
        page.goto(f"{yard_address}{one}")
        if one == here:
            expect(page.locator(".timeline[data-shows]")).to_be_visible(timeout=PATIENCE)
            page.locator(".marks summary").first.click()
        result = Axe().run(page)
        broken = [
            (rule["id"], [node["html"][:120] for node in rule["nodes"]]) for rule in result.response["violations"]
        ]
        assert broken == [], one
        assert page.evaluate("() => document.documentElement.scrollWidth") <= PHONE["width"]
    context.close()


def test_without_script_a_charge_is_read_and_marked(browser: Browser, yard_address: str, here: str) -> None:
    """The report's figure, and forms that are forms."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{yard_address}{here}")
    expect(page.locator(".timeline img")).to_be_visible(timeout=PATIENCE)
    form = page.locator(".new-mark")
    form.get_by_label("Event").select_option("plug pulled")
    form.get_by_label("Time", exact=True).fill("1450 s ± 2 s")
    page.get_by_role("button", name="Put the mark").click()
    expect(page.locator(".marks summary").filter(has_text="plug pulled")).to_be_visible(timeout=PATIENCE)
    context.close()
