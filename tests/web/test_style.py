"""The style of the page: the signs of the report, the classes that are documented, letters of our own, tokens."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from playwright.sync_api import Browser

from coldpin.report.document import Sign
from coldpin.report.html import sign_drawing
from tools.page_pictures import EXAMPLE, STYLE, show_examples

STATIC = Path(__file__).resolve().parents[2] / "src" / "coldpin" / "web" / "static"
SHEET = (STATIC / "bench.css").read_text(encoding="utf-8")
CLASS = re.compile(r'class="(?P<names>[^"]+)"')
COLOUR = re.compile(
    r"#[0-9a-f]{3,8}\b(?=[^{}]*[;}])|\b(?:rgb|hsl|oklch)\(|:\s*(?:white|black)\b(?!-)", flags=re.IGNORECASE
)
SHAPE = re.compile(r'(?:[dr]|points|cx|cy|width|height)="[^"]+"')


def test_the_signs_of_the_page_are_those_of_the_report() -> None:
    """The same shapes, one cell each, and each state of the sheet points to its own."""
    cells = re.findall(r"<g[^>]*>(.*?)</g>", (STATIC / "signs.svg").read_text(encoding="utf-8"))
    assert len(cells) == len(Sign) + 2
    for sign, cell in zip(Sign, cells, strict=False):
        assert SHAPE.findall(cell) == SHAPE.findall(sign_drawing(sign)), sign
        number = re.search(rf"^\.{sign.value} {{ --cell: (\d+);", SHEET, flags=re.MULTILINE)
        assert number is not None, sign
        assert int(number[1]) == list(Sign).index(sign)


def test_every_class_of_the_examples_is_in_the_sheet() -> None:
    """What is documented is there."""
    text = STYLE.read_text(encoding="utf-8")
    named = {
        name
        for block in EXAMPLE.finditer(text)
        for said in CLASS.finditer(block["body"])
        for name in said["names"].split()
    }
    assert len(named) >= 25
    assert {name for name in named if not re.search(rf"\.{name}\b", SHEET)} == set()


def test_a_subject_s_own_sheet_takes_its_colours_from_the_tokens() -> None:
    """Else it would be unreadable in the dark, or a colour would mean nothing."""
    astray = {}
    for sheet in sorted(STATIC.glob("*.css")):
        rules = re.sub(r":root\s*{.*?}", "", sheet.read_text(encoding="utf-8"), flags=re.DOTALL)
        if found := COLOUR.findall(rules):
            astray[sheet.name] = found
    assert astray == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_letters_and_signs_come_from_this_server(browser: Browser, address: str, scheme: str) -> None:
    """The three faces are loaded, and the strip of signs."""
    context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]  # plain str
    page = context.new_page()
    asked: list[str] = []
    page.on("requestfinished", lambda request: asked.append(request.url))
    page.goto(f"{address}/case/skerrow-16", wait_until="networkidle")
    page.evaluate("() => document.fonts.ready")
    faces = page.evaluate(
        "() => [...document.fonts].filter(f => f.status === 'loaded').map(f => f.family.replaceAll('\"', ''))"
    )
    context.close()
    assert set(faces) == {"Hyperlegible", "Libertinus Serif"}
    assert all(url.startswith(address) for url in asked)


def test_on_a_phone_the_sections_open_from_one_button(browser: Browser, address: str) -> None:
    """Without script: the browser's own popover, with targets for gloves; on a desk they stand in one row."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/case/skerrow-16")
    links = page.locator("#sections a")
    assert not links.first.is_visible()
    page.get_by_role("button", name="Conclusion").click()
    box = links.first.bounding_box()
    assert links.first.is_visible()
    assert box is not None
    assert box["height"] >= 40
    page.set_viewport_size({"width": 1280, "height": 900})
    assert not page.locator(".unfold").is_visible()
    context.close()


@pytest.mark.published("rules of WCAG 2.2 A and AA, and good practice, as axe-core 4.12 tries them")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_examples_of_the_style_break_no_rule_of_access(browser: Browser, address: str, scheme: str) -> None:
    """Cautions, hold points, buttons, forms: contrast and names, in both themes."""
    context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]  # plain str
    page = context.new_page()
    show_examples(page, address)
    result = Axe().run(page)
    context.close()
    assert [(rule["id"], rule["nodes"][0]["html"][:120]) for rule in result.response["violations"]] == []


def test_on_paper_stands_what_is_read_and_nothing_to_press(browser: Browser, address: str) -> None:
    """Printed from a dark screen: dark ink on white, no bar, no forms, what was folded is open."""
    context = browser.new_context(color_scheme="dark")
    page = context.new_page()
    show_examples(page, address)
    page.emulate_media(media="print", color_scheme="dark")
    ground, ink = page.evaluate(
        "() => [s => s.backgroundColor, s => s.color].map(f => f(getComputedStyle(document.body)))"
    )
    assert (ground, ink) == ("rgb(255, 255, 255)", "rgb(27, 38, 44)")
    for gone in (".top", "form", ".work", "button"):
        assert page.locator(gone).locator("visible=true").count() == 0, gone
    assert page.locator(".caution").first.is_visible()
    assert page.get_by_text("under the fold").is_visible()
    context.close()
