"""Drawings opened to be drawn on, begun on a photograph, and filed over the version they were made of."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from coldpin.capture.board_file import parse_board
from coldpin.capture.photo import picture_facts, read_colours
from coldpin.casefile import open_case
from coldpin.errors import CaptureError, ConflictError, UnknownName
from coldpin.workbench import correct
from coldpin.workbench.board_pictures import picture_upright
from coldpin.workbench.drawing_sheets import (
    boards_of_case,
    drawing_file,
    new_sheet,
    open_sheet,
    picture_path,
    save_drawing,
    scale_of,
)
from tests.web.drawn_board import SIZE, BoardCase, as_bytes, box, copied, drawing, feature, make_board_case
from tests.workbench.quay import at


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> BoardCase:
    """A case with a drawing, made once."""
    return make_board_case(tmp_path_factory.mktemp("boards"))


@pytest.fixture
def boards(made: BoardCase, tmp_path: Path) -> BoardCase:
    """A copy of it."""
    return copied(made, tmp_path)


def test_a_sheet_holds_the_file_shape_by_shape_and_what_its_picture_says(boards: BoardCase) -> None:
    """What another program wrote beside it is there too."""
    sheet = open_sheet(boards.case, boards.drawing)
    assert (sheet.entry, sheet.newest, sheet.version, sheet.photograph) == (
        boards.drawing,
        boards.drawing,
        1,
        boards.photograph,
    )
    assert (sheet.unit, sheet.view) == ("px", (0.0, 0.0, *map(float, SIZE)))
    assert sheet.near[0] < 60 < 540 < sheet.near[0] + sheet.near[2]
    assert sheet.drawing == drawing()
    assert [(shape.name, shape.role, shape.group) for shape in sheet.shapes] == [
        ("board", "board", ""),
        ("L 1", "conductor", "mains"),
        ("CP 1", "conductor", "pilot"),
    ]
    assert sheet.scale is not None
    assert sheet.scale.millimetres_per_pixel.value == pytest.approx(0.1, abs=1e-4)
    assert sheet.scale.millimetres_per_pixel.u is not None


def test_a_drawing_in_millimetres_lies_on_the_sheet_with_y_down(boards: BoardCase) -> None:
    """As it is looked at; the file keeps its own."""
    plain = {
        "type": "FeatureCollection",
        "scale": {"unit": "mm", "pick_u_mm": 0.03},
        "features": [feature(box(0, 2, 4, 10), role="conductor", net="mains L", name="L")],
    }
    entry = save_drawing(boards.case, as_bytes(plain), who="Ines", before="", part="lid", now=at(5)).entry.id
    sheet = open_sheet(boards.case, entry)
    assert (sheet.unit, sheet.photograph, sheet.scale) == ("mm", "", None)
    assert sheet.view == sheet.near == pytest.approx((-0.32, -10.32, 4.64, 8.64))
    assert sheet.shapes[0].rings[0][0] == (0.0, -2.0)
    assert sheet.drawing["features"][0]["geometry"]["coordinates"][0][0] == [0.0, 2.0]


def test_a_drawing_is_begun_on_a_photograph(boards: BoardCase) -> None:
    """Without scale, and nothing drawn; of its part none counts yet."""
    sheet = new_sheet(boards.case, boards.photograph, part="lid")
    assert (sheet.entry, sheet.newest, sheet.version, sheet.part) == ("", "", 0, "lid")
    assert (sheet.view, sheet.scale, sheet.drawing["features"]) == ((0.0, 0.0, *map(float, SIZE)), None, [])
    with pytest.raises(UnknownName, match="photograph"):
        new_sheet(boards.case, boards.drawing)


def test_saving_makes_the_next_version_and_keeps_the_one_before(boards: BoardCase) -> None:
    """Both files and both entries are there."""
    data = as_bytes(drawing(pilot_left=280.0))
    made = save_drawing(
        boards.case,
        data,
        who="Marta",
        before=boards.drawing,
        drawn_from="photograph",
        note="from near",
        now=at(9),
    ).entry
    assert (made.replaces, made.reason, made.who, made.note) == (
        boards.drawing,
        "drawn anew: version 2",
        "Marta",
        "from near",
    )
    assert drawing_file(boards.case, made.id)[1] == data
    assert json.loads(drawing_file(boards.case, boards.drawing)[1]) == drawing()
    (board,) = boards_of_case(boards.case).boards
    assert (board.entry.id, board.version, [one.id for one in board.earlier]) == (made.id, 2, [boards.drawing])
    assert open_sheet(boards.case, boards.drawing).newest == made.id


def test_what_was_filed_meanwhile_is_told_and_both_are_kept(boards: BoardCase) -> None:
    """Nothing is written before the person has decided; then both stay."""
    theirs = save_drawing(
        boards.case, as_bytes(drawing(pilot_left=280.0)), who="Marta", before=boards.drawing, now=at(9)
    ).entry
    mine = as_bytes(drawing(pilot_left=290.0))
    with pytest.raises(ConflictError, match=rf"another version .* \(entry {theirs.id}\); nothing was written"):
        save_drawing(boards.case, mine, who="Ines", before=boards.drawing, now=at(10))
    assert len(list((boards.case / "boards").iterdir())) == 2
    made = save_drawing(boards.case, mine, who="Ines", before=None, now=at(11)).entry
    assert made.replaces == theirs.id
    (board,) = boards_of_case(boards.case).boards
    assert [one.id for one in board.earlier] == [theirs.id, boards.drawing]
    assert open_case(boards.case).check_evidence() == ()


def test_what_is_no_drawing_is_not_filed(boards: BoardCase) -> None:
    """The message says where."""
    with pytest.raises(CaptureError, match="feature 3"):
        save_drawing(boards.case, as_bytes(drawing(pilot_left=190.0)), who="Ines", before=boards.drawing)
    assert len(list((boards.case / "boards").iterdir())) == 1


def test_a_withdrawn_drawing_is_no_more_the_newest(boards: BoardCase) -> None:
    """It can still be opened; a new one takes nothing's place."""
    correct(boards.case, boards.drawing, who="Ines", reason="another unit's", withdraw=True, now=at(7))
    assert boards_of_case(boards.case).boards == ()
    assert open_sheet(boards.case, boards.drawing).newest == ""
    with pytest.raises(UnknownName, match="drawing of a board"):
        open_sheet(boards.case, boards.photograph)


def test_a_scale_that_cannot_be_told_is_left_out(boards: BoardCase) -> None:
    """The size of the picture is not known; the drawing opens all the same."""
    plain = drawing()
    del plain["scale"]["picture_size_px"]
    entry = save_drawing(boards.case, as_bytes(plain), who="Ines", before=boards.drawing, now=at(9)).entry.id
    sheet = open_sheet(boards.case, entry)
    assert sheet.scale is None
    assert sheet.view == sheet.near


def test_a_photograph_is_shown_as_it_is_measured_in(boards: BoardCase, tmp_path: Path) -> None:
    """Itself where a browser shows it upright; turned where the camera was held on its side; small for a list."""
    path = picture_path(boards.case, boards.photograph)
    assert picture_upright(path) == (path.read_bytes(), "image/png")
    turned = tmp_path / "side.jpg"
    tags = Image.Exif()
    tags[0x0112] = 6
    Image.fromarray(read_colours(path)).save(turned, exif=tags)
    data, media = picture_upright(turned)
    (tmp_path / "shown.jpg").write_bytes(data)
    assert media == "image/jpeg"
    shown = picture_facts(tmp_path / "shown.jpg")
    assert (shown.size_px, shown.stored_upright) == (SIZE[::-1], True)
    assert picture_facts(turned).size_px == SIZE[::-1] == read_colours(turned).shape[1::-1]
    small, _ = picture_upright(path, within_px=450)
    (tmp_path / "small.jpg").write_bytes(small)
    assert picture_facts(tmp_path / "small.jpg").size_px == (450, 300)


def test_a_scale_that_cannot_be_fitted_is_none(boards: BoardCase) -> None:
    """A mirrored picture has no plane that was looked at from the front."""
    plain = drawing()
    for point in plain["scale"]["points"]:
        point["mm"][1] *= -1.0
    calibration = parse_board(as_bytes(plain), where="a").board.calibration
    assert calibration is not None
    assert scale_of(calibration) is None
