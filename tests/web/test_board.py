"""The routes of boards: pages with their twins, what is asked of a drawing that is being made, and filing it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser
from http import HTTPStatus
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from fastapi.testclient import TestClient
from httpx2 import Response
from PIL import Image

from coldpin.capture.board_file import parse_board
from coldpin.casefile import open_case
from coldpin.insulation.calibration import fit_plane
from coldpin.web.app import create_app
from coldpin.workbench import add_evidence
from coldpin.workbench.drawing_desk import DrawingDesk
from tests.insulation.virtual_camera import Camera, photograph_card
from tests.web.drawn_board import (
    BELOW,
    BoardCase,
    as_bytes,
    drawing,
    file_other,
    laid_under,
    make_board_case,
    picture,
)
from tests.workbench.quay import at, make_case

BOARD = "/case/skerrow-16/board"
ASKS = {"accept": "application/json"}
PIECE = {"hx-request": "true"}


@pytest.fixture(scope="module")
def boards(tmp_path_factory: pytest.TempPathFactory) -> BoardCase:
    """A case with a drawing; a test that files anything files it for a part of its own."""
    return make_board_case(tmp_path_factory.mktemp("boards"))


@pytest.fixture(scope="module")
def client(boards: BoardCase) -> Iterator[TestClient]:
    """A reader of its shelf."""
    with TestClient(create_app(boards.shelf), base_url="http://127.0.0.1") as reader:
        yield reader


def send(
    client: TestClient, what: str, plain: dict[str, Any] | bytes, headers: dict[str, str] = ASKS, /, **more: str
) -> Response:
    """Post a drawing as the page does."""
    data = plain if isinstance(plain, bytes) else as_bytes(plain)
    return client.post(
        f"{BOARD}/{what}", data=more, files={"drawing": ("d.geojson", data)}, headers=headers, follow_redirects=False
    )


class Ways(HTMLParser):
    """The ways that a piece of the page carries for the sheet."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[dict[str, str | None]] = []
        self.feed(text)

    def handle_starttag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep what has a path."""
        if "data-path" in dict(attrs):
            self.found.append(dict(attrs))


def test_the_section_lists_drawings_and_photographs(client: TestClient, boards: BoardCase) -> None:
    """The page and its twin."""
    page, twin = client.get(BOARD).text, client.get(f"{BOARD}.json").json()
    assert f"{BOARD}/{boards.drawing}" in page
    assert f"{BOARD}/new/{boards.photograph}" in page
    assert [board["entry"]["id"] for board in twin["boards"]["boards"]][:1] == [boards.drawing]
    assert [one["id"] for one in twin["boards"]["photographs"]][-1:] == [boards.photograph]


def test_a_drawing_is_shown_with_its_shapes_whether_or_not_a_script_runs(client: TestClient, boards: BoardCase) -> None:
    """Outlines over the photograph, the file in the page, and as JSON."""
    page = client.get(f"{BOARD}/{boards.drawing}").text
    assert 'class="shape conductor mains"' in page
    assert f"/picture/{boards.photograph}" in page
    assert client.get(f"{BOARD}/{boards.drawing}.json").json()["sheet"]["drawing"] == drawing()
    assert client.get(f"{BOARD}/new/{boards.photograph}").status_code == HTTPStatus.OK
    assert client.get(f"/case/skerrow-16/picture/{boards.photograph}").content == picture()
    fetched = client.get(f"{BOARD}/{boards.drawing}/file")
    assert fetched.json() == drawing()
    assert "attachment" in fetched.headers["content-disposition"]


@pytest.mark.parametrize("address", ["nothing", "new/nothing", "nothing/file"])
def test_what_is_not_there_is_told(client: TestClient, address: str) -> None:
    """With what there is."""
    answer = client.get(f"{BOARD}/{address}", headers=ASKS)
    assert answer.status_code == HTTPStatus.NOT_FOUND
    assert "nothing" in answer.json()["error"]
    assert client.get("/case/skerrow-16/picture/nothing", headers=ASKS).status_code == HTTPStatus.NOT_FOUND


def test_the_other_face_is_laid_and_looked_at(client: TestClient, boards: BoardCase, tmp_path: Path) -> None:
    """How it lies, as record and piece; the picture; outlines in it, in the coordinates of the drawing."""
    refused = send(client, "laid", drawing())
    assert (refused.status_code, "no photograph of the other face" in refused.json()["error"]) == (422, True)
    plain = laid_under(drawing())
    told = send(client, "laid", plain).json()
    assert told["marks"] == 5
    assert f'data-u="{told["u_px"]}"' in send(client, "laid", plain, PIECE).text
    assert send(client, "laid/picture", plain).status_code == HTTPStatus.NOT_FOUND
    file_other(boards.case, tmp_path)
    shown = send(client, "laid/picture", plain)
    assert (shown.headers["content-type"], shown.content[:2]) == ("image/jpeg", b"\xff\xd8")
    left, top, right, bottom = BELOW
    form = {"photograph": boards.photograph, "at": f"{left + 30},{top + 40} = pilot CP", "face": "bottom"}
    found = client.post(f"{BOARD}/outline", data=form, files={"under": ("d.geojson", as_bytes(plain))}, headers=ASKS)
    xs, ys = zip(*found.json()["outline"]["outline_px"], strict=True)
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx((left, top, right, bottom), abs=1.5)
    assert found.json()["feature"]["properties"]["face"] == "bottom"


def test_a_drawing_that_moves_is_followed_and_one_that_rests_is_judged(client: TestClient, boards: BoardCase) -> None:
    """By the functions of the workbench, as JSON and as a piece with the ways in it; nothing is filed."""
    plain, pair = drawing(pilot_left=250.0), {"one": "mains", "other": "pilot"}
    kept = sorted(boards.case.rglob("*.geojson"))
    looked = send(client, "looked", plain).json()
    live, whole = send(client, "followed", plain, **pair).json(), send(client, "judged", plain, **pair).json()
    there = DrawingDesk.open(boards.case).judge(as_bytes(plain), ("mains", "pilot"))

    assert [one["nets"] for one in looked["pairs"]] == [["mains", "pilot"]]
    assert live["provisional"]
    assert live["outcome"] is None
    assert whole["outcome"] == there.outcome
    assert [way["length_mm"]["value"] for way in whole["ways"]] == [way.length_mm.value for way in there.ways]
    assert [one["statement"] for one in whole["judged"]] == [one.statement for one in there.judged]
    piece = Ways(send(client, "judged", plain, PIECE, **pair).text)
    assert [json.loads(one["data-path"] or "") for one in piece.found if one["data-rank"] == "1"] == [
        [list(place) for place in way.path] for way in there.ways if way.rank == 1
    ]
    assert all(json.loads(one["data-band"] or "") for one in piece.found)
    assert "moving" in send(client, "followed", plain, PIECE, **pair).text
    assert "agree" in send(client, "looked", plain, PIECE).text
    assert sorted(boards.case.rglob("*.geojson")) == kept


def test_what_cannot_be_drawn_is_told_in_words(client: TestClient) -> None:
    """As JSON and as a piece."""
    across = drawing(pilot_left=190.0)
    answer = send(client, "looked", across)
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "feature 3" in answer.json()["error"]
    assert "feature 3" in send(client, "followed", across, PIECE, one="mains", other="pilot").text
    assert send(client, "judged", drawing(), one="mains", other="earth").status_code == HTTPStatus.NOT_FOUND
    assert send(client, "looked", b"\xff").status_code == HTTPStatus.UNPROCESSABLE_ENTITY


def test_an_outline_is_proposed_at_a_point(client: TestClient, boards: BoardCase) -> None:
    """The pad that nobody drew, to half a pixel, as a feature to be taken."""
    given = {"photograph": boards.photograph, "at": "470,150 = pilot CP, CP 2"}
    found = client.post(f"{BOARD}/outline", data=given, headers=ASKS).json()
    (ring,) = found["feature"]["geometry"]["coordinates"]
    xs, ys = {x for x, _ in ring}, {y for _, y in ring}
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((439.5, 499.5, 119.5, 179.5), abs=0.5)
    assert found["feature"]["properties"]["net"] == "pilot CP"
    assert "proposed" not in found["feature"]["properties"]
    refused = client.post(f"{BOARD}/outline", data={**given, "at": "470,150"}, headers=ASKS)
    assert refused.status_code == HTTPStatus.UNPROCESSABLE_ENTITY


def test_a_photograph_is_calibrated_by_a_known_rectangle(client: TestClient, boards: BoardCase) -> None:
    """The member scale comes back; without card or length it is told."""
    given = {
        "photograph": boards.photograph,
        "rectangle": "50,50 550,50 550,350 50,350 = 50.00 mm ± 0.05 mm x 30.00 mm ± 0.05 mm",
        "pick_u_px": "0.5",
    }
    found = client.post(f"{BOARD}/scale", data=given, headers=ASKS).json()
    assert found["millimetres_per_pixel"]["value"] == pytest.approx(0.1, abs=1e-3)
    assert "data-scale" in client.post(f"{BOARD}/scale", data=given, headers=PIECE).text
    refused = client.post(f"{BOARD}/scale", data={"photograph": boards.photograph}, headers=ASKS)
    assert refused.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "card" in refused.json()["error"]


@pytest.mark.independent("the camera that took the picture, and where it saw two points of the face")
def test_the_card_in_a_photograph_is_found_and_gives_its_scale(
    client: TestClient, boards: BoardCase, tmp_path: Path
) -> None:
    """The piece that the page gets carries the scale; with it a length in the picture is what it was."""
    camera = Camera(size=(1600, 1200), focal_px=1280.0, tilt_deg=6.0, k1=-0.02)
    path = tmp_path / "card.png"
    Image.fromarray(photograph_card(camera, at=(30.0, 20.0), turn_deg=8.0)).save(path)
    entry = add_evidence(boards.case, path, shows="photograph", who="Ines", made=at(50), now=at(51)).entry
    given = {
        "photograph": entry.id,
        "bar_along": "90.00 mm ± 0.03 mm",
        "bar_across": "60.00 mm ± 0.03 mm",
        "face_above": "0 mm",
        "pick_u_px": "0.3",
    }
    found = client.post(f"{BOARD}/scale", data=given, headers=ASKS).json()
    assert (found["method"], found["card"]["name"]) == ("card", "A")
    piece = client.post(f"{BOARD}/scale", data=given, headers=PIECE).text
    assert f"card A, {found['card']['corners']} corners" in piece
    told = re.search(r'data-scale="([^"]*)"', piece)
    assert told is not None
    board = {**drawing(), "scale": json.loads(unescape(told[1]))}
    calibration = parse_board(as_bytes(board), where="d.geojson").board.calibration
    assert calibration is not None
    one, other = fit_plane(calibration).to_mm(camera.see(np.array([[10.0, 5.0], [15.0, 5.0]])))
    assert np.hypot(*(other - one)) == pytest.approx(5.0, abs=0.02)
    mirrored = tmp_path / "mirrored.png"
    Image.open(path).transpose(Image.Transpose.FLIP_LEFT_RIGHT).save(mirrored)
    other_way = add_evidence(boards.case, mirrored, shows="photograph", who="Ines", made=at(52), now=at(53)).entry
    refused = client.post(f"{BOARD}/scale", data={**given, "photograph": other_way.id}, headers=ASKS)
    assert refused.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "mirrored" in refused.json()["error"]


def test_a_drawing_is_filed_over_the_one_it_was_made_of(client: TestClient, boards: BoardCase) -> None:
    """To a form the way to its page, to a program the entry; another version meanwhile is a conflict, and both stay."""
    said = {"who": "Ines", "part": "lid"}
    first = send(client, "filed", drawing(), **said)
    assert first.status_code == HTTPStatus.CREATED
    entry = first.json()["entry"]["id"]
    second = send(client, "filed", drawing(290.0), {}, **said, before=entry)
    assert second.status_code == HTTPStatus.SEE_OTHER
    assert client.get(second.headers["location"]).status_code == HTTPStatus.OK
    assert "earlier version" in client.get(f"{BOARD}/{entry}").text
    late = send(client, "filed", drawing(280.0), **said, before=entry)
    assert late.status_code == HTTPStatus.CONFLICT
    assert "nothing is lost" in late.json()["error"]
    over = send(client, "filed", drawing(280.0), PIECE, **said, before=entry, over="yes")
    assert over.headers["hx-redirect"].startswith(f"{BOARD}/")
    names = [path.name[:7] for path in sorted((boards.case / "boards").glob("lid-*"))]
    assert names == ["lid-v01", "lid-v02", "lid-v03"]
    assert open_case(boards.case).check_evidence() == ()
    assert send(client, "filed", drawing(190.0), **said, over="yes").status_code == HTTPStatus.UNPROCESSABLE_ENTITY


def test_a_gap_by_calliper_is_written_down_beside_the_drawing(client: TestClient, boards: BoardCase) -> None:
    """It is an entry as any other, and the drawing knows it at once."""
    given = {
        "who": "Ines",
        "one": "L 1",
        "other": "CP 1",
        "readings": "9.98 mm\n9.99 mm\n",
        "part": "hood",
        "back": boards.drawing,
    }
    made = client.post(f"{BOARD}/calliper", data=given, headers=ASKS)
    assert made.status_code == HTTPStatus.CREATED
    assert made.json()["readings"] == ["9.98 mm", "9.99 mm"]
    assert made.headers["location"] == f"{BOARD}/{boards.drawing}"
    assert [one["ends"] for one in send(client, "looked", drawing(), part="hood").json()["calliper"]] == [
        ["L 1", "CP 1"]
    ]
    told = client.post(f"{BOARD}/calliper", data=given, headers=PIECE)
    assert told.headers["hx-trigger"] == "recorded"
    refused = client.post(f"{BOARD}/calliper", data={**given, "readings": "9.98 V"}, headers=ASKS)
    assert refused.status_code == HTTPStatus.UNPROCESSABLE_ENTITY


def test_a_drawing_larger_than_any_is_refused(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before it is read."""
    monkeypatch.setattr("coldpin.web.pages.board.MOST_BYTES", 100)
    answer = send(client, "looked", drawing())
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "fewer corners" in answer.json()["error"]


def test_the_page_of_a_case_without_boards_says_what_to_do(client: TestClient, boards: BoardCase) -> None:
    """Nothing is filed, and nothing is asked for that is not there."""
    make_case(boards.shelf, "bare")
    page = client.get("/case/bare/board").text
    assert "No drawing is filed yet." in page
    assert "No photograph is filed." in page
