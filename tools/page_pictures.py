"""Make the pictures of the page at the bench: every place of it in light, in dark and on a phone, and its style.

They are written into ``docs/pictures``, and ``docs/page.md`` is written beside them, from the same list that the tests
of access walk. Apart from ``make docs``, as every version of a browser draws letters a little differently.
"""

from __future__ import annotations

import io
import re
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import uvicorn
from PIL import Image
from playwright.sync_api import Browser, Page, expect, sync_playwright

from coldpin.web.app import create_app
from coldpin.workbench.demo import make_demo
from tests.conftest import QUIET
from tests.web.places import PLACES, Place, found_at
from tools.first_lead import PICTURES as FIRST_LEAD
from tools.first_lead import SHELF, follow, lay_table
from tools.measured_page import PROJECT

DOCS = PROJECT / "docs"
PICTURES = DOCS / "pictures"
STYLE = DOCS / "page_style.md"
PAGE = DOCS / "page.md"
ASSESSED = 300_000
"""Milliseconds in which three cases are assessed, with much to spare."""
QUALITY = 80
"""Of a picture that holds a photograph; others are kept without loss where that is smaller."""
COLOURS = 128
"""Enough for text and flat drawings."""
_BEGUN = """\
# The page at the bench

<!-- made by tools/page_pictures.py from tests/web/places.py: change it there -->

`coldpin serve SHELF` opens a shelf in the browser, on this machine alone; `make demo` makes one to try
(`coldpin serve demo-shelf`). Nothing is loaded from elsewhere, every page has a JSON twin at its foot, and what is done
here is done by the same functions that the commands use: the page and a terminal may work at once.
[The style](page_style.md) says how it is set. The pictures are of the demo.

> **Mains voltage kills.** A tick on a page is a reminder, not an interlock. Cautions stand before their steps.
"""
FIRST = "case"
"""The place that stands in README, on a desk and on a phone."""
BOTTOM = 1100
"""Where the picture in README ends, and those of the tutorial. [px]"""
TUTORIAL_WIDTH = 1240
"""Of the pictures of the tutorial, in which two columns stand beside each other. [px]"""
EXAMPLE = re.compile(r"^```html\n(?P<body>.*?)^```$", flags=re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One way to look at a page."""

    name: str
    words: str
    width: int
    height: int
    scheme: Literal["light", "dark"] = "light"
    touch: bool = False


VIEWS = (
    View(name="light", words="light", width=1360, height=1500),
    View(name="dark", words="dark", width=1360, height=1500, scheme="dark"),
    View(name="phone", words="on a phone", width=390, height=1400, touch=True),
)


def main() -> int:
    """Make the demo in a temporary folder, show it, and take the pictures.

    Returns
    -------
    int
        0.
    """
    with tempfile.TemporaryDirectory() as folder:
        shelf = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(folder) / "shelf"
        if not shelf.exists():
            make_demo(shelf)
        with served(shelf) as address, sync_playwright() as play:
            browser = play.chromium.launch(executable_path=chromium(), args=list(QUIET))
            save(style_picture(browser, address), PICTURES / "page_style.webp")
            seen = {}
            for view in VIEWS:
                for place, picture in places_seen(browser, address, view):
                    seen[place.name, view.name] = picture
                    save(picture, PICTURES / "page" / f"{place.name}-{view.name}.webp")
            save(beside(seen[FIRST, "light"], seen[FIRST, "phone"]), PICTURES / "page.webp")
            for name, picture in tutorial_pictures(browser, Path(folder)):
                save(picture, FIRST_LEAD / f"{name}.webp")
            browser.close()
    PAGE.write_text(page_of_pictures(), encoding="utf-8")
    whole = sum(path.stat().st_size for path in PICTURES.rglob("*.webp"))
    print(f"wrote {PICTURES.relative_to(PROJECT)}, {whole / 1e6:.1f} MB, and {PAGE.relative_to(PROJECT)}")
    return 0


def chromium() -> str:
    """Return the browser of this machine.

    Returns
    -------
    str
        Its path.

    Raises
    ------
    FileNotFoundError
        There is none: ``make system-deps`` installs it.
    """
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        raise FileNotFoundError("no Chromium here: make system-deps")
    return found


@contextmanager
def served(shelf: Path) -> Iterator[str]:
    """Show a shelf on a free port while the body runs.

    Parameters
    ----------
    shelf : Path
        The shelf.

    Yields
    ------
    str
        Its address.
    """
    server = uvicorn.Server(uvicorn.Config(create_app(shelf), host="127.0.0.1", port=0, log_level="warning"))
    listening = threading.Thread(target=server.run)
    listening.start()
    try:
        while not server.started and listening.is_alive():
            time.sleep(0.02)
        yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    finally:
        server.should_exit = True
        listening.join()


def places_seen(browser: Browser, address: str, view: View) -> Iterator[tuple[Place, bytes]]:
    """Look at every place in one way.

    Parameters
    ----------
    browser : Browser
        The browser.
    address : str
        Of the shelf.
    view : View
        The way.

    Yields
    ------
    tuple of Place and bytes
        A place and its picture, PNG.
    """
    page = browser.new_page(
        viewport={"width": view.width, "height": view.height},
        color_scheme=view.scheme,
        has_touch=view.touch,
        reduced_motion="reduce",
    )
    page.goto(address)
    expect(page.locator(".work")).to_have_count(0, timeout=ASSESSED)
    for place in PLACES:
        page.goto(address + found_at(page, address, place, place.shows), wait_until="networkidle")
        expect(page.locator(".work")).to_have_count(0, timeout=ASSESSED)
        yield place, picture_of(page, view.height)
    page.close()


def tutorial_pictures(browser: Browser, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Follow the tutorial from an empty shelf to its end.

    Parameters
    ----------
    browser : Browser
        The browser.
    folder : Path
        Where the shelf and the table are made.

    Yields
    ------
    tuple of str and bytes
        The name of a picture and the picture, PNG.
    """
    shelf = folder / SHELF
    shelf.mkdir()
    taken: list[tuple[str, bytes]] = []
    page = browser.new_page(viewport={"width": TUTORIAL_WIDTH, "height": 900}, color_scheme="light")
    with served(shelf) as address:
        follow(page, address, lay_table(folder / "table"), lambda name: taken.append((name, picture_of(page, BOTTOM))))
    page.close()
    yield from taken


def picture_of(page: Page, height: int) -> bytes:
    """Take the picture of a page, as far down as one view reaches.

    Parameters
    ----------
    page : Page
        The page.
    height : int
        How far at most. [px]

    Returns
    -------
    bytes
        PNG.
    """
    page.evaluate("() => window.scrollTo(0, 0)")  # what stands still while the page is moved stands where it begins
    page.evaluate("() => document.fonts.ready")
    page.evaluate(
        "() => Promise.all([...document.images].filter(i => i.loading != 'lazy').map(i => i.decode().catch(() => 0)))"
    )
    page.wait_for_load_state("networkidle")
    whole = page.evaluate("() => Math.ceil(document.body.getBoundingClientRect().bottom + window.scrollY)")
    width = (page.viewport_size or {"width": VIEWS[0].width})["width"]
    return page.screenshot(clip={"x": 0, "y": 0, "width": width, "height": min(whole, height)}, full_page=True)


def style_picture(browser: Browser, address: str) -> bytes:
    """Set the examples of the style's own text, light beside dark.

    Parameters
    ----------
    browser : Browser
        The browser.
    address : str
        Where the style sheet is.

    Returns
    -------
    bytes
        PNG.
    """
    halves = []
    schemes: tuple[Literal["light", "dark"], ...] = ("light", "dark")
    for scheme in schemes:
        page = browser.new_page(viewport={"width": 1140, "height": 900}, color_scheme=scheme)
        show_examples(page, address)
        page.evaluate("() => document.fonts.ready")
        halves.append(Image.open(io.BytesIO(page.screenshot(full_page=True))))
        page.close()
    return side_by_side(halves)


def show_examples(page: Page, address: str) -> None:
    """Put the examples of the style's own text into a page.

    Parameters
    ----------
    page : Page
        Any page of a browser.
    address : str
        Where the style sheet is.
    """
    examples = "\n".join(found["body"] for found in EXAMPLE.finditer(STYLE.read_text(encoding="utf-8")))
    page.goto(f"{address}/instruments")
    page.locator("main").evaluate("(main, html) => { main.innerHTML = html; }", f"<h1>Examples</h1>{examples}")


def beside(*pictures: bytes) -> bytes:
    """Lay the upper parts of pictures side by side.

    Parameters
    ----------
    *pictures : bytes
        PNG, from left to right.

    Returns
    -------
    bytes
        PNG.
    """
    whole = [Image.open(io.BytesIO(picture)) for picture in pictures]
    return side_by_side([image.crop((0, 0, image.width, min(image.height, BOTTOM))) for image in whole])


def side_by_side(images: Sequence[Image.Image]) -> bytes:
    """Lay pictures side by side.

    Parameters
    ----------
    images : sequence of Image
        From left to right.

    Returns
    -------
    bytes
        PNG.
    """
    sheet = Image.new("RGB", (sum(image.width for image in images), max(image.height for image in images)), "white")
    left = 0
    for image in images:
        sheet.paste(image, (left, 0))
        left += image.width
    kept = io.BytesIO()
    sheet.save(kept, "PNG")
    return kept.getvalue()


def save(picture: bytes, target: Path) -> None:
    """Keep a picture as small as it can be without showing it.

    Parameters
    ----------
    picture : bytes
        PNG.
    target : Path
        The file to write.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    image = Image.open(io.BytesIO(picture)).convert("RGB")
    flat, soft = io.BytesIO(), io.BytesIO()
    image.quantize(COLOURS, dither=Image.Dither.NONE).convert("RGB").save(flat, "WEBP", lossless=True, method=6)
    image.save(soft, "WEBP", quality=QUALITY, method=6)
    target.write_bytes(min(flat.getvalue(), soft.getvalue(), key=len))


def page_of_pictures() -> str:
    """Return ``docs/page.md``: each place with its sentence and its pictures.

    Returns
    -------
    str
        Markdown.
    """
    lines = [*_BEGUN.splitlines(), ""]
    for place in PLACES:
        light, dark, phone = (f"pictures/page/{place.name}-{view.name}.webp" for view in VIEWS)
        lines += [
            f"## {place.title}",
            "",
            place.says,
            "",
            f"![{place.title}, light]({light})",
            "",
            f"[dark]({dark}) · [on a phone]({phone})",
            "",
        ]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
