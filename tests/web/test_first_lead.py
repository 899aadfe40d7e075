"""The whole job on the page: the tutorial is followed in a browser, from an empty shelf to a published report."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.web.serving import serving
from tools.first_lead import PICTURE, PICTURES, SHELF, TUTORIAL, follow, lay_table, tutorial_steps


@pytest.fixture(scope="module")
def empty_shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder, as the reader makes it."""
    shelf = tmp_path_factory.mktemp("yard") / SHELF
    shelf.mkdir()
    return shelf


@pytest.fixture(scope="module")
def yard(empty_shelf: Path) -> Iterator[str]:
    """Where the empty shelf is shown."""
    with serving(empty_shelf) as address:
        yield address


def test_the_first_lead_is_done_as_the_tutorial_says(browser: Browser, yard: str, tmp_path: Path) -> None:
    """Every step can be done where the text says it, nothing is asked of another machine, nothing is complained of."""
    context = browser.new_context(viewport={"width": 1240, "height": 900})
    page = context.new_page()
    complaints: list[str] = []
    elsewhere: set[str] = set()
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    page.on("request", lambda request: elsewhere.add(request.url) if not request.url.startswith(yard) else None)
    taken: list[str] = []
    follow(page, yard, lay_table(tmp_path / "table"), taken.append)
    context.close()

    assert complaints == []
    assert {url for url in elsewhere if not url.startswith("blob:")} == set()
    assert taken == [step.first for step in tutorial_steps() if step.verb == "picture"]


def test_every_picture_of_the_tutorial_is_shown_where_it_was_taken() -> None:
    """One image behind each block that takes one, in the same order, and the file is there."""
    text = TUTORIAL.read_text(encoding="utf-8")
    shown = [found["name"] for found in PICTURE.finditer(text)]

    assert shown == [step.first for step in tutorial_steps() if step.verb == "picture"]
    assert all((PICTURES / f"{name}.webp").exists() for name in shown)
