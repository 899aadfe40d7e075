"""The pages that stand for a while in the place of others are within reach as all are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from playwright.sync_api import Browser, Page, Route

from coldpin.errors import BeingAssessed
from coldpin.records.described import Conflict
from coldpin.records.notice import Addressee, Notification, Sender
from coldpin.web.filing import Filing
from coldpin.web.pages.add import FilingPage
from coldpin.web.pages.report import NoticePage
from coldpin.web.pages.work import WorkPage
from coldpin.web.templating import templates
from coldpin.web.works import Course, Work

TITLE = "Skerrow 16"
CASE = "skerrow-16"
UNDER_WAY = Work(id="7", title="Assessing", case=CASE, course=Course.RUNNING, fraction=0.4)
WAITS = replace(UNDER_WAY, course=Course.WAITING, fraction=0.0, waits_for="“Report” of pellwick-10")
BROKEN_OFF = replace(UNDER_WAY, course=Course.FAILED, message="entry 7: no unit", again=f"/case/{CASE}/assess")
CHANGED = Conflict(key="title", words="Title", now="Skerrow 16 A", wanted="Skerrow", seen="Skerrow 16 A", told="Kept.")
AGAIN: dict[str, object] = {"name": CASE, "address": f"/case/{CASE}/described", "again": (("key", "title"),)}
NOTICE = Notification(
    schema="coldpin.notification/1",
    to=Addressee.SELLER,
    title="Letter",
    elements=(),
    missing=("who sends it",),
    text="To whom it may concern",
)
PASSING: dict[str, tuple[str, object, dict[str, object]]] = {
    "under way": ("work.html", WorkPage(work=UNDER_WAY), {}),
    "waiting": ("work.html", WorkPage(work=WAITS), {}),
    "broken off": ("work.html", WorkPage(work=BROKEN_OFF), {}),
    "assessed for the first time": ("being_assessed.html", BeingAssessed.by(CASE, UNDER_WAY), {}),
    "being filed": (
        "filing.html",
        FilingPage(name=CASE, title=TITLE, filing=Filing(name=CASE, token="a", files=("a.csv",), work=UNDER_WAY)),
        {},
    ),
    "changed meanwhile": ("conflict.html", CHANGED, AGAIN),
    "a letter": ("notice.html", NoticePage(name=CASE, title=TITLE, sender=Sender(), notice=NOTICE), {}),
}


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    """One tab for all of them, on a phone: nothing of what is under way is told to it."""
    made = browser.new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    made.route("**/piece*", lambda _: None)
    yield made
    made.close()


def shown(page: Page, address: str, passing: str) -> None:
    """Go to one of them."""
    template, record, more = PASSING[passing]
    text = templates().get_template(template).render(page=record, **more)

    def show(route: Route) -> None:
        route.fulfill(body=text, content_type="text/html; charset=utf-8")

    page.route(f"{address}/passing", show)
    page.goto(f"{address}/passing")
    page.unroute(f"{address}/passing")


@pytest.mark.published("rules of WCAG 2.2 A and AA, and good practice, as axe-core 4.12 tries them")
@pytest.mark.parametrize("passing", PASSING)
def test_a_page_that_passes_keeps_the_rules_in_light_and_dark(page: Page, address: str, passing: str) -> None:
    """Every rule in both, and nothing moves sideways on a phone."""
    shown(page, address, passing)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        violations = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
        assert [(rule["id"], rule["nodes"][0]["html"][:120]) for rule in violations] == [], scheme
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390


def test_work_that_waits_says_for_what_and_its_bar_is_no_part_done(page: Page, address: str) -> None:
    """Stripes that move, and stand where whoever looks wants nothing to move."""
    shown(page, address, "waiting")
    assert "Assessing, waiting for “Report” of pellwick-10" in page.locator(".work").inner_text()
    bar = page.get_by_role("progressbar")
    assert bar.get_attribute("value") is None
    moving = "bar => getComputedStyle(bar).animationName"
    page.emulate_media(reduced_motion="no-preference")
    assert bar.evaluate(moving) == "stripes"
    page.emulate_media(reduced_motion="reduce")
    assert bar.evaluate(moving) == "none"
    assert "repeating-linear-gradient" in bar.evaluate("bar => getComputedStyle(bar).backgroundImage")
    shown(page, address, "under way")
    assert page.get_by_role("progressbar").get_attribute("value") == "0.4"
