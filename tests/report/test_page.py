"""The page: one file that loads nothing, hangs together, and can be read without eyes, style or network."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from coldpin.report import build_document, render_html
from tests.report.page_structure import LOADING, Page, read_page
from tests.report.sample import SAMPLE, sample_page


@pytest.fixture(scope="module")
def html() -> str:
    return sample_page()


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    return read_page(html)


def test_every_element_closes_where_it_opened(page: Page) -> None:
    """Start and end tags balance, and no attribute comes twice."""
    assert page.faults == []
    assert len(page.elements) > 1000


def test_ids_are_unique_and_every_link_leads_somewhere(page: Page) -> None:
    """Each reference names an id of this page, and each id stands once."""
    ids = page.ids()

    assert len(ids) == len(set(ids))
    assert {reference[:1] for reference in page.references()} == {"#"}
    assert {reference[1:] for reference in page.references()} <= set(ids)


def test_references_by_attribute_resolve(page: Page, html: str) -> None:
    """What names, clips or fills by reference names something that is there."""
    named = {attributes["aria-labelledby"] for _, attributes in page.elements if "aria-labelledby" in attributes}
    painted = set(re.findall(r"url\(#([^)]+)\)", html))

    assert named | painted <= set(page.ids())


def test_the_page_loads_and_runs_nothing(page: Page, html: str) -> None:
    """No script, no frame, no handler, nothing fetched; addresses of sources stand as text only."""
    style = html[html.index("<style>") : html.index("</style>")]

    assert page.of("script", "iframe", "object", "embed", "link", "img", "image", "form") == []
    assert [
        key for _, attributes in page.elements for key in attributes if key in LOADING or key.startswith("on")
    ] == []
    assert re.findall(r"url\(|@import|@font-face", style) == []
    assert "default-src 'none'" in html


def test_headings_start_at_one_and_skip_no_level(page: Page) -> None:
    """There is one title, and every level follows its parent."""
    levels = [int(tag[1]) for tag, _ in page.of("h1", "h2", "h3", "h4", "h5", "h6")]

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_tables_have_captions_and_headers_with_scope(page: Page) -> None:
    """Each table has a caption, column headers, and a header for each row."""
    tables = len(page.of("table"))
    scopes = [attributes.get("scope") for _, attributes in page.of("th")]

    assert tables >= 10
    assert len(page.of("caption")) == tables
    assert set(scopes) == {"col", "row"}


def test_drawings_are_told_in_words(page: Page) -> None:
    """A drawing that shows something has a description; one that only decorates is hidden from readers aloud."""
    drawings = page.of("svg")
    told = [attributes for _, attributes in drawings if attributes.get("role") == "img"]

    assert len(told) == len(page.of("figure")) == 4
    assert all(len(attributes["aria-label"]) > 40 for attributes in told)
    assert all("aria-hidden" in attributes or attributes.get("role") == "img" for _, attributes in drawings)


def test_language_viewport_and_skip_link(page: Page) -> None:
    """The language is said, the width is the device's, and the first link leads past the contents."""
    assert page.of("html")[0][1]["lang"] == "en"
    assert any(attributes.get("name") == "viewport" for _, attributes in page.of("meta"))
    assert page.of("a")[0][1]["href"] == "#report"


def test_dark_light_and_print_are_looked_after(html: str) -> None:
    """The style knows a dark screen, a narrow one, and paper."""
    for condition in ("prefers-color-scheme: dark", "max-width: 40rem", "@media print"):
        assert condition in html


def test_figures_take_the_colours_of_the_page(html: str) -> None:
    """No printed shade stays in a drawing, so that a dark page stays legible."""
    drawings = "".join(re.findall(r'<svg role="img".*?</svg>', html, flags=re.DOTALL))

    assert set(re.findall(r"#[0-9a-f]{6}\b", drawings)) == set()
    assert "var(--cold)" in drawings


def test_words_in_drawings_stay_text(html: str) -> None:
    """State names and levels can be searched."""
    drawings = "".join(re.findall(r'<svg role="img".*?</svg>', html, flags=re.DOTALL))

    for word in ("car asks for power", "window 5.47 to 6.53 V", "State B2", "pilot to earth (V)"):
        assert word in drawings


def test_the_same_record_gives_the_same_page(html: str) -> None:
    """Nothing of the clock or of chance gets in."""
    assert render_html(build_document(SAMPLE)) == html


def test_the_walk_back_is_laid_in_links(page: Page) -> None:
    """From the sentence to the finding, from there to function, method, limit, capture, entry and instrument."""
    references = set(page.references())

    for anchor in (
        "finding-output-nothing-connected",
        "function-switching",
        "check-output-at-rest",
        "limit-extra-low-voltage",
        "entry-20260314-1105-a",
        "capture-20260314-1010-a",
        "instrument-dmm-1",
    ):
        assert f"#{anchor}" in references
        assert anchor in page.ids()
