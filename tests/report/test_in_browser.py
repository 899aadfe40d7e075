"""The page in a real browser: nothing asked for, nothing complained of, no letter lost in the dark."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page

from tests.report.sample import SAMPLE, sample_page

CONTRAST = """() => {
  const channel = v => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  const parse = s => (s.match(/[\\d.]+/g) || []).map(Number);
  const luminance = c => 0.2126 * channel(c[0]) + 0.7152 * channel(c[1]) + 0.0722 * channel(c[2]);
  const ground = e => {
    for (; e; e = e.parentElement) {
      const c = parse(getComputedStyle(e).backgroundColor);
      if (c.length === 3 || c[3] === 1) return c;
    }
    return [255, 255, 255];
  };
  const weak = [];
  for (const e of document.querySelectorAll('main *, nav *, footer *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    if (!own || !e.checkVisibility()) continue;
    const style = getComputedStyle(e);
    const ink = luminance(parse(e instanceof SVGElement ? style.fill : style.color)), paper = luminance(ground(e));
    const ratio = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
    if (ratio < 4.5) weak.push(e.tagName + ' ' + e.textContent.slice(0, 30) + ' ' + ratio.toFixed(2));
  }
  return weak;
}"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    file = tmp_path_factory.mktemp("page") / "report.html"
    file.write_text(sample_page(), encoding="utf-8")
    return Path(file).as_uri()


def look(browser: Browser, address: str, *, width: int, scheme: Literal["light", "dark"]) -> tuple[Page, list[str]]:
    """Open the page and keep what it asks for and what the browser says."""
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    heard: list[str] = []
    page.on("console", lambda said: heard.append(said.text))
    page.on("pageerror", lambda error: heard.append(str(error)))
    page.on("request", lambda request: heard.append(request.url) if request.url != address else None)
    page.goto(address)
    return page, heard


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_stands_alone(browser: Browser, address: str, width: int, scheme: Literal["light", "dark"]) -> None:
    """It asks for nothing, the console is silent, and nothing runs out of the window sideways."""
    page, heard = look(browser, address, width=width, scheme=scheme)

    assert heard == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.get_by_role("heading", level=1).inner_text() == SAMPLE.title
    page.close()


@pytest.mark.published("WCAG 2.2, 1.4.3: 4.5 to 1 for text; relative luminance as defined there; standing: memory")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_letter_stands_out(browser: Browser, address: str, scheme: Literal["light", "dark"]) -> None:
    """Text on its ground, in the drawings too, has the contrast that is asked for."""
    page, _ = look(browser, address, width=1280, scheme=scheme)

    assert page.evaluate(CONTRAST) == []
    page.close()


def test_the_page_can_be_walked_by_keyboard(browser: Browser, address: str) -> None:
    """The first stop is the way past the contents; a finding is reached by its link."""
    page, _ = look(browser, address, width=1280, scheme="light")
    page.keyboard.press("Tab")

    assert page.evaluate("document.activeElement.textContent") == "Skip to the report"
    page.get_by_role("link", name="offer.plug").first.click()
    assert page.evaluate("location.hash") == "#finding-offer-plug"
    page.close()
