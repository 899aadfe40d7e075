"""A board is drawn in a real browser: by mouse, by keys alone, by touch; the ways follow, and nothing drawn is lost."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from coldpin.capture.board_file import parse_board
from coldpin.workbench.drawing_desk import DrawingDesk
from coldpin.workbench.drawing_sheets import boards_of_case, drawing_file
from tests.web.drawn_board import BELOW, COPPER, SHARED, UNDRAWN, BoardCase, file_other, in_other, make_board_case
from tests.web.serving import serving

BOARD = "/case/skerrow-16/board"
RECKONED = 30_000
"""Milliseconds after which a test gives up waiting for distances."""
WAIT = 20_000


@pytest.fixture(scope="module")
def boards(tmp_path_factory: pytest.TempPathFactory) -> BoardCase:
    """A case with a drawing, and a photograph of the other face."""
    place = tmp_path_factory.mktemp("drawing")
    made = make_board_case(place)
    file_other(made.case, place)
    return made


@pytest.fixture(scope="module")
def address(boards: BoardCase) -> Iterator[str]:
    """Where its shelf is shown."""
    with serving(boards.shelf) as shown:
        yield shown


class Sheet:
    """The drawing desk in a browser, with what it complained of."""

    def __init__(self, page: Page, at: str) -> None:
        self.page = page
        page.set_default_timeout(WAIT)
        self.complaints: list[str] = []
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.goto(at)
        page.locator("#drawing-desk[data-ready]").wait_for()

    def rests(self) -> None:
        """Wait until all of the drawing as it is was judged."""
        expect(self.page.locator("#reckoning")).to_have_text("", timeout=RECKONED)
        expect(self.page.locator(".barrier[data-provisional], .barrier[data-before]")).to_have_count(
            0, timeout=RECKONED
        )

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Where a place of the drawing is on the screen."""
        found = self.page.evaluate(
            "([x, y]) => { const s = document.getElementById('sheet');"
            " const p = new DOMPoint(x, y).matrixTransform(s.getScreenCTM()); return [p.x, p.y]; }",
            [x, y],
        )
        return float(found[0]), float(found[1])

    def click(self, x: float, y: float) -> None:
        """Press the mouse on a place of the drawing."""
        self.page.mouse.click(*self.place(x, y))

    def drag(self, start: tuple[float, float], end: tuple[float, float], steps: int = 6) -> None:
        """Drag from a place of the drawing to another and hold on."""
        self.page.mouse.move(*self.place(*start))
        self.page.mouse.down()
        self.page.mouse.move(*self.place(*end), steps=steps)

    def key(self, name: str, times: int = 1) -> None:
        """Press a key in the picture."""
        for _ in range(times):
            self.page.keyboard.press(name)

    def drawn(self) -> dict[str, Any]:
        """The drawing as it is kept in this browser."""
        kept = self.page.evaluate("() => localStorage.getItem('coldpin drawing ' + location.pathname)")
        return dict(json.loads(kept)["plain"])

    def shape(self, name: str) -> list[list[float]]:
        """The corners of a shape, as they are kept."""
        (found,) = [one for one in self.drawn()["features"] if one["properties"]["name"] == name]
        return [list(corner) for corner in found["geometry"]["coordinates"][0][:-1]]

    def length(self, kind: str) -> str:
        """What is told of the shortest way of a kind in view."""
        return self.page.locator(f".barrier[open] .kind-of-way.{kind} .measured .figure").inner_text()

    def discard(self) -> None:
        """Leave nothing behind for the next test."""
        self.page.evaluate("() => localStorage.clear()")
        self.page.close()


@pytest.fixture
def sheet(browser: Browser, address: str, boards: BoardCase) -> Iterator[Sheet]:
    """The drawing, opened and judged."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    opened = Sheet(context.new_page(), f"{address}{BOARD}/{newest(boards)}")
    opened.rests()
    yield opened
    assert opened.complaints == []
    context.close()


def newest(boards: BoardCase, part: str = "") -> str:
    """The entry of the drawing that counts."""
    return next(one.entry.id for one in boards_of_case(boards.case).boards if one.part == part)


def judged_there(boards: BoardCase, plain: dict[str, Any]) -> list[float]:
    """Lengths of the ways of a drawing as the workbench has them."""
    found = DrawingDesk.open(boards.case).judge(json.dumps(plain).encode(), ("mains", "pilot"))
    return [round(way.length_mm.value, 2) for way in found.ways if way.rank == 1]


def test_dragging_a_corner_moves_the_worst_way_as_the_server_reckons(sheet: Sheet, boards: BoardCase) -> None:
    """Live while it is dragged, judged when it is put down, undone and done again."""
    left, top, _, _ = COPPER["pilot CP"]
    assert sheet.length("clearance").startswith("10.0")
    sheet.click(left + 50, top + 100)
    sheet.drag((left, top), (left - 50, top + 10))
    expect(sheet.page.locator(".barrier[open] .kind-of-way.clearance .figure").first).to_contain_text("5.0")
    expect(sheet.page.locator(".barrier[data-provisional] .moving")).to_have_text("moving")
    sheet.page.mouse.up()
    sheet.rests()
    assert sheet.shape("CP 1")[0] == pytest.approx([left - 50, top + 10], abs=1.5)
    told = [float(sheet.length(kind).split()[0]) for kind in ("clearance", "creepage")]
    assert told == pytest.approx(judged_there(boards, sheet.drawn()), abs=0.006)
    expect(sheet.page.locator(".barrier > summary .state")).to_have_text("undecided")
    sheet.page.get_by_role("button", name="Undo").click()
    sheet.rests()
    assert sheet.length("clearance").startswith("10.0")
    sheet.page.get_by_role("button", name="Redo").click()
    sheet.rests()
    assert sheet.length("clearance").startswith("5.0")
    sheet.discard()


def test_a_net_is_drawn_with_the_mouse_alone(sheet: Sheet) -> None:
    """Corner after corner, closed on the first; a press beside it chooses another shape."""
    page = sheet.page
    page.get_by_role("button", name="Draw", exact=True).click()
    page.get_by_label("on net").fill("earth PE")
    page.get_by_label("laid to the edges of the picture").uncheck()
    corners = [(120.0, 310.0), (180.0, 310.0), (180.0, 330.0), (120.0, 330.0)]
    for x, y in corners:
        sheet.click(x, y)
    sheet.click(*corners[0])
    sheet.rests()
    assert sheet.shape("earth PE") == [pytest.approx(list(corner), abs=1.5) for corner in corners]
    expect(page.locator(".barrier")).to_have_count(2)
    in_view = page.locator(".barrier[open] > summary")
    for shape, pair in (("3", "Mains to earth"), ("2", "Mains to pilot"), ("1", "Mains to pilot")):
        page.get_by_label("Chosen shape").select_option(shape)
        expect(in_view).to_contain_text(pair)
    page.get_by_role("button", name="Move", exact=True).click()
    sheet.click(150, 200)
    expect(page.get_by_label("Chosen shape")).to_have_value("1")
    page.get_by_label("Name").fill("terminal")
    page.get_by_label("Height above its face, mm").fill("11,5")
    page.get_by_label("Height above its face, mm").press("Tab")
    (terminal,) = [one for one in sheet.drawn()["features"] if one["properties"]["name"] == "terminal"]
    assert terminal["properties"]["height_mm"] == 11.5
    assert terminal["properties"]["layer"] == 7
    page.get_by_role("button", name="Remove shape").click()
    assert "terminal" not in json.dumps(sheet.drawn())
    expect(page.locator("#notes")).to_contain_text("No two nets are drawn yet")
    expect(page.locator(".barrier")).to_have_count(0)
    sheet.discard()


def test_a_small_outline_seen_from_afar_is_not_closed_by_its_own_corners(sheet: Sheet) -> None:
    """Corners nearer to the first than a press can tell are placed; the first pressed again from farther off closes."""
    page = sheet.page
    page.get_by_role("button", name="Whole").click()
    page.get_by_role("button", name="Draw", exact=True).click()
    page.get_by_label("It is").first.select_option("slot")
    page.get_by_label("laid to the edges of the picture").uncheck()
    pixel = page.evaluate("() => 1 / document.getElementById('sheet').getScreenCTM().a")
    corners = [(230.0 + 5 * x * pixel, 200.0 + 5 * y * pixel) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1), (-1, 8))]
    for x, y in corners:
        sheet.click(x, y)
    sheet.click(*corners[0])
    expect(page.get_by_label("Chosen shape")).to_have_value("3")
    (drawn,) = [one for one in sheet.drawn()["features"] if one["properties"]["role"] == "slot"]
    assert len(drawn["geometry"]["coordinates"][0]) == len(corners) + 1
    sheet.discard()


def test_a_net_is_drawn_and_mended_with_the_keys_alone(sheet: Sheet) -> None:
    """The cross goes by arrows, finer when the picture is nearer; corners are placed, taken up, removed, undone."""
    page = sheet.page
    page.locator("#sheet").focus()
    sheet.key("d")
    page.get_by_label("on net").focus()
    page.keyboard.type("low-voltage 5V")
    for _ in range(2):
        page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.locator("#sheet").focus()
    start = page.evaluate("() => document.getElementById('cross').getBBox().x")
    sheet.key("+", 2)
    sheet.key("ArrowRight", 4)
    sheet.key("Shift+ArrowRight", 3)
    assert page.evaluate("() => document.getElementById('cross').getBBox().x") > start
    sheet.key("-", 2)
    sheet.key("ArrowLeft", 9)
    sheet.key("ArrowUp", 8)
    sheet.key("Enter")
    sheet.key("ArrowRight", 3)
    sheet.key("Enter")
    sheet.key("ArrowDown", 3)
    sheet.key("Enter")
    sheet.key("ArrowLeft", 3)
    sheet.key("Enter")
    sheet.key("Backspace")
    sheet.key("c")
    expect(page.get_by_label("Chosen shape")).to_have_value("3")
    corners = sheet.shape("low-voltage 5V")
    assert len(corners) == 3
    sheet.key("m")
    sheet.key("n")
    sheet.key("Enter")
    sheet.key("ArrowUp", 2)
    sheet.key("Enter")
    moved = sheet.shape("low-voltage 5V")
    assert moved[0][0] == pytest.approx(corners[0][0], abs=0.02)
    assert moved[0][1] < corners[0][1] - 5
    assert moved[1:] == corners[1:]
    sheet.key("Enter")
    sheet.key("ArrowUp", 2)
    sheet.key("Escape")
    assert sheet.shape("low-voltage 5V") == moved
    sheet.key("Control+z", 2)
    assert "low-voltage" not in json.dumps(sheet.drawn())
    sheet.key("Control+y", 2)
    assert sheet.shape("low-voltage 5V") == moved
    sheet.rests()
    sheet.discard()


def test_copper_of_the_other_face_is_reached_round_the_rim(sheet: Sheet, boards: BoardCase) -> None:
    """With a thickness each shape has a face, and what is drawn on the other is seen dimly."""
    page = sheet.page
    page.get_by_text("Two faces").click()
    page.get_by_label("Thickness of the board, mm").fill("1,6")
    page.get_by_label("Thickness of the board, mm").press("Tab")
    for shape, face in (("1", "top"), ("2", "bottom")):
        page.get_by_label("Chosen shape").select_option(shape)
        page.get_by_label("Face", exact=True).select_option(face)
    sheet.rests()
    assert sheet.drawn()["thickness_mm"] == 1.6
    assert [one["properties"].get("face") for one in sheet.drawn()["features"]] == [None, "top", "bottom"]
    told = [float(sheet.length(kind).split()[0]) for kind in ("clearance", "creepage")]
    assert told == pytest.approx(judged_there(boards, sheet.drawn()), abs=0.06)
    assert told[1] > 11.0
    page.get_by_label("Faces shown, and drawn on").select_option("top")
    expect(page.locator("#shapes path").nth(2)).to_have_class(re.compile(r"\baside\b"))
    sheet.discard()


def test_the_other_face_is_laid_under_faded_in_and_drawn_on(sheet: Sheet, boards: BoardCase) -> None:
    """By marks in both pictures, with the mouse and with keys; what is drawn there carries how well it lies."""
    page = sheet.page
    page.get_by_text("Two faces").click()
    page.get_by_label("Photograph of the other face").select_option(label="bottom")
    page.get_by_role("button", name="Mark the same places").click()
    hint = page.locator("#hint")
    for place, seen in zip(SHARED, in_other(SHARED), strict=True):
        expect(hint).to_contain_text("seen on both faces")
        sheet.click(*place)
        expect(hint).to_contain_text("shown mirrored")
        sheet.click(699.0 - seen[0], seen[1])
    fade = page.get_by_label("Which face is seen")
    expect(fade).to_be_visible()
    expect(page.locator("#face-told")).to_contain_text("by 5 marks, within")
    assert len(sheet.drawn()["other_face"]["marks"]) == 5
    sheet.click(*SHARED[0])
    page.locator("#sheet").focus()
    sheet.key("Escape")
    expect(hint).to_contain_text("seen on both faces")
    laid = page.locator("#laid-picture")
    sheet.key("f")
    expect(page.get_by_label("Faces shown, and drawn on")).to_have_value("bottom")
    expect(laid).to_have_attribute("opacity", "0.75")
    sheet.key(".")
    expect(laid).to_have_attribute("opacity", "0.85")
    fade.focus()
    page.keyboard.press("ArrowLeft")
    expect(laid).to_have_attribute("opacity", "0.8")
    page.get_by_label("Thickness of the board, mm").fill("1.6")
    page.get_by_label("Thickness of the board, mm").press("Tab")
    page.get_by_role("button", name="Draw", exact=True).click()
    page.get_by_label("on net").fill("pilot CP")
    left, top, right, bottom = BELOW
    for x, y in ((left - 3, top + 2), (right + 2, top - 3), (right + 3, bottom + 2), (left + 2, bottom + 3)):
        sheet.click(x, y)
    page.get_by_role("button", name="Close outline").click()
    page.get_by_role("button", name="I looked: take it").click()
    below = sheet.drawn()["features"][-1]
    assert below["properties"]["face"] == "bottom"
    assert below["properties"]["pick_u"] > 0.5
    xs, ys = zip(*sheet.shape("pilot CP"), strict=True)
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(BELOW, abs=1.5)
    page.reload()
    expect(laid).to_have_attribute("href", re.compile("^blob:"))
    page.get_by_role("button", name="Undo").click()
    expect(fade).to_be_hidden()
    sheet.discard()


def test_copper_that_is_pointed_at_is_outlined_and_taken(sheet: Sheet) -> None:
    """To half a pixel; what is drawn roughly is laid to the edges; what is left leaves nothing."""
    page = sheet.page
    left, top, right, bottom = UNDRAWN
    page.get_by_role("button", name="Point at it").click()
    sheet.click(470, 150)
    expect(page.locator("#told")).to_contain_text("on which net")
    page.get_by_label("on net").fill("pilot CP")
    sheet.click(470, 150)
    expect(page.locator("#proposal")).to_be_visible()
    page.get_by_role("button", name="Leave it").click()
    expect(page.locator("#proposal")).to_be_hidden()
    sheet.click(470, 150)
    page.get_by_role("button", name="I looked: take it").click()
    xs, ys = zip(*sheet.shape("pilot CP"), strict=True)
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(
        (left - 0.5, top - 0.5, right - 0.5, bottom - 0.5), abs=0.6
    )
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Draw", exact=True).click()
    for x, y in ((left - 3, top + 2), (right + 2, top - 3), (right + 3, bottom + 2), (left + 2, bottom + 3)):
        sheet.click(x, y)
    page.get_by_role("button", name="Close outline").click()
    page.get_by_role("button", name="I looked: take it").click()
    laid = sheet.shape("pilot CP")
    assert laid == [
        pytest.approx([x - 0.5, y - 0.5], abs=0.6)
        for x, y in ((left, top), (right, top), (right, bottom), (left, bottom))
    ]
    sheet.rests()
    page.route("**/board/outline", lambda asked: asked.abort())
    page.get_by_role("button", name="Point at it").click()
    sheet.click(470, 250)
    expect(page.locator("#told")).to_contain_text("The server does not answer")
    sheet.discard()


def test_an_outline_that_is_begun_waits_while_another_tool_is_in_hand(sheet: Sheet) -> None:
    """It is seen in Move and gone on with in Draw, step by step; Escape drops it in either."""
    page, begun = sheet.page, sheet.page.locator("#handles path.started")
    draw, move = (page.get_by_role("button", name=name, exact=True) for name in ("Draw", "Move"))
    corners = [(120.0, 310.0), (180.0, 310.0), (180.0, 330.0), (120.0, 330.0)]
    draw.click()
    for x, y in corners[:3]:
        sheet.click(x, y)
    page.get_by_label("on net").fill("")
    page.get_by_role("button", name="Close outline").click()
    expect(page.locator("#told")).to_contain_text("Say first on which net")
    move.click()
    expect(page.locator("#told")).to_be_hidden()
    expect(begun).to_have_count(1)
    expect(page.locator("#hint")).to_contain_text("An outline is begun")
    page.get_by_role("button", name="Point at it").click()
    expect(begun).to_have_count(0)
    draw.click()
    expect(begun).to_have_count(1)
    page.get_by_role("button", name="Undo").click()
    for x, y in corners[2:]:
        sheet.click(x, y)
    page.get_by_label("on net").fill("earth PE")
    page.get_by_label("laid to the edges of the picture").uncheck()
    page.get_by_role("button", name="Close outline").click()
    assert sheet.shape("earth PE") == [pytest.approx(list(corner), abs=1.5) for corner in corners]
    sheet.click(*corners[0])
    move.click()
    expect(begun).to_have_count(1)
    page.locator("#sheet").press("Escape")
    expect(begun).to_have_count(0)
    draw.click()
    expect(begun).to_have_count(0)
    sheet.rests()
    sheet.discard()


def test_on_a_phone_what_is_drawn_is_asked_in_sight(browser: Browser, address: str, boards: BoardCase) -> None:
    """The box beneath the picture comes above the edge of the screen when Draw is chosen."""
    context = browser.new_context(viewport={"width": 390, "height": 600}, has_touch=True, is_mobile=True)
    sheet = Sheet(context.new_page(), f"{address}{BOARD}/{newest(boards)}")
    page = sheet.page
    sheet.rests()
    page.evaluate("() => document.querySelector('.tools').scrollIntoView({ block: 'center' })")
    page.get_by_role("button", name="Draw", exact=True).tap()
    expect(page.get_by_label("on net")).to_be_in_viewport(ratio=1.0)
    expect(page.locator("#kind")).to_be_in_viewport(ratio=0.99)
    assert sheet.complaints == []
    context.close()


def test_unsaved_work_outlives_a_reload_and_is_told(sheet: Sheet) -> None:
    """Until it is discarded."""
    page = sheet.page
    sheet.click(350, 200)
    sheet.drag((400, 300), (420, 310))
    page.mouse.up()
    expect(page.locator("#draft")).to_contain_text("Not filed yet")
    page.reload()
    expect(page.locator("#draft")).to_contain_text("were kept in this browser")
    assert sheet.shape("CP 1")[2] == pytest.approx([420, 310], abs=1.5)
    with page.expect_download() as fetched:
        page.get_by_role("button", name="Fetch it as it is drawn now").click()
    assert json.loads(fetched.value.path().read_text("utf-8")) == sheet.drawn()
    page.get_by_role("button", name="Discard my changes").click()
    expect(page.locator("#draft")).to_be_hidden()
    assert page.evaluate("() => localStorage.length") == 0
    sheet.rests()


def test_two_tabs_file_and_both_versions_are_kept(browser: Browser, address: str, boards: BoardCase) -> None:
    """The later is told that another was filed, keeps its own, and files it over when told so."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    place = f"{address}{BOARD}/{newest(boards)}"
    one, other = (Sheet(context.new_page(), place) for _ in range(2))
    for sheet, far in ((one, 15.0), (other, 25.0)):
        sheet.page.bring_to_front()
        sheet.click(350, 200)
        sheet.drag((400, 300), (400 + far, 300))
        sheet.page.mouse.up()
    one.page.bring_to_front()
    one.page.get_by_role("button", name="File as the next version").click()
    one.page.wait_for_url(lambda url: url != place)
    assert one.page.locator("h1").inner_text().endswith("version 2")
    other.page.bring_to_front()
    other.page.get_by_role("button", name="File as the next version").click()
    expect(other.page.locator("#told")).to_contain_text("another version of this drawing was filed")
    expect(other.page.get_by_role("link", name="Look at theirs")).to_be_visible()
    other.page.get_by_role("button", name="File mine over it").click()
    other.page.wait_for_url(lambda url: url != place)
    (board,) = boards_of_case(boards.case).boards
    assert board.version == 3
    rights = []
    for entry in (board.entry, *board.earlier):
        read = parse_board(drawing_file(boards.case, entry.id)[1], where=entry.id).board
        rights.append(round(float(read.features[2].outline[:, 0].max()), -1))
    assert rights == [420.0, 410.0, 400.0] or rights == [430.0, 420.0, 400.0] or rights == [420.0, 420.0, 400.0]
    context.close()


def test_a_finger_pans_and_two_zoom(browser: Browser, address: str, boards: BoardCase) -> None:
    """On a phone; the page itself does not move under them."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    sheet = Sheet(context.new_page(), f"{address}{BOARD}/{newest(boards)}")
    fingers = context.new_cdp_session(sheet.page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        given = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": given})

    def view() -> list[float]:
        return [float(part) for part in str(sheet.page.locator("#sheet").get_attribute("viewBox")).split()]

    sheet.page.locator("#sheet").scroll_into_view_if_needed()
    before, scrolled = view(), sheet.page.evaluate("() => scrollY")
    x, y = sheet.place(480, 320)
    touch("touchStart", (x, y))
    for step in range(1, 6):
        touch("touchMove", (x - 10.0 * step, y))
    touch("touchEnd")
    panned = view()
    assert panned[0] > before[0] + 5
    assert panned[2:] == before[2:]
    held = sheet.place(250, 200)
    touch("touchStart", (held[0] - 20, held[1]), (held[0] + 20, held[1]))
    for step in range(1, 6):
        touch("touchMove", (held[0] - 20 - 8.0 * step, held[1]), (held[0] + 20 + 8.0 * step, held[1]))
    touch("touchEnd")
    assert view()[2] == pytest.approx(panned[2] / 3, rel=0.05)
    assert sheet.place(250, 200) == pytest.approx(held, abs=3)
    assert sheet.page.evaluate("() => scrollY") == scrolled
    tapped = sheet.place(350, 200)
    sheet.page.touchscreen.tap(*tapped)
    expect(sheet.page.locator("#shapes-list")).to_have_value("2")
    sheet.page.get_by_role("button", name="Draw", exact=True).tap()
    for place in ((300, 180), (320, 200)):
        sheet.page.touchscreen.tap(*sheet.place(*place))
    corners = sheet.page.locator("#handles circle")
    expect(sheet.page.locator("#handles path.started")).to_have_count(1)
    drawn = corners.count()
    sheet.page.get_by_role("button", name="Undo").tap()
    expect(corners).to_have_count(drawn - 1)
    assert sheet.complaints == []
    context.close()


def test_a_drawing_is_begun_calibrated_drawn_and_filed(browser: Browser, address: str, boards: BoardCase) -> None:
    """On a photograph, of a part of its own, from nothing to distances that are told."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    sheet = Sheet(context.new_page(), f"{address}{BOARD}/new/{boards.photograph}")
    page = sheet.page
    expect(page.locator("#reckoning")).to_contain_text("No scale yet")
    page.get_by_role("button", name="Mark a rectangle").click()
    for x, y in ((50, 50), (550, 50), (550, 350), (50, 350)):
        sheet.click(x, y)
    page.get_by_label("How long it is, or its sides").fill("50.00 mm ± 0.05 mm x 30.00 mm ± 0.05 mm")
    page.get_by_role("button", name="Calibrate by it").click()
    expect(page.locator("#scale-told")).to_contain_text("mm/px")
    page.get_by_role("button", name="Point at it").click()
    for net, x, y in (("mains L", 150, 200), ("pilot CP", 350, 200)):
        page.get_by_label("on net").fill(net)
        sheet.click(x, y)
        page.get_by_role("button", name="I looked: take it").click()
    sheet.rests()
    assert float(sheet.length("clearance").split()[0]) == pytest.approx(10.0, abs=0.15)
    page.get_by_label("Which board").fill("from nothing")
    page.get_by_role("button", name="File as the next version").click()
    page.wait_for_url(lambda url: "/new/" not in url)
    expect(page.locator("h1")).to_contain_text("from nothing")
    assert newest(boards, "from nothing") in page.url
    assert sheet.complaints == []
    context.close()


def test_without_a_script_a_drawing_is_seen_and_one_is_filed(
    browser: Browser, address: str, boards: BoardCase, tmp_path: Path
) -> None:
    """The outlines over the photograph, the way to its file, and a form for another."""
    entry = newest(boards)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(WAIT)
    page.goto(f"{address}{BOARD}/{entry}")
    assert page.locator("#shapes path").count() >= 3
    expect(page.locator(".tools")).to_be_hidden()
    file = tmp_path / "again.geojson"
    file.write_bytes(drawing_file(boards.case, entry)[1].replace(b'"CP 1"', b'"CP 7"'))
    page.get_by_role("link", name="File a drawing made elsewhere").click()
    page.get_by_label("File", exact=True).set_input_files(file)
    page.get_by_label("Which board").fill("by hand")
    page.get_by_role("button", name="File the drawing").click()
    expect(page.locator("h1")).to_contain_text("by hand")
    context.close()
