"""On paper stands what is read on the screen: every page, printed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.web.places import PLACES, Place, found_at

NAME = "skerrow-16"
ASSESSED = 120_000
"""Milliseconds after which a test gives up waiting for assessments."""
A4 = {"width": 794, "height": 1123}
LEFT_OUT = {
    "button:not(.line > button), .button, .actions, [data-do]": "something to press",
    "form.writing, form.sieve, form.bring, form.find, form.own-value, form#save, form#scale": "something to fill in",
    "form.who, .line a, .leave": "ticking and writing down, which is done on the screen",
    "form[action$='/draft'], form[action$='/pack'], form[action$='/publish'], form[action$='/forget']": "to be done",
    "form[action*='/own/']": "to be done",
    ".keep, .row.fresh": "the way to add or keep what was typed",
    ".entry.unsaid, .several .unsaid": "a field that nothing is written into",
    ".part:not(:has(.entry:not(.unsaid)))": "a part of such fields alone",
    ".drop, .by-hand, .keys, .tools, .kind, main:has(.tools) .hint": "how the hand or the keys do something",
    "[aria-labelledby='shape-title']": "a shape of a drawing is chosen and changed on the screen",
    ".work": "what is under way just now",
    ".answered": "tests that have their answer, folded",
    ".strip": "the draft in small, which is printed from its own file",
    ".what-if, .parts, .here, .two": "what is answered where one points",
    ".bench-wave, .scripted, #otherwise, #otherwise + p": "the moving wave; its still picture is printed",
    "p.line": "the answer said again at the foot of a narrow screen",
    ".hands, .marks form, #keeping, .unseen, .aside": "hands of a drawing, or words to hear alone",
}
"""What is seen on the screen and not on paper, each with its reason."""
SEEN = """out => {
  const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  const found = [];
  while (walk.nextNode()) {
    const node = walk.currentNode, box = node.parentElement;
    if (node.data.trim() && box.checkVisibility({visibilityProperty: true}) && !box.closest(out)
        && !box.closest("option, noscript, script, style")) found.push(node);
  }
  const fields = document.querySelectorAll("main :is(input:not([type=hidden]), select, textarea)");
  for (const one of fields) if (one.checkVisibility() && !one.closest(out)) found.push(one);
  window.seenOnScreen = found;
  return found.length;
}"""
GONE = """() => window.seenOnScreen
  .filter(one => !(one.parentElement.checkVisibility({visibilityProperty: true}) && (one.checkVisibility?.() ?? true)))
  .map(one => (one.data ?? `${one.name}: ${one.value}`).trim())"""

BROKEN = """() => [...document.querySelectorAll("table.rows th .ref")].flatMap(one => {
  const text = one.firstChild;
  return [...text.data.matchAll(/[^-]+/g)].filter(part => {
    const range = new Range();
    range.setStart(text, part.index);
    range.setEnd(text, part.index + part[0].length);
    return range.getClientRects().length !== 1;
  }).map(part => part[0]);
})"""


@pytest.fixture(scope="module")
def page(browser: Browser, address: str) -> Iterator[Page]:
    """A tab as wide as the paper, every case assessed."""
    made = browser.new_page(viewport=A4)  # type: ignore[arg-type]  # plain dict
    made.goto(address)
    expect(made.locator(".work")).to_have_count(0, timeout=ASSESSED)
    yield made
    made.close()


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.name)
def test_what_is_read_on_the_screen_stands_on_paper(page: Page, address: str, place: Place) -> None:
    """Every text and every field of the page's own part, but for what is left out with a reason."""
    page.emulate_media(media="screen")
    page.goto(address + found_at(page, address, place, NAME))
    page.evaluate(SEEN, ", ".join(LEFT_OUT))
    page.emulate_media(media="print")
    assert page.evaluate(GONE) == []


def test_every_hold_point_and_step_of_the_plan_stands_on_paper_with_its_box(page: Page, address: str) -> None:
    """Those of folded tests too, and where the sheet for the bench is."""
    page.emulate_media(media="screen")
    page.goto(f"{address}/case/{NAME}/plan")
    lines = page.locator(".test li.line:not(.record) > button")
    wanted = lines.evaluate_all("all => all.map(one => one.textContent.trim())")
    assert len(wanted) > 0
    page.emulate_media(media="print")
    shown = lines.locator("span:not(.box)").locator("visible=true")
    assert shown.all_inner_texts() == wanted
    assert lines.locator(".box").locator("visible=true").count() == len(wanted)
    assert page.locator(".paper-only").inner_text().startswith("To write on at the bench, take the Sheet")


def test_no_name_of_a_step_is_broken_within_a_word_on_paper(page: Page, address: str) -> None:
    """The names of steps are broken at their hyphens alone, so each part stands on one line."""
    page.emulate_media(media="screen")
    page.goto(f"{address}/case/{NAME}/risk")
    page.emulate_media(media="print")
    broken = page.evaluate(BROKEN)
    assert broken == []


def test_a_field_that_nothing_is_written_into_is_no_blank_line_on_paper(page: Page, address: str) -> None:
    """On the screen it is there to be filled; on paper stand those that hold something, and what was typed just now."""
    page.emulate_media(media="screen")
    page.goto(f"{address}/case/{NAME}/described")
    empty, full = page.locator(".entry.unsaid").first, page.locator("#of-title")
    for field in (empty, full):
        expect(field).to_be_visible()
    page.emulate_media(media="print")
    expect(full).to_be_visible()
    expect(empty).to_be_hidden()
    holds = "all => all.filter(one => one.checkVisibility()).map(one => one.value).filter(text => !text)"
    assert page.locator(".one.on-paper :is(input:not([type=hidden]), textarea, select)").evaluate_all(holds) == []
    page.emulate_media(media="screen")
    typed = page.locator(".entry.unsaid input:not([type=hidden])").first
    typed.fill("Ines")
    page.emulate_media(media="print")
    expect(typed).to_be_visible()
    page.emulate_media(media="screen")
    typed.fill("")
