"""Speed of the page at the bench, in a browser, and what its server holds in memory.

The demonstration is served by ``coldpin serve`` in a process of its own, as a person starts it. A page is ready when
its pictures are there too and two frames were painted; beside it a page of one line is opened by the same browser, from
a server that does nothing else: what a page takes on any machine is told by their ratio. What a hand does is timed by
the browser itself, from the input to the next frame that shows what it did.
"""

from __future__ import annotations

import http
import http.client
import json
import os
import shutil
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from statistics import median
from typing import Any
from urllib.parse import urlsplit

import httpx2
from playwright.sync_api import Browser, Error, Page, sync_playwright

from coldpin.workbench import record
from coldpin.workbench.demo import tell_story
from tests.conftest import QUIET
from tests.web.places import PLACES, found_at
from tests.web.served import JSON, Served, served, wait_until_assessed
from tools.measured_page import table
from tools.timing import in_turns, tell

READY_GOAL_MS, HAND_GOAL_MS = 600.0, 100.0
"""Asked for: a page ready, and an interaction answered, in headless Chromium on the demonstration. [ms]"""

MEMORY_GOAL_MIB, UPLOAD_GOAL_MIB = 512.0, 64.0
"""Ours: what the server may hold after a thousand requests, and what a file of a gigabyte may add. [MiB]"""

CASE = "skerrow-16"
RUNS = 7
REQUESTS = 1000
UPLOAD = 1 << 30
"""Bytes of the file that is brought. [bytes]"""

CHUNK = 1 << 20
HAND_PATIENCE_MS, PAGE_PATIENCE_MS = 5_000.0, 60_000.0
"""After so long something to be used, or a page, is given up. [ms]"""

MOST_HANDS = 12
"""So many things are done on a page at most."""

PLAIN = b"<!doctype html><html lang=en><title>plain</title><p>One line."

TWO_FRAMES = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
LISTEN = """() => {
  window.waits = [];
  new PerformanceObserver(list => list.getEntries().forEach(one => window.waits.push(one.duration)))
    .observe({type: "event", durationThreshold: 16});
}"""
HEARD = "() => window.waits.splice(0)"


def section() -> tuple[str, bool]:
    """Open every page of the demonstration, use it, and look at what the server holds.

    Returns
    -------
    tuple of str and bool
        Tables, and whether every goal is reached.
    """
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        return "The page at the bench was not measured: no Chromium here (make system-deps).\n", False
    with tempfile.TemporaryDirectory() as folder:
        shelf = tell_story(Path(folder) / "shelf")
        with served(shelf) as server, plain_server() as plain, sync_playwright() as play:
            begun = server.memory()
            wait_until_assessed(server)
            browser = play.chromium.launch(executable_path=found, args=list(QUIET))
            pages, pages_reached = _pages(browser, server, plain, shelf / CASE)
            browser.close()
            tried, tried_reached = _what_if(server)
            held, held_reached = _memory(server, begun)
    load = os.getloadavg()[0]
    text = (
        "The page at the bench, in headless Chromium: until a page and its pictures are there and painted, in turns "
        "with a page of one line from a server that does nothing else; and from what a hand does (a click, a key, a "
        "turn of the wheel on each thing that takes one) to the next frame. "
        f"Load average at the end {load:.1f}.\n\n"
    )
    return f"{text}{pages}\n{tried}\n{held}", pages_reached and tried_reached and held_reached


@contextmanager
def plain_server() -> Iterator[str]:
    """Serve a page of one line while the body runs.

    Yields
    ------
    str
        Its address.
    """

    class Plain(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("content-type", "text/html")
            self.send_header("content-length", str(len(PLAIN)))
            self.end_headers()
            self.wfile.write(PLAIN)

        def log_message(self, *_: Any) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Plain)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()


def _pages(browser: Browser, server: Served, plain: str, case: Path) -> tuple[str, bool]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(HAND_PATIENCE_MS)
    context.set_default_navigation_timeout(PAGE_PATIENCE_MS)
    page = context.new_page()
    rows = []
    for place in PLACES:
        tell(f"page: {place.name}")
        address = server.address + found_at(page, server.address, place, place.shows)
        opened(page, address)
        times, beside = in_turns(partial(opened, page, address), partial(opened, page, plain), runs=RUNS)
        rows.append(_Opened(name=place.name, times=times, beside=beside, waits=tuple(used(page, address))))
    tell("page: opened while its case is assessed")
    address, meanwhile, plainly = f"{server.address}/case/{CASE}", list[float](), list[float]()
    for number in range(RUNS):
        record(case, shows="remark", who="Ines", note=f"looked at again, {number}")
        opened(page, address)  # which begins to assess it
        meanwhile.append(opened(page, address))
        plainly.append(opened(page, plain))
    rows.append(_Opened(name="a case while it is assessed", times=tuple(meanwhile), beside=tuple(plainly)))
    context.close()
    head = [
        "page",
        "ready, median",
        "lowest to highest",
        "over a plain page",
        "goal",
        "a hand's wait, median and longest",
        "goal",
    ]
    return table(head, [row.cells() for row in rows]), all(row.reached for row in rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Opened:
    """One page: how long until it was ready, each time, beside a plain page; what was waited for on it. [ms]"""

    name: str
    times: tuple[float, ...]
    beside: tuple[float, ...]
    waits: tuple[float, ...] = ()

    @property
    def reached(self) -> bool:
        return median(self.times) <= READY_GOAL_MS and max(self.waits, default=0.0) <= HAND_GOAL_MS

    def cells(self) -> list[str]:
        ready, hand = median(self.times), max(self.waits, default=0.0)
        return [
            self.name,
            f"{ready:.0f} ms",
            f"{min(self.times):.0f} ms to {max(self.times):.0f} ms",
            f"{ready / median(self.beside):.1f}",
            _goal(READY_GOAL_MS, ready),
            f"{median(self.waits):.0f} ms, {hand:.0f} ms" if self.waits else "within a frame",
            _goal(HAND_GOAL_MS, hand),
        ]


TRIED = {
    "another chance in one scenario": "risk/touch-live-pins?step=way-to-earth&state=&low=1/100&best=1/50&high=1/10",
    "another chance wherever the step stands": "risk/touch-live-pins?step=shock-lasts&state=&low=1/50&best=1/20"
    "&high=1/5&everywhere=true",
    "another severity": "risk/touch-live-pins?severity=2",
    "another supply": "uses/what-if?like=Driveway,%20in%20rain&field=name&value=x&field=place&value=driveway"
    "&field=supply_rating&value=10%20A",
}
"""What is tried on a case, by its words: the addresses that its forms ask for as one types."""


def _what_if(server: Served) -> tuple[str, bool]:
    """Ask what if, as a form does at each key; the case is opened for it before."""
    rows, reached = [], True
    with httpx2.Client(base_url=f"{server.address}/case/{CASE}/", timeout=HAND_PATIENCE_MS) as asking:
        for what, address in TRIED.items():
            tell(f"page: what if, {what}")
            times = []
            for _ in range(RUNS + 1):
                begin = time.perf_counter()
                asking.get(address).raise_for_status()
                times.append(1000.0 * (time.perf_counter() - begin))
            first, rest = times[0], times[1:]
            reached = reached and median(rest) <= HAND_GOAL_MS
            cells = [f"{median(rest):.0f} ms", f"{min(rest):.0f} ms to {max(rest):.0f} ms", f"{first:.0f} ms"]
            rows.append([what, *cells, _goal(HAND_GOAL_MS, median(rest))])
    return table(["what if", "answered, median", "lowest to highest", "the first time", "goal"], rows), reached


def _goal(most: float, value: float) -> str:
    return f"≤ {most:g} ms" + ("" if value <= most else ", **not reached**")


def opened(page: Page, address: str) -> float:
    """Open a page and wait until it is painted, pictures too.

    Parameters
    ----------
    page : Page
        A tab.
    address : str
        What to open.

    Returns
    -------
    float
        From asking to the second frame after all is there. [ms]
    """
    begin = time.perf_counter()
    page.goto(address, wait_until="load")
    page.evaluate(TWO_FRAMES)
    return 1000.0 * (time.perf_counter() - begin)


def used(page: Page, address: str) -> list[float]:
    """Do on a page what a hand may do without sending anything, and return each wait for the next frame.

    Parameters
    ----------
    page : Page
        A tab.
    address : str
        The page.

    Returns
    -------
    list of float
        Of every input that the browser timed; those under a frame are not told by it. [ms]
    """
    opened(page, address)
    page.evaluate(LISTEN)
    waits: list[float] = []
    for what, does in (
        ("summary", lambda one: one.click()),
        ("input[type=checkbox]", lambda one: one.click()),
        ("input[type=range]", lambda one: one.press("ArrowRight")),
        ("input:not([type]), input[type=text], textarea", lambda one: one.press("1")),
        ("button[type=button]", lambda one: one.click()),
        ("canvas, svg[tabindex], [role=application]", partial(_turn_wheel, page)),
    ):
        for one in page.locator(f"main :is({what})").all()[:MOST_HANDS]:
            try:
                if not one.is_visible():
                    continue
                # to the middle of the view: a field on its last rows is told by the browser only with the next scroll
                one.evaluate("one => one.scrollIntoView({block: 'center'})", timeout=1000)
                does(one)
                page.evaluate(TWO_FRAMES)
            except Error:
                continue  # something else stands over it by now, or it went away with what was done before
            waits += page.evaluate(HEARD)
    return waits


def _turn_wheel(page: Page, one: Any) -> None:
    box = one.bounding_box()
    if box is not None:
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.wheel(0, -200)
        one.press("ArrowRight")


def _memory(server: Served, begun: float) -> tuple[str, bool]:
    tell(f"page: {REQUESTS} requests")
    assessed = server.memory()
    with httpx2.Client(base_url=server.address, timeout=60.0) as client:
        for number in range(REQUESTS):
            client.get(("/", f"/case/{CASE}", f"/case/{CASE}.json", "/instruments")[number % 4]).raise_for_status()
        after = server.memory()
        tell("page: a file of a gigabyte brought")
        begin = time.perf_counter()
        token = bring(server, UPLOAD)
        took = time.perf_counter() - begin
        most = max(server.memory(), after)
        client.post(f"/case/{CASE}/add/{token}/away", headers=JSON).raise_for_status()
    rows = [
        ["when it answers", f"{begun:.0f} MiB", "none"],
        ["every case of the demonstration assessed", f"{assessed:.0f} MiB", "none"],
        [f"after {REQUESTS} requests", f"{after:.0f} MiB", _most(MEMORY_GOAL_MIB, after)],
        [
            f"more, after a file of 1 GiB was brought in {took:.0f} s",
            f"{most - after:.0f} MiB",
            _most(UPLOAD_GOAL_MIB, most - after),
        ],
    ]
    text = "What the server holds in memory, its second process left out.\n\n"
    return text + table(["when", "held", "goal"], rows), after <= MEMORY_GOAL_MIB and most - after <= UPLOAD_GOAL_MIB


def _most(goal: float, value: float) -> str:
    return f"≤ {goal:g} MiB" + ("" if value <= goal else ", **not reached**")


def bring(server: Served, size: int) -> str:
    """Bring a file to a case, a piece at a time, and return the name under which it waits.

    Parameters
    ----------
    server : Served
        The server.
    size : int
        Of the file. [bytes]

    Returns
    -------
    str
        Its name among what waits.
    """
    head = b'--x\r\ncontent-disposition: form-data; name="file"; filename="long.bin"\r\n\r\n'
    foot = b'\r\n--x\r\ncontent-disposition: form-data; name="hold"\r\n\r\nyes\r\n--x--\r\n'
    place = urlsplit(server.address)
    line = http.client.HTTPConnection(str(place.hostname), place.port, timeout=300)
    line.putrequest("POST", f"/case/{CASE}/add")
    for name, text in (JSON | {"content-type": "multipart/form-data; boundary=x"}).items():
        line.putheader(name, text)
    line.putheader("content-length", str(len(head) + size + len(foot)))
    line.endheaders()
    line.send(head)
    piece = os.urandom(CHUNK)
    for _ in range(size // CHUNK):
        line.send(piece)
    line.send(foot)
    answer = line.getresponse()
    told = answer.read()
    line.close()
    if answer.status >= http.HTTPStatus.BAD_REQUEST:
        raise RuntimeError(f"the file was refused: {told.decode()}")
    return str(json.loads(told)["token"])


if __name__ == "__main__":
    print(section()[0])
