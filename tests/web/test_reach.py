"""Every page is within reach: of those who do not see it, on a phone, in light and dark, without script."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from playwright.sync_api import Browser, BrowserContext, Page, Request, expect

from tests.web.places import PLACES, found_at
from tests.web.yard import NAME as YARD

ASSESSED = 120_000
"""Milliseconds after which a test gives up waiting for assessments."""
PHONE = {"width": 390, "height": 844}
BETWEEN = (650, 768, 1000)
"""Widths of tablets and of windows beside others: no phone, and no whole screen."""
WORDS = f' <span class="quiet">{"at a power factor of 0.4, " * 8}</span>'
SETTLED_WIDTH = """() => new Promise((told) => requestAnimationFrame(() => requestAnimationFrame(
    () => told(document.documentElement.scrollWidth))))"""
"""As wide as the page is once it was painted: a drawing takes a new width in the frame that shows it, not before."""
TARGET_PX = 24
FINGER_PX = 44
NAME = "skerrow-16"
CASE = f"/case/{NAME}"
MORE = ("/case/nothing",)
"""Beside the places, which stand in their own list."""
LEFT = "net::ERR_ABORTED"
BROKEN = {"resultTypes": ["violations"]}
"""What is told of a page: the rules it breaks, not every node that keeps one."""
COLOURS = BROKEN | {"runOnly": ["color-contrast", "link-in-text-block"]}
"""The rules that a theme can break; the small run tries all others in one theme alone."""


@pytest.fixture(scope="module")
def pages(browser: Browser, address: str) -> tuple[str, ...]:
    """The address of one page of each kind, every case assessed."""
    page = browser.new_page()
    page.goto(address)
    expect(page.locator(".work")).to_have_count(0, timeout=ASSESSED)
    found = (*(found_at(page, address, place, NAME) for place in PLACES), "/instruments/meter")
    page.close()
    return found


class Heard:
    """What the pages of one context asked for, and what the browser complained of."""

    def __init__(self, context: BrowserContext, page: Page) -> None:
        self.asked: set[str] = set()
        self.complaints: list[str] = []
        complain = self.complaints.append
        context.on("request", lambda request: self.asked.add(request.url))
        context.on("console", lambda said: complain(said.text) if said.type in ("error", "warning") else None)
        context.on("weberror", lambda error: complain(str(error.error)))
        page.on("requestfailed", lambda request: self.broke_off(request))

    def broke_off(self, request: Request) -> None:
        """Keep what could not be had; what the browser gives up because its page is left is no fault."""
        if request.failure != LEFT:
            self.complaints.append(f"{request.url}: {request.failure}")

    def elsewhere(self, address: str) -> set[str]:
        """What was asked of anybody but the server at an address."""
        return {url for url in self.asked if not url.startswith((f"{address}/", f"blob:{address}/", "data:"))}


@pytest.mark.published("rules of WCAG 2.2 A and AA, and good practice, as axe-core 4.12 tries them")
def test_no_page_breaks_a_rule_of_access_asks_anybody_else_or_complains(
    browser: Browser, address: str, pages: tuple[str, ...], proving: bool
) -> None:
    """Names, roles, contrast, order of headings; each page, scrolled to its end and left, asks our server alone."""
    context = browser.new_context()
    page = context.new_page()
    heard = Heard(context, page)
    broken = {}
    for one in (*pages, *MORE):
        page.goto(f"{address}{one}")
        page.mouse.wheel(0, 20_000)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            result = Axe().run(page, options=BROKEN if proving or scheme == "light" else COLOURS)
            if result.violations_count:
                broken[one, scheme] = [
                    (rule["id"], [node["html"][:120] for node in rule["nodes"]])
                    for rule in result.response["violations"]
                ]
        assert one in MORE or heard.complaints == [], one
    context.close()
    assert broken == {}
    assert len(heard.asked) > len(pages)
    assert heard.elsewhere(address) == set()


def test_a_phone_shows_every_page_without_moving_it_sideways(
    browser: Browser, address: str, pages: tuple[str, ...]
) -> None:
    """Nothing is wider than the screen, and what is to be touched is large enough (WCAG 2.2, 2.5.8)."""
    context = browser.new_context(viewport=PHONE, has_touch=True)  # type: ignore[arg-type]  # plain dict
    page = context.new_page()
    cut = """all => all.filter(e => e.offsetParent && e.form
        && e.getBoundingClientRect().right > e.form.getBoundingClientRect().right + 1).map(e => e.outerHTML)"""
    small = f"all => all.filter(e => e.offsetParent && e.offsetHeight < {TARGET_PX}).map(e => e.outerHTML)"
    for one in pages:
        page.goto(f"{address}{one}")
        wide = page.evaluate(SETTLED_WIDTH)
        assert wide <= PHONE["width"], f"{one} is {wide} px wide"
        assert page.locator("button, input, select, textarea").evaluate_all(small) == [], one
        assert page.locator("button, input, select, textarea").evaluate_all(cut) == [], f"{one}: cut at the side"
    context.close()


def test_between_a_phone_and_a_screen_no_page_moves_sideways(
    browser: Browser, address: str, yard_address: str, pages: tuple[str, ...]
) -> None:
    """Neither do figures, however many words stand beside them, push the page."""
    page = browser.new_page()
    yard = [f"{yard_address}/case/{YARD}/{section}" for section in ("charges", "heating", "readings")]
    wide = {}
    for one in (*(f"{address}{one}" for one in pages), *yard):
        page.goto(one)
        page.locator("main table .figure").evaluate_all(
            "(all, words) => all.slice(0, 1).forEach(e => e.insertAdjacentHTML('beforeend', words))", WORDS
        )
        for width in BETWEEN:
            page.set_viewport_size({"width": width, "height": PHONE["height"]})
            if (found := page.evaluate(SETTLED_WIDTH)) > width:
                wide[one, width] = found
    page.close()
    assert wide == {}


def test_a_bundle_with_a_long_name_is_refused_within_the_width_of_a_phone(browser: Browser, address: str) -> None:
    """The message breaks within the name."""
    page = browser.new_page(viewport=PHONE)  # type: ignore[arg-type]  # plain dict
    page.goto(f"{address}/bundle")
    name = f"{'bundle_of_the_lead_' * 6}.zip"
    page.locator("#file").set_input_files({"name": name, "mimeType": "application/zip", "buffer": b"PK nothing"})
    page.get_by_role("button", name="Check it").click()
    expect(page.get_by_text("did not succeed")).to_contain_text(f": {name}", timeout=ASSESSED)
    wide = page.evaluate(SETTLED_WIDTH)
    page.close()
    assert wide <= PHONE["width"]


def test_what_a_finger_opens_or_follows_is_as_large_as_a_button(
    browser: Browser, address: str, pages: tuple[str, ...]
) -> None:
    """What folds, small buttons, the ways at the head of a page, and links that stand for a whole row."""
    context = browser.new_context(viewport=PHONE, has_touch=True)  # type: ignore[arg-type]  # plain dict
    page = context.new_page()
    small = f"all => all.filter(e => e.offsetParent && e.offsetHeight < {FINGER_PX}).map(e => e.outerHTML)"
    rows = ":is(.rows, .findings) tbody th > a:first-child, .happened .word a, .words a"
    for one in pages:
        page.goto(f"{address}{one}")
        assert page.locator(f"summary, .small, .top a, .ways a, .sieve > a, {rows}").evaluate_all(small) == [], one
    context.close()


@pytest.mark.parametrize(
    ("section", "heads"),
    [("heating", ("In the end", "Reached at")), ("charges", ("In a year", "Cost")), ("risk", ("Chance",))],
)
def test_on_a_phone_a_number_says_of_what_it_is(
    browser: Browser, yard_address: str, section: str, heads: tuple[str, ...]
) -> None:
    """Where a row is a paragraph, no head stands above its cells."""
    page = browser.new_page(viewport=PHONE)  # type: ignore[arg-type]  # plain dict
    page.goto(f"{yard_address}/case/{YARD}/{section}")
    cells = page.locator(".rows td[data-head]")
    expect(cells.first).to_be_attached(timeout=ASSESSED)
    told = cells.evaluate_all(
        "all => all.filter(e => getComputedStyle(e, '::before').content !== 'none').map(e => e.dataset.head)"
    )
    page.close()
    assert set(heads) <= set(told)


def test_on_a_phone_a_chance_is_seen_whole_in_its_field(browser: Browser, address: str, pages: tuple[str, ...]) -> None:
    """The longest that is recorded is 1/1 000 000; cut off, it reads as another."""
    assert f"{CASE}/risk/touch-live-pins" in pages
    page = browser.new_page(viewport=PHONE)  # type: ignore[arg-type]  # plain dict
    page.goto(f"{address}{CASE}/risk/touch-live-pins")
    fields = page.locator(".estimate input:visible")
    assert fields.count() > 3
    fields.first.fill("1/1 000 000")
    cut = fields.evaluate_all("all => all.filter(e => e.scrollWidth > e.clientWidth).map(e => e.value)")
    page.close()
    assert cut == []


def test_the_card_of_the_next_test_hides_no_button_below_its_edge(
    browser: Browser, address: str, pages: tuple[str, ...]
) -> None:
    """The page scrolls to each; a card with a scroll of its own looks complete where it is cut."""
    assert CASE in pages
    page = browser.new_page(viewport={"width": 1360, "height": 900})
    page.goto(f"{address}{CASE}")
    side = page.locator(".side")
    assert side.locator("button").count() > 0
    held, whole, shown = side.evaluate("e => [getComputedStyle(e).overflowY, e.scrollHeight, e.clientHeight]")
    page.close()
    assert held == "visible"
    assert whole <= shown


def test_without_script_every_page_is_read_and_the_shelf_is_sieved(browser: Browser, address: str) -> None:
    """Forms and links are enough."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address)
    page.get_by_label("Words in a case").fill("skerrow new")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.get_by_role("link", name="Show all")).to_be_visible()
    expect(page.locator("section.lead")).to_have_count(1)
    page.get_by_role("link", name="Show all").click()
    page.get_by_label("with a function that is").select_option("not_shown")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.locator("section.lead").first).to_be_visible()
    context.close()


def test_cases_are_ticked_and_laid_side_by_side(browser: Browser, address: str, pages: tuple[str, ...]) -> None:
    """Two ticks, one button, one table with a column for each."""
    page = browser.new_page()
    page.goto(address)
    for name in ("skerrow-16", "empty & new"):
        page.locator(f"input[name=case][value='{name}']").check()
    page.get_by_role("button", name="Lay the ticked ones side by side").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Side by side")
    expect(page.locator("thead th")).to_have_count(2)
    page.close()


def test_an_instrument_is_put_on_the_shelf(browser: Browser, address: str) -> None:
    """By a form as a person fills it; a statement that cannot be read is refused in words beside what was typed."""
    page = browser.new_page()
    page.goto(f"{address}/instruments")
    page.get_by_label("Short name").fill("tongs")
    page.get_by_label("What it is, in words").fill("current clamp")
    page.get_by_label("Kind").fill("clamp")
    page.get_by_label("What it measures, 1").select_option("current")
    page.get_by_label("Its maker's words on accuracy, 1").fill("2 % + nonsense")
    page.get_by_role("button", name="Put on the shelf").click()
    expect(page.locator(".problem")).to_contain_text("tongs")
    page.get_by_label("Its maker's words on accuracy, 1").fill("2 % + 5 digits, resolution 0.01 A")
    page.get_by_label("Calibrated on").fill("2026-01-20")
    page.get_by_role("button", name="Put on the shelf").click()
    expect(page.get_by_role("heading", name="current clamp tongs")).to_be_visible()
    expect(page.get_by_text("2 % + 5 digits, resolution 0.01 A")).to_be_visible()
    expect(page.get_by_text("2026-01-20")).to_be_visible()
    page.close()


def test_an_instrument_is_changed(browser: Browser, address: str) -> None:
    """Its form holds what stands there; accuracy is changed for what was read before only where that is said."""
    page = browser.new_page()
    page.goto(f"{address}/instruments")
    page.get_by_role("link", name="Change meter").click()
    expect(page.get_by_label("What it measures, 1")).to_have_value("voltage")
    expect(page.get_by_role("link", name="Skerrow 16")).to_be_visible()
    page.get_by_label("Serial number").fill("K60-1")
    page.get_by_label("Its maker's words on accuracy, 1").fill("0.5 % of reading + 4 digits, resolution 0.1 V")
    page.get_by_role("button", name="Keep").click()
    expect(page.locator(".problem")).to_contain_text("'meter' was read in")
    page.get_by_label("Also for what was read before").check()
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("heading", name="Instruments", level=1)).to_be_visible()
    expect(page.get_by_text("K60-1")).to_be_visible()
    expect(page.get_by_text("0.5 % of reading + 4 digits, resolution 0.1 V")).to_be_visible()
    page.close()
