"""Evidence in a real browser: readings said back while typed, files dropped and pasted, the question answered."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from playwright.sync_api import Browser, Page, Route, expect

from tests.web.test_evidence import PICTURE, TWO_VOLTAGES

CASE = "/case/empty%20%26%20new"
PATIENCE = 15_000
PHONE = {"width": 390, "height": 844}

DROP = """([files]) => {
  const held = new DataTransfer();
  for (const [name, text] of files)
    held.items.add(new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], name));
  const event = new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: held });
  document.querySelector("main").dispatchEvent(event);
}"""
PASTE = """([name, text, plain]) => {
  const held = new DataTransfer();
  const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  if (name) held.items.add(new File([bytes], name, { type: "image/png" }));
  else held.setData("text/plain", plain);
  document.querySelector("main").dispatchEvent(
    new ClipboardEvent("paste", { bubbles: true, cancelable: true, clipboardData: held }));
}"""


def coded(content: bytes) -> str:
    """As a page takes it."""
    return base64.b64encode(content).decode()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page that complains of nothing."""
    opened = browser.new_page()
    opened.set_default_timeout(PATIENCE)
    complaints: list[str] = []
    opened.on("pageerror", lambda error: complaints.append(str(error)))
    yield opened
    opened.close()
    assert complaints == []


def test_a_reading_is_said_back_recorded_corrected_and_withdrawn(page: Page, address: str) -> None:
    """What was understood stands beside what is typed; a refusal leaves what was typed; both entries remain."""
    page.goto(f"{address}{CASE}/record")
    page.get_by_label("Part of a word").press_sequentially("earth res")
    expect(page.locator("#words li")).to_have_count(1)
    page.get_by_role("link", name="earth resistance").click()
    page.get_by_label("Reading 1").press_sequentially("510 mΩ ± 2 mΩ")
    expect(page.get_by_role("status")).to_contain_text("510.0 mΩ ± 1.9 mΩ")
    page.get_by_label("Reading 2").press_sequentially("12 V")
    expect(page.get_by_role("status").locator(".wrong")).to_contain_text("V")
    page.get_by_role("button", name="Record").click()
    expect(page.get_by_role("alert")).to_contain_text("reading 2")
    page.get_by_label("Reading 2").fill("")
    page.get_by_role("button", name="Record").dblclick()
    page.wait_for_url("**/evidence#entry-*")
    expect(page.locator("li[id^='entry-']")).to_have_count(1)
    struck = page.url.partition("#")[2]
    page.locator(f"#{struck}").get_by_role("link", name="Earth resistance").click()
    page.get_by_label("Reading 1").fill("51.0 mΩ ± 0.3 mΩ")
    page.get_by_label("What was wrong").fill("a comma was lost")
    page.get_by_role("button", name="Correct").click()
    page.wait_for_url("**/evidence#entry-*")
    expect(page.locator(f"#{struck} del")).to_have_text("510 mΩ ± 2 mΩ")
    expect(page.locator(f"#{struck}")).to_contain_text("a comma was lost")
    page.locator(f"#{page.url.partition('#')[2]}").get_by_role("link", name="Earth resistance").click()
    page.get_by_label("Why", exact=True).fill("another lead")
    page.get_by_role("button", name="Withdraw").click()
    page.wait_for_url("**/evidence#entry-*")
    expect(page.locator("del")).to_have_count(2)


def test_pictures_are_dropped_and_filed_together(page: Page, address: str) -> None:
    """Two at once, shown before they are filed, each an entry that shows its picture."""
    page.goto(f"{address}{CASE}/evidence")
    page.evaluate(DROP, [[["plug.png", coded(PICTURE)], ["box.png", coded(PICTURE + b"2")]]])
    page.wait_for_url("**/add/*")
    page.get_by_role("button", name="File all 2 pictures as photographs").click()
    page.wait_for_url("**/evidence#entry-*")
    expect(page.locator("img.seen")).to_have_count(2)


HOLD = """(name) => {
  const held = new DataTransfer();
  held.items.add(new File(["1"], "a.csv"));
  const event = new DragEvent(name, { bubbles: true, cancelable: true, dataTransfer: held });
  document.querySelector("main").dispatchEvent(event);
  return [event.defaultPrevented, getComputedStyle(document.body, "::after").content];
}"""


@pytest.mark.parametrize("section", ["", "/findings", "/plan", "/uses", "/report", "/described"])
def test_a_file_let_go_elsewhere_leaves_the_page_where_it_is(page: Page, address: str, section: str) -> None:
    """No page of a case is left for the file; while it is held and after, it is said where files are brought."""
    page.goto(f"{address}{CASE}{section}")
    page.locator("#sections").wait_for(state="attached")
    assert page.evaluate(HOLD, "dragover") == [True, '"Not here: drop it on the page Evidence"']
    assert page.evaluate(HOLD, "drop") == [True, "none"]
    said = page.get_by_role("alert").filter(has_text="Nothing was brought")
    expect(said.get_by_role("link", name="Evidence")).to_have_attribute("href", re.compile(f"{CASE}/evidence$"))


def test_a_file_held_over_evidence_is_shown_where_to_go(page: Page, address: str) -> None:
    """The whole page takes it, and says so, also where the form that takes it is out of sight."""
    page.goto(f"{address}{CASE}/evidence")
    assert page.evaluate(HOLD, "dragover") == [True, '"Drop it: it is brought to this case"']
    assert page.evaluate(HOLD, "dragleave") == [False, "none"]
    expect(page.get_by_text("Nothing was brought")).to_have_count(0)


def test_a_capture_that_asks_is_answered(page: Page, address: str) -> None:
    """First rows are shown, columns offered, and how it would be read as soon as it can be."""
    page.goto(f"{address}{CASE}/evidence")
    page.evaluate(DROP, [[["two.csv", coded(TWO_VOLTAGES.encode())]]])
    page.wait_for_url("**/add/*")
    expect(page.locator(".first-rows")).to_contain_text("t,CH1,CH2")
    expect(page.locator("#tried .problem")).to_contain_text("2 columns can be the voltage")
    page.get_by_label("Voltage", exact=True).fill("CH1")
    expect(page.locator("#tried dl")).to_contain_text("CH1")
    page.get_by_label("Load", exact=True).select_option("steps")
    page.get_by_role("button", name="File it").click()
    page.wait_for_url("**/evidence#entry-*")
    expect(page.locator(":target")).to_contain_text("two.csv")


def test_what_is_pasted_is_brought(page: Page, address: str) -> None:
    """A picture, and a table as text; what is not wanted is put away. Text pasted into a field stays there."""
    page.goto(f"{address}{CASE}/evidence")
    page.evaluate(PASTE, ["board.png", coded(PICTURE + b"3"), ""])
    page.wait_for_url("**/add/*")
    expect(page.get_by_label("It shows")).to_have_value("photograph")
    page.get_by_role("button", name="Put board.png away").click()
    page.wait_for_url("**/evidence")
    page.evaluate(PASTE, ["", "", "time\tPower (W)\n2026-05-02 10:00:00\t5\n2026-05-02 10:01:00\t6\n"])
    page.wait_for_url("**/add/*")
    expect(page.get_by_label("It shows")).to_have_value("charging log")
    page.get_by_label("It shows").select_option("document")
    expect(page.get_by_label("In words")).to_be_visible()
    page.get_by_role("button", name="Put pasted.tsv away").click()
    page.wait_for_url("**/evidence")


def test_what_is_typed_before_the_fields_of_another_word_came_stays(page: Page, address: str) -> None:
    """The answer is held back until the hurried one has typed on; what the new fields have too is there, and filed."""
    held: list[Route] = []

    def hold(route: Route) -> None:
        if route.request.method == "GET":
            held.append(route)
        else:
            route.continue_()

    page.goto(f"{address}{CASE}/evidence")
    page.evaluate(PASTE, ["rating.png", coded(PICTURE + b"4"), ""])
    page.wait_for_url("**/add/*")
    page.get_by_label("It shows").select_option("document")
    expect(page.get_by_label("Of", exact=True)).to_have_count(0)
    page.route("**/add/*", hold)
    page.get_by_label("Who did it").fill("before")
    page.get_by_label("It shows").select_option("photograph")
    page.get_by_label("In words").fill("as the plate says")
    page.get_by_label("Who did it").fill("Wren")
    page.get_by_text("When, air, note, private").click()
    page.get_by_label("Temperature of the air").fill("19 °C")
    while not held:
        page.wait_for_timeout(10)
    held.pop().continue_()
    page.unroute("**/add/*")
    expect(page.get_by_label("Of", exact=True)).to_be_visible()
    expect(page.get_by_label("In words")).to_have_value("as the plate says")
    expect(page.get_by_label("Who did it")).to_have_value("Wren")
    expect(page.get_by_label("Temperature of the air")).to_have_value("19 °C")
    expect(page.get_by_label("Temperature of the air")).to_be_visible()
    page.route("**/add/*", hold)
    page.get_by_label("Of", exact=True).fill("the plate")
    page.get_by_label("It shows").select_option("photograph")
    page.get_by_role("button", name="File it").click()
    page.wait_for_url("**/evidence#entry-*")
    assert len(held) == 1
    expect(page.locator(":target")).to_contain_text("Wren")
    expect(page.locator(":target")).to_contain_text("the plate")


def test_what_is_filed_is_not_asked_about_any_more(page: Page, address: str) -> None:
    """How it would be read is tried while choices are typed; not once it is on its way to be filed, unless refused."""
    tried: list[str] = []
    held: list[Route] = []
    page.on("request", lambda asked: tried.append(asked.url) if asked.url.endswith("/tried") else None)
    page.goto(f"{address}{CASE}/evidence")
    page.evaluate(DROP, [[["asked.csv", coded(TWO_VOLTAGES.replace("CH2", "CH3").encode())]]])
    page.wait_for_url("**/add/*")
    page.get_by_label("Voltage", exact=True).fill("CH9")
    page.get_by_role("button", name="File it").click()
    expect(page.locator("form.entry > .told .problem")).to_contain_text("CH9")
    page.get_by_label("Voltage", exact=True).fill("CH1")
    expect(page.locator("#tried dl")).to_contain_text("CH1")
    page.get_by_label("Load", exact=True).select_option("steps")
    before = len(tried)
    page.route("**/add/*", lambda route: held.append(route))
    page.get_by_role("button", name="File it").click()
    page.get_by_label("Voltage", exact=True).fill("CH3")
    page.wait_for_timeout(600)
    assert len(held) == 1
    assert len(tried) == before > 0
    held.pop().continue_()
    page.unroute("**/add/*")
    page.wait_for_url("**/evidence#entry-*")


def test_without_script_files_are_brought_and_a_map_is_written(browser: Browser, address: str) -> None:
    """The form's own fields and buttons are enough."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(f"{address}{CASE}/add")
    page.get_by_label("From this device").set_input_files(
        {"name": "plate.png", "mimeType": "image/png", "buffer": PICTURE + b"4"}
    )
    page.get_by_role("button", name="Bring them").click()
    page.get_by_label("In words").fill("the plate")
    page.get_by_role("button", name="File it").click()
    expect(page).to_have_url(re.compile(r"/evidence#entry-"))
    page.goto(f"{address}{CASE}/record/wiring%20map")
    for group in page.get_by_role("group").filter(has=page.get_by_label("joined")).all()[1:]:
        group.get_by_label("open").check()
    page.get_by_role("button", name="Record").click()
    expect(page.locator(":target")).to_contain_text("12 pairs")
    context.close()


@pytest.mark.published("rules of WCAG 2.2 A and AA, and good practice, as axe-core 4.12 tries them")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_files_that_wait_break_no_rule_of_access(browser: Browser, address: str, scheme: str) -> None:
    """A picture, and the question with its first rows, its fields and choices, on a phone."""
    context = browser.new_context(color_scheme=scheme, viewport=PHONE)  # type: ignore[arg-type]  # plain dict and str
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(f"{address}{CASE}/evidence")
    page.evaluate(DROP, [[["two.csv", coded(TWO_VOLTAGES.encode())], ["a.png", coded(PICTURE + b"5")]]])
    page.wait_for_url("**/add/*")
    broken = []
    for name in ("a.png", "two.csv"):
        page.get_by_role("link", name=name).click()
        expect(page.get_by_role("heading", name=name)).to_be_visible()
        for details in page.locator("form.entry details").all():
            details.evaluate("one => { one.open = true; }")
        assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
        broken += [(rule["id"], rule["nodes"][0]["html"][:120]) for rule in Axe().run(page).response["violations"]]
    for name in ("two.csv", "a.png"):
        page.get_by_role("button", name=f"Put {name} away").click()
        expect(page.get_by_role("heading", name=name)).to_have_count(0)
    context.close()
    assert broken == []
