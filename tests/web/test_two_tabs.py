"""Two tabs and the command line at one case: what each wrote is kept, and who comes second is told of the first."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from coldpin.casefile import open_case
from coldpin.workbench import record
from tests.web.served import Served, served
from tests.workbench.quay import at, make_case, make_shelf

NAME = "skerrow-16"


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A server over a shelf of one case with one reading in it."""
    shelf = make_shelf(tmp_path_factory.mktemp("tabs") / "shelf")
    case = make_case(shelf)
    record(case, shows="earth resistance", who="Ines", readings=("510 mΩ",), instrument="meter", made=at(0), now=at(1))
    with served(shelf) as running:
        yield running


@pytest.fixture
def tabs(browser: Browser) -> Iterator[tuple[Page, Page]]:
    """Two tabs of one browser."""
    context = browser.new_context()
    context.set_default_timeout(30_000)
    yield context.new_page(), context.new_page()
    context.close()


def case_of(server: Served) -> Path:
    """The case that a server shows."""
    return Path(str(server.process.args[2])) / NAME  # type: ignore[index]  # a list of words


def note(tab: Page, server: Served, text: str) -> None:
    """Fill in a remark without sending it."""
    tab.goto(f"{server.address}/case/{NAME}/record/remark")
    tab.get_by_label("In words").fill(text)
    tab.get_by_label("Who").fill("Ines")


def test_what_two_tabs_and_the_command_line_write_at_once_is_kept(server: Served, tabs: tuple[Page, Page]) -> None:
    """Both forms were opened before either was sent."""
    for number, tab in enumerate(tabs):
        note(tab, server, f"from tab {number}")
    record(case_of(server), shows="remark", who="Ines", note="from the command line")
    for tab in tabs:
        tab.locator("form.entry button.main").click()
    for tab in tabs:
        tab.wait_for_url("**/evidence*")
    for tab in tabs:
        tab.goto(f"{server.address}/case/{NAME}/evidence")
        for told in ("from tab 0", "from tab 1", "from the command line"):
            expect(tab.get_by_text(told)).to_be_visible()


def test_who_corrects_second_is_told_and_loses_nothing(server: Served, tabs: tuple[Page, Page]) -> None:
    """The correction that came first stays; the form of the other keeps what was typed and says what happened."""
    first = next(entry for entry in open_case(case_of(server)).entries().entries if entry.readings)
    for tab, reading in zip(tabs, ("512 mΩ", "514 mΩ"), strict=True):
        tab.goto(f"{server.address}/case/{NAME}/entry/{first.id}")
        tab.get_by_label("Reading 1").fill(reading)
        tab.get_by_label("What was wrong").fill("misread")
    for tab in tabs:
        tab.get_by_role("button", name="Correct", exact=True).click()
        if tab is tabs[0]:
            tab.wait_for_url("**/evidence*")
    expect(tabs[1].locator("form.entry .told")).to_contain_text("corrected")
    assert tabs[1].get_by_label("Reading 1").input_value() == "514 mΩ"
    held = open_case(case_of(server)).effective()
    (holding,) = [entry for entry in held.entries if entry.readings]
    assert holding.readings == ("512 mΩ",)


def test_an_assessment_under_way_keeps_no_tab_waiting(server: Served, tabs: tuple[Page, Page]) -> None:
    """What was written in one tab is assessed beside the other, whose page is made anew by itself when it is done."""
    seeing, writing = tabs
    seeing.goto(f"{server.address}/case/{NAME}")
    expect(seeing.locator(".work")).to_have_count(0, timeout=120_000)
    note(writing, server, "one more")
    writing.locator("form.entry button.main").click()
    writing.wait_for_url("**/evidence*")
    seeing.reload()
    expect(seeing.get_by_role("heading", level=1)).to_be_visible()
    expect(seeing.locator(".work")).to_have_count(0, timeout=120_000)
    expect(seeing.locator(".stale")).to_have_count(0)
