"""The page in a real browser: walked by its links, on a phone, in the dark."""

from __future__ import annotations

import os
import re

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, expect

DESK = {"width": 1280, "height": 900}
NARROWEST_DRAWING = 350
ASSESSED = 120_000
"""Milliseconds after which a test gives up waiting for assessments."""
PHONE = {"width": 390, "height": 844}


class Walk:
    """One walk through the pages, with what the browser complained of and whom it asked."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        page.set_default_timeout(15_000)
        self.address = address
        self.complaints: list[str] = []
        self.asked: set[str] = set()
        page.on(
            "console", lambda said: self.complaints.append(said.text) if said.type in ("error", "warning") else None
        )
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("requestfailed", lambda request: self.complaints.append(request.url))
        page.on("request", lambda request: self.asked.add(request.url))

    def hear(self, said: ConsoleMessage) -> None:
        """Keep what the console complains of."""
        if said.type in ("error", "warning"):
            self.complaints.append(said.text)

    def whole(self) -> list[str]:
        """Walk shelf, case, finding, back, capture by their links; return the headings seen."""
        page = self.page
        page.goto(self.address)
        expect(page.locator(".work")).to_have_count(0, timeout=ASSESSED)
        seen = [self.look("shelf")]
        self.follow(page.get_by_role("link", name="Skerrow 16").first)
        seen.append(self.look("case"))
        self.follow(page.get_by_role("link", name=re.compile("[0-9]+ findings, ")))
        self.follow(page.get_by_role("link", name="Resistance of the protective conductor"))
        seen.append(self.look("finding"))
        self.follow(page.get_by_role("navigation").get_by_role("link", name="Skerrow 16"))
        self.section("Pilot")
        self.follow(page.get_by_role("link", name="steps").first)
        seen.append(self.look("wave"))
        return seen

    def section(self, words: str) -> None:
        """Go to a section of the case, by the bar that is folded on a phone."""
        bar = self.page.get_by_role("navigation", name="Sections of the case")
        if not bar.is_visible():
            self.page.locator(".unfold").click()
        self.follow(bar.get_by_role("link", name=words, exact=True))

    def follow(self, link: Locator) -> None:
        """Click a link and wait until the page it leads to is there whole; a click alone returns before that.

        What the page that is left still asks for would be told as broken off.
        """
        self.page.wait_for_load_state("networkidle")
        with self.page.expect_event("load"):
            link.click()

    def look(self, name: str) -> str:
        """Check what must hold on every page, keep a picture where one is wanted, return the heading."""
        page = self.page
        width = page.evaluate("() => [document.documentElement.scrollWidth, window.innerWidth]")
        assert width[0] <= width[1], f"{name} is {width[0]} px wide on a screen of {width[1]} px"
        if folder := os.environ.get("COLDPIN_PICTURES"):
            size = page.viewport_size or DESK
            dark = page.evaluate("() => matchMedia('(prefers-color-scheme: dark)').matches")
            page.screenshot(path=f"{folder}/{name}-{size['width']}-{'dark' if dark else 'light'}.png", full_page=True)
        return page.get_by_role("heading", level=1).inner_text()


def luminance(colour: str) -> float:
    """Relative luminance of a colour as the browser gives it (WCAG 2.1)."""
    parts = [float(part) / 255.0 for part in colour.partition("(")[2].rstrip(")").split(",")[:3]]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.published("contrast of text at least 4.5 to 1: WCAG 2.1, success criterion 1.4.3")
@pytest.mark.parametrize(("size", "scheme"), [(DESK, "light"), (PHONE, "dark")], ids=["desk", "phone"])
def test_the_shelf_is_walked_by_its_links(browser: Browser, address: str, size: dict[str, int], scheme: str) -> None:
    """Shelf, case, finding, capture: no complaint, nobody else asked, nothing wider than the screen, text readable."""
    context = browser.new_context(viewport=size, color_scheme=scheme)  # type: ignore[arg-type]  # plain dict and str
    walk = Walk(context.new_page(), address)
    headings = walk.whole()

    assert headings[:3] == ["Brackwater Boatyard", "Skerrow 16", "Resistance of the protective conductor"]
    assert headings[3].startswith("steps")
    assert walk.complaints == []
    assert {url for url in walk.asked if not url.startswith(f"{address}/")} == set()
    body = "() => { const s = getComputedStyle(document.body); return [s.color, s.backgroundColor]; }"
    ink, paper = (luminance(colour) for colour in walk.page.evaluate(body))
    assert (paper < ink) == (scheme == "dark")
    assert (max(ink, paper) + 0.05) / (min(ink, paper) + 0.05) >= 4.5
    drawing = walk.page.locator(".drawing")
    expect(drawing).to_be_visible()
    drawn = drawing.bounding_box()
    assert drawn is not None
    assert drawn["width"] >= NARROWEST_DRAWING
    context.close()


def test_the_page_can_be_walked_by_keyboard(browser: Browser, address: str) -> None:
    """The first stop leads to the content; the next are the links, in order, with a visible ring."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{address}/case/skerrow-16")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.className") == "skip"
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.textContent") == "Shelf"
    assert page.evaluate("() => getComputedStyle(document.activeElement).outlineStyle") != "none"
    page.keyboard.press("Enter")
    page.wait_for_url(f"{address}/")
    context.close()
