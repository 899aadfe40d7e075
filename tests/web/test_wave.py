"""The page of a capture: its wave in any zoom, cursors, figures of a cycle, and putting right how it is read."""

from __future__ import annotations

import json
import re
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import quote

import numpy as np
import pytest
import uvicorn
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, Page, expect

from coldpin.records.entry import Entry
from coldpin.records.plain import from_json
from coldpin.records.wave import WaveCut, WaveMarks
from coldpin.web.app import create_app
from coldpin.web.pages.pilot import PilotPage
from coldpin.web.pages.wave import CyclePage, PreviewPage
from coldpin.workbench import add_evidence
from coldpin.workbench.wave_opening import open_wave
from tests.workbench.quay import at, capture_text, make_case, make_shelf

PATIENCE = 120_000
"""Milliseconds after which a test gives up waiting for what is worked out."""

SMALL, GIGABYTE = 5_000_000, 500_000_000
"""Samples of two bytes: just long enough to be prepared, and a gigabyte of them."""

RATE = 1e6
CYCLE = 1e-3
GLITCH = 1_234_567


def write_long(file: Path, samples: int) -> None:
    """Write a capture of any length: state B with the oscillator on, and one sample far out, as an array."""
    tile = np.tile(np.repeat(np.array([900, -1200], np.int16), [267, 733]), 1000)
    with file.open("wb") as out:
        np.lib.format.write_array_header_1_0(out, {"descr": "<i2", "fortran_order": False, "shape": (samples,)})
        for _ in range(samples // tile.size):
            out.write(tile.tobytes())
    with file.open("r+b") as out:
        out.seek(file.stat().st_size - 2 * (samples - GLITCH))
        out.write(np.array([1700], "<i2").tobytes())


class Bench:
    """A shelf of its own with two captures, and a server that shows it."""

    def __init__(self, folder: Path, samples: int) -> None:
        self.samples = samples
        self.case = make_case(make_shelf(folder / "shelf"))
        short, long = folder / "steps.csv", folder / "long.npy"
        short.write_bytes(capture_text())
        write_long(long, samples)
        self.short = self.file(short)
        self.long = self.file(long, {"rate": RATE, "scale": 0.01})
        self.server = uvicorn.Server(
            uvicorn.Config(create_app(self.case.parent), host="127.0.0.1", port=0, log_level="warning")
        )

    def file(self, file: Path, choices: dict[str, str | float | int] | None = None) -> Entry:
        """File a capture."""
        return add_evidence(
            self.case,
            file,
            shows="pilot capture",
            who="Ines",
            instrument="scope",
            choices=choices,
            made=at(0),
            now=at(1),
        ).entry

    @property
    def address(self) -> str:
        """Where the case is shown."""
        return f"http://127.0.0.1:{self.server.servers[0].sockets[0].getsockname()[1]}/case/{self.case.name}"

    def wave(self, entry: Entry) -> str:
        """Where a capture is shown."""
        return f"{self.address}/wave/{quote(entry.id)}"


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory, proving: bool) -> Iterator[Bench]:
    """The shelf with its server."""
    made = Bench(tmp_path_factory.mktemp("wave"), GIGABYTE if proving else SMALL)
    listening = threading.Thread(target=made.server.run)
    listening.start()
    end = time.monotonic() + 30
    while not made.server.started and time.monotonic() < end:
        time.sleep(0.02)
    try:
        assert made.server.started, "the server did not begin to listen within 30 s"
        yield made
    finally:
        made.server.should_exit = True
        listening.join(timeout=60)


@pytest.fixture(scope="module")
def client(quay: Path) -> Iterator[TestClient]:
    """A program that asks the routes of the common shelf."""
    with TestClient(create_app(quay), base_url="http://127.0.0.1") as asked:
        yield asked


@pytest.fixture(scope="module")
def here(client: TestClient) -> str:
    """The address of the capture on the common shelf."""
    listed = from_json(PilotPage, client.get("/case/skerrow-16/pilot.json").text, where="the list")
    (line,) = listed.captures
    return f"/case/skerrow-16/wave/{line.entry.id}"


# ---- routes ----


@pytest.mark.independent("the samples as the capture layer reads them")
def test_a_window_is_sent_as_numbers_and_as_json(client: TestClient, quay: Path, here: str) -> None:
    """The same window twice: 32 bits with its record in a header, and as a record; each holds the samples it says."""
    wave = open_wave(quay / "skerrow-16", here.rpartition("/")[2])
    whole = wave.part(0, wave.samples)
    assert whole is not None
    for first, count, columns in ((0, wave.samples, 100), (777, 90, 100), (0, 4096, 1000)):
        asked = f"first={first}&count={count}&columns={columns}"
        numbers = client.get(f"{here}/samples?{asked}")
        assert numbers.headers["content-type"] == "application/octet-stream"
        said = from_json(WaveCut, numbers.headers["coldpin-wave"], where="the header")
        told = from_json(WaveCut, client.get(f"{here}/samples.json?{asked}").text, where="the twin")
        assert (said.first, said.stop, said.samples_per_column) == (told.first, told.stop, told.samples_per_column)
        assert said.start_s == pytest.approx(said.first * wave.sample_interval)
        sides = 1 if said.samples_per_column == 1 else 2
        drawn = np.frombuffer(numbers.content, "<f4").reshape(sides, -1)
        (pilot,) = told.channels
        assert drawn[0].tolist() == list(pilot.low_v)
        assert drawn[-1].tolist() == list(pilot.high_v)
        bounds = range(said.first, said.stop, said.samples_per_column)
        cut = whole.voltage[: said.stop]
        assert list(pilot.low_v) == np.minimum.reduceat(cut, bounds).astype(np.float32).tolist()
        assert list(pilot.high_v) == np.maximum.reduceat(cut, bounds).astype(np.float32).tolist()


@pytest.mark.parametrize(
    "asked",
    [
        "first=-1&count=5&columns=5",
        "first=0&count=0&columns=5",
        "first=0&count=5&columns=0",
        "first=0&count=5&columns=4097",
        "first=999999999&count=5&columns=5",
        "first=0&count=5",
        "first=a&count=5&columns=5",
        "first=1e3&count=5&columns=5",
    ],
)
@pytest.mark.parametrize("form", ["samples", "samples.json"])
def test_a_window_outside_its_bounds_is_refused(client: TestClient, here: str, asked: str, form: str) -> None:
    """With a message, and the bounds are in the description of the routes."""
    answer = client.get(f"{here}/{form}?{asked}", headers={"accept": "application/json"})
    assert answer.status_code == 422
    assert answer.json()["error"]
    described = client.get("/openapi.json").json()["paths"][f"/case/{{name}}/wave/{{entry}}/{form}"]["get"]
    bounds = {one["name"]: one["schema"] for one in described["parameters"]}
    assert bounds["columns"]["maximum"] == 4096
    assert bounds["first"]["minimum"] == 0
    assert bounds["count"]["minimum"] == 1
    assert "202" in described["responses"]


def test_a_cycle_has_its_figures(client: TestClient, here: str) -> None:
    """As a page and as its twin; a time outside is refused, also what is no number."""
    found = from_json(CyclePage, client.get(f"{here}/cycle.json?at=0.075").text, where="the twin")
    assert found.figures is not None
    assert found.figures.state == "C2"
    assert found.figures.duty_percent is not None
    assert found.figures.duty_percent.u is not None
    page = client.get(f"{here}/cycle?at=0.075").text
    assert 'data-kind="cycle"' in page
    assert "26.6" in page or "26.7" in page
    for wrong in ("-1", "7", "nan", "inf", "x"):
        assert client.get(f"{here}/cycle.json?at={wrong}").status_code == 422


def test_a_preview_writes_nothing(client: TestClient, here: str, quay: Path) -> None:
    """It says what the levels would be; what cannot be read so is refused."""
    before = sorted(path.name for path in (quay / "skerrow-16" / "entries").iterdir())
    found = from_json(PreviewPage, client.get(f"{here}/preview.json?pilot_factor=2").text, where="the twin")
    assert found.changes == (("pilot factor", "2"),)
    assert "the high level is" in client.get(f"{here}/preview?pilot_factor=2").text
    assert client.get(f"{here}/preview.json?pilot_factor=x").status_code == 422
    assert sorted(path.name for path in (quay / "skerrow-16" / "entries").iterdir()) == before


def test_a_correction_needs_a_reason_and_a_change(client: TestClient, here: str) -> None:
    """Nothing is written without them."""
    for given in (
        {"who": "Ines", "pilot_factor": "2"},
        {"who": "Ines", "reason": "", "pilot_factor": "2"},
        {"who": "Ines", "reason": "nothing changes"},
        {"who": "Ines", "reason": "a slip", "pilot_factor": "0"},
    ):
        answer = client.post(f"{here}/correct", data=given, headers={"accept": "application/json"})
        assert answer.status_code == 422, given


@pytest.mark.parametrize("rest", ["", "/samples?first=0&count=5&columns=5", "/marks.json", "/cycle?at=0", "/preview"])
def test_what_is_no_capture_is_not_found(client: TestClient, rest: str) -> None:
    """Whatever is asked of it."""
    assert client.get(f"/case/skerrow-16/wave/nothing{rest}").status_code == 404
    assert client.get(f"/case/nothing/wave/nothing{rest}").status_code == 404


def test_a_page_says_what_cannot_be_opened(tmp_path: Path) -> None:
    """A capture whose file is gone is told on its page, and the list stays."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    file = tmp_path / "steps.csv"
    file.write_bytes(capture_text())
    entry = add_evidence(case, file, shows="pilot capture", who="Ines", made=at(0), now=at(1)).entry
    assert entry.evidence is not None
    (case / "evidence" / entry.evidence.file).unlink()
    with TestClient(create_app(case.parent), base_url="http://127.0.0.1") as asked:
        page = asked.get(f"/case/{case.name}/wave/{entry.id}")
        assert page.status_code == 200
        assert "Could not be used" in page.text
        assert asked.get(f"/case/{case.name}/wave/{entry.id}/samples?first=0&count=1&columns=1").status_code == 422
        assert "steps.csv" in asked.get(f"/case/{case.name}/pilot").text


# ---- in the browser ----


def opened(browser: Browser, address: str, **how: object) -> Page:
    """A page that is there whole, its wave drawn."""
    page = browser.new_context(**how).new_page()  # type: ignore[arg-type]  # plain values
    page.set_default_timeout(15_000)
    page.goto(address)
    expect(page.locator(".telling")).to_contain_text("in view", timeout=PATIENCE)
    return page


def per_column(page: Page) -> int:
    """How many samples stand in one column."""
    return int(page.locator(".bench-wave").get_attribute("data-per-column") or "0")


def test_a_long_capture_is_prepared_beside_the_page(browser: Browser, bench: Bench) -> None:
    """Near windows are drawn meanwhile; then the whole, in which one sample of all stands out; zoom ends at samples."""
    page = opened(browser, bench.wave(bench.long))
    told = page.locator(".telling")
    whole = f"{bench.samples / RATE:g} s in view"
    if "The whole is being prepared" in told.inner_text():
        expect(told).to_contain_text("from 0 s")
        assert whole not in told.inner_text()
    expect(told).to_contain_text(whole, timeout=PATIENCE)
    expect(told).to_contain_text(re.compile(r"each column shows lowest and highest of [\d\u202f]+ samples"))
    coarse = per_column(page)
    assert coarse >= bench.samples // 4096 // 2
    assert coarse / RATE >= CYCLE, "a column that is drawn beside many holds a whole cycle"
    highest = "async here => { const a = await fetch(here + '/samples.json?first=0&count=%d&columns=1000'); "
    highest = highest % bench.samples + "return Math.max(...(await a.json()).channels[0].high_v); }"
    assert page.evaluate(highest, bench.wave(bench.long)) == pytest.approx(17.0)

    page.get_by_label("or at, in seconds").fill(str(GLITCH / RATE))
    page.get_by_role("button", name="Show", exact=True).first.click()
    expect(page.locator("#cycle")).to_contain_text("says B2")
    expect(page.locator("#cycle")).to_contain_text("Duty cycle")
    for _ in range(40):
        if "every sample is drawn" in told.inner_text():
            break
        with page.expect_response(re.compile("/samples\\?")):
            page.locator(".drawing").press("+")
    expect(told).to_contain_text("every sample is drawn, 1 µs apart")
    page.get_by_role("button", name="Whole").click()
    expect(told).to_contain_text(whole)
    expect(page.locator(".bench-wave")).to_have_attribute("data-per-column", str(coarse))
    page.context.close()


def test_the_wave_is_moved_about_in_by_keys_alone(browser: Browser, bench: Bench) -> None:
    """Closer, later, to the end, to the change before, two cursors with their difference, figures, the whole."""
    page = opened(browser, bench.wave(bench.short))
    expect(page.locator(".work")).to_have_count(0, timeout=PATIENCE)
    told, drawing = page.locator(".telling"), page.locator(".drawing")
    drawing.focus()
    whole = told.inner_text()
    page.keyboard.press("+")
    expect(told).not_to_have_text(whole)
    page.keyboard.press("End")
    page.keyboard.press("p")
    expect(told).to_contain_text("In the middle: B1 to C2.")
    page.keyboard.press("p")
    expect(told).to_contain_text("In the middle: A1 to B1.")
    page.keyboard.press("n")
    expect(told).to_contain_text("In the middle: B1 to C2.")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("a")
    expect(page.get_by_role("slider", name="Cursor A")).to_be_focused()
    page.keyboard.press("b")
    expect(page.get_by_role("slider", name="Cursor B")).to_be_focused()
    for _ in range(3):
        page.keyboard.press("Shift+ArrowRight")
    difference = page.locator("[data-row=difference] td").first
    expect(difference).to_contain_text("1/Δt")
    expect(difference).to_contain_text("Hz")
    value = page.get_by_role("slider", name="Cursor B")
    assert int(value.get_attribute("aria-valuenow") or 0) > int(
        page.get_by_role("slider", name="Cursor A").get_attribute("aria-valuenow") or 0
    )
    assert " V" in (value.get_attribute("aria-valuetext") or "")
    page.keyboard.press("Enter")
    expect(page.locator("#cycle")).to_contain_text("says C2")
    page.keyboard.press("0")
    expect(told).to_have_text(whole)
    page.context.close()


def in_view(page: Page) -> tuple[float, float]:
    """How long the stretch in view is, and where it begins, once it is drawn. [s]"""
    found = re.match(r"(\S+) (\w+) in view, from (\S+) (\w+);", page.locator(".telling").inner_text())
    assert found is not None
    units = {"s": 1.0, "ms": 1e-3, "µs": 1e-6}
    return float(found[1]) * units[found[2]], float(found[3]) * units[found[4]]


def comes_to(page: Page, wanted: Callable[[tuple[float, float]], bool]) -> tuple[float, float]:
    """What is in view once it is as wanted: of a hand that goes on moving, pieces are drawn before the last."""
    end = time.monotonic() + PATIENCE / 1000
    while not wanted(now := in_view(page)):
        assert time.monotonic() < end, now
        page.wait_for_timeout(50)
    return now


def test_the_wave_is_moved_about_in_by_the_pointer(browser: Browser, bench: Bench) -> None:
    """A drag comes closer to its stretch, with shift it moves; wheel, double click, Escape; a click; a cursor."""
    page = opened(browser, bench.wave(bench.short))
    over = page.locator(".plot .u-over").first
    box = over.bounding_box()
    assert box is not None
    told, middle = page.locator(".telling"), (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    def drag(start: float, stop: float, *, escape: bool = False) -> None:
        page.mouse.move(box["x"] + start * box["width"], middle[1])
        page.mouse.down()
        page.mouse.move(box["x"] + stop * box["width"], middle[1], steps=4)
        if escape:
            page.keyboard.press("Escape")
        page.mouse.up()

    whole, _ = in_view(page)
    seen = told.inner_text()
    drag(0.25, 0.5, escape=True)
    expect(told).to_have_text(seen)
    drag(0.75, 0.5)
    expect(told).not_to_have_text(seen)
    length, begin = in_view(page)
    assert (length, begin) == pytest.approx((0.25 * whole, 0.5 * whole), rel=0.02)
    seen = told.inner_text()
    page.keyboard.down("Shift")
    drag(0.3, 0.5)
    page.keyboard.up("Shift")
    expect(told).not_to_have_text(seen)
    comes_to(page, lambda now: now == pytest.approx((length, begin - 0.2 * length), rel=0.02))
    seen = told.inner_text()
    page.mouse.move(*middle)
    page.mouse.wheel(0, -900)
    expect(told).not_to_have_text(seen)
    closer, later = in_view(page)
    assert closer < 0.5 * length
    assert later + closer / 2 == pytest.approx(begin + 0.3 * length, rel=0.02), "what lies under the pointer stays"
    page.mouse.dblclick(*middle)
    expect(told).to_contain_text("from 0 s")
    assert in_view(page) == (whole, 0.0)
    expect(page.locator("#cycle")).to_have_text("Click a cycle of the wave for its figures.")
    page.mouse.click(*middle)
    expect(page.locator("#cycle")).to_contain_text("High level")
    page.get_by_role("button", name="Cursors").click()
    handle = page.get_by_role("slider", name="Cursor A")
    before = handle.get_attribute("aria-valuenow")
    grip = handle.bounding_box()
    assert grip is not None
    page.mouse.move(grip["x"] + grip["width"] / 2, grip["y"] + 40)
    page.mouse.down()
    page.mouse.move(grip["x"] + 90, grip["y"] + 40, steps=3)
    page.mouse.up()
    expect(handle).not_to_have_attribute("aria-valuenow", before or "")
    seen = told.inner_text()
    page.locator(".drawing").press("z")
    expect(told).not_to_have_text(seen)
    at_a, at_b = (
        float(page.get_by_role("slider", name=f"Cursor {name}").get_attribute("aria-valuenow") or "nan")
        for name in "AB"
    )
    assert in_view(page)[0] == pytest.approx(abs(at_b - at_a) * 4e-6, rel=0.02), "four microseconds apart"
    page.context.close()


def test_one_finger_comes_closer_to_a_stretch_and_two_stretch_and_move(browser: Browser, bench: Bench) -> None:
    """What lies under the fingers stays under them; two taps show the whole; the page is not moved sideways."""
    page = opened(browser, bench.wave(bench.short), viewport={"width": 390, "height": 844}, has_touch=True)
    told = page.locator(".telling")
    place = page.locator(".plot .u-over").first
    place.scroll_into_view_if_needed()
    box = place.bounding_box()
    assert box is not None
    line = page.context.new_cdp_session(page)
    middle, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def touch(kind: str, *places: float) -> None:
        points = [{"x": x, "y": y, "id": place} for place, x in enumerate(places)]
        line.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    whole, _ = in_view(page)
    seen = told.inner_text()
    touch("touchStart", middle)
    for step in range(1, 9):
        touch("touchMove", middle + step * box["width"] / 32)
    touch("touchEnd")
    expect(told).not_to_have_text(seen)
    length, begin = comes_to(page, lambda now: now == pytest.approx((0.25 * whole, 0.5 * whole), rel=0.03))
    seen = told.inner_text()
    touch("touchStart", middle - 30, middle + 30)
    for step in range(1, 8):
        touch("touchMove", middle - 30 - 10 * step, middle + 30 + 10 * step)
    touch("touchEnd")
    expect(told).not_to_have_text(seen)
    closer, later = comes_to(page, lambda now: now[0] == pytest.approx(0.3 * length, rel=0.05))
    assert later + closer / 2 == pytest.approx(begin + length / 2, rel=0.02)
    seen = told.inner_text()
    touch("touchStart", middle - 50, middle + 50)
    for step in range(1, 8):
        touch("touchMove", middle - 50 + 10 * step, middle + 50 + 10 * step)
    touch("touchEnd")
    expect(told).not_to_have_text(seen)
    comes_to(page, lambda now: now == pytest.approx((closer, later - 70 / box["width"] * closer), rel=0.02))
    for _ in range(2):
        touch("touchStart", middle)
        touch("touchEnd")
    expect(told).to_contain_text("from 0 s")
    assert in_view(page) == (whole, 0.0)
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    page.context.close()


def test_a_server_that_does_not_answer_is_told(browser: Browser, bench: Bench) -> None:
    """What is drawn stays; the next window that is answered is drawn."""
    page = opened(browser, bench.wave(bench.short))
    told = page.locator(".telling")
    page.route("**/samples?*", lambda route: route.abort())
    page.get_by_role("button", name="Closer").click()
    expect(told).to_contain_text("Could not be drawn")
    page.unroute("**/samples?*")
    page.get_by_role("button", name="Closer").click()
    expect(told).to_contain_text("in view")
    page.context.close()


def test_it_is_drawn_anew_when_the_page_turns_dark(browser: Browser, bench: Bench) -> None:
    """In the colours of the page, which are read anew."""
    page = opened(browser, bench.wave(bench.short), color_scheme="light")
    inked = """() => { const c = document.querySelector('.plot canvas'), x = c.getContext('2d');
        const said = getComputedStyle(document.documentElement).getPropertyValue('--wave-ink').trim();
        const ink = [1, 3, 5].map(at => parseInt(said.slice(at, at + 2), 16));
        const p = x.getImageData(0, 0, c.width, c.height).data;
        for (let i = 0; i < p.length; i += 4)
            if (p[i + 3] > 250 && ink.every((value, at) => Math.abs(p[i + at] - value) < 3)) return said;
        return ''; }"""
    light = page.evaluate(inked)
    assert light
    for scheme in ("dark", "light"):
        page.emulate_media(color_scheme=scheme)
        end = time.monotonic() + 15
        while not (seen := page.evaluate(inked)) or (seen == light) != (scheme == "light"):
            assert time.monotonic() < end, f"it is not drawn in the colours of the {scheme} page"
    page.context.close()


def test_states_are_told_by_word_and_hatch(browser: Browser, bench: Bench) -> None:
    """Above the wave, and in small in the list; the windows stand behind it."""
    page = opened(browser, bench.wave(bench.short))
    expect(page.locator(".work")).to_have_count(0, timeout=PATIENCE)
    ribbon = page.locator(".ribbon.above")
    expect(ribbon.locator("text").filter(has_text="C2")).to_have_count(1)
    assert ribbon.locator(".pulses").count() == 2
    marks = from_json(WaveMarks, page.request.get(f"{bench.wave(bench.short)}/marks.json").text(), where="marks")
    assert [state.state.value for state in marks.states] == ["A1", "B1", "C2", "B2"]
    assert [event.words for event in marks.events] == ["A1 to B1", "B1 to C2", "C2 to B2"]
    assert marks.beats_s == pytest.approx((1e-3,), rel=0.01)
    assert {band.state.value for band in marks.bands} >= {"A1", "B2", "C2", "F"}
    page.goto(f"{bench.address}/pilot")
    small = page.locator(".capture").filter(has_text="steps.csv").locator(".ribbon")
    expect(small.locator("text").filter(has_text="C2")).to_have_count(1)
    expect(small).to_have_attribute("aria-label", re.compile("States: .*C2"))
    page.context.close()


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without"])
def test_how_a_capture_is_read_is_put_right(browser: Browser, bench: Bench, tmp_path: Path, script: bool) -> None:
    """Shown before, refused where it cannot be, written with its reason; the earlier one says where to look now."""
    file = tmp_path / f"probe {script}.csv"
    file.write_bytes(capture_text(duty=40.0 if script else 41.0))
    entry = bench.file(file)
    page = browser.new_context(java_script_enabled=script).new_page()
    page.set_default_timeout(15_000)
    page.goto(bench.wave(entry))
    page.get_by_label("Multiply the pilot by").fill("0.1")
    page.get_by_role("button", name="Show what it would be").click()
    expect(page.locator("#previewed .notice")).to_contain_text("the high level is 1.198 V ±")
    if not script:
        page.go_back()
    page.get_by_label("Multiply the pilot by").fill("none")
    page.get_by_label("What was wrong").fill("the probe stood at 1:1, the instrument at 10:1")
    page.get_by_label("Who corrects").fill("Ines")
    page.get_by_role("button", name="Correct how it is read").click()
    expect(page.get_by_text("give a number such as")).to_be_visible()
    if not script:
        page.go_back()
        page.get_by_label("What was wrong").fill("the probe stood at 1:1, the instrument at 10:1")
        page.get_by_label("Who corrects").fill("Ines")
    page.get_by_label("Multiply the pilot by").fill("0.1")
    page.get_by_role("button", name="Correct how it is read").click()
    page.wait_for_url(lambda url: "/wave/" in url and entry.id not in url)
    expect(page.get_by_text("pilot factor: 0.1")).to_be_visible()
    (made,) = [
        json.loads(path.read_text("utf-8"))
        for path in (bench.case / "entries").iterdir()
        if entry.id in path.read_text("utf-8") and path.stem != entry.id
    ]
    assert made["replaces"] == entry.id
    page.goto(bench.wave(entry))
    expect(page.get_by_text("This way of reading it was corrected")).to_be_visible()
    page.context.close()
