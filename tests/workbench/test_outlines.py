"""Outlines proposed on a rendered photograph of a board: shown, written as proposals, never over what is evidence."""

from __future__ import annotations

import hashlib
import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from coldpin.capture.board_file import parse_board, render_board
from coldpin.errors import CaptureError, InputError
from coldpin.insulation.outline_proposing import ProposingChoices
from coldpin.records.board import BoardModel, Face, Role
from coldpin.records.finding import Outcome
from coldpin.simulator.board_hand import draw_by_hand, find_card
from coldpin.simulator.brackwater_boards import opened, photograph
from coldpin.simulator.brackwater_specimens import SKERROW_16
from coldpin.workbench.boards import Asked, measure_board
from coldpin.workbench.outlines import MOST_CORNERS, OutlineFiles, parse_place, propose_outlines

LAID = opened(SKERROW_16)
SNAP = ProposingChoices(snap=True)


def seen(name: str) -> np.ndarray:
    """Where the corners of a shape are in the picture. [px]"""
    (shape,) = (shape for shape in LAID.board.features if shape.name == name)
    return LAID.camera.project(shape.outline)


def at(name: str, what: str) -> str:
    """Point into the middle of a shape."""
    x, y = seen(name).mean(axis=0)
    return f"{x:.0f},{y:.0f} = {what}"


SLOT = at("slot 2", "slot, slot 2")


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """A folder with the photograph, and a drawing over it from which the slots were left out."""
    with Image.open(io.BytesIO(photograph(SKERROW_16))) as whole, io.BytesIO() as held:
        # the board alone: nothing is looked for in the card
        whole.crop((0, 0, 1000, 1300)).save(held, format="JPEG", quality=95)
        data = held.getvalue()
    (tmp_path / "board.jpg").write_bytes(data)
    hand = np.random.default_rng(5)
    features = draw_by_hand(LAID.board, LAID.camera, pick_px=0.5, seed=hand)
    drawn = BoardModel(
        features=tuple(shape for shape in features if shape.role is not Role.SLOT),
        calibration=find_card(
            LAID.card,
            LAID.camera,
            seed=hand,
            pick_u_px=0.5,
            picture=hashlib.sha256(data).hexdigest(),
            face_above_mm=0.0,
        ),
    )
    (tmp_path / "drawing.geojson").write_bytes(render_board(drawn))
    return tmp_path


@pytest.mark.independent("the slot of a virtual board carried into its picture by the virtual camera")
def test_a_slot_is_proposed_shown_and_added_and_the_drawing_waits(bench: Path) -> None:
    """From a point in it to the drawing; measured there, the way goes round it and nothing is placed."""
    drawing = bench / "drawing.geojson"
    before = json.loads(drawing.read_bytes())
    files = OutlineFiles(show=bench / "look.png", features=bench / "slots.geojson", add_to=drawing)
    told = propose_outlines(bench / "board.jpg", [SLOT], files, choices=SNAP)

    (one,) = told.outlines
    rim, found = shapely.Polygon(seen("slot 2")), shapely.Polygon(one.outline_px)
    assert one.pick_u_px is not None
    assert rim.exterior.hausdorff_distance(found.exterior) <= 2.0 * one.pick_u_px + 1.0
    (alone,) = json.loads((bench / "slots.geojson").read_bytes())["features"]
    after = json.loads(drawing.read_bytes())
    assert after["features"] == [*before["features"], alone]
    assert alone["properties"] == {
        "role": "slot",
        "name": "slot 2",
        "told": one.made_by,
        "proposed": True,
        "pick_u": one.pick_u_px,
    }
    asked = Asked(voltage="230 V", overvoltage_category="II", material_group="IIIa")
    measured = measure_board(drawing, ("mains", "pilot"), pollution_degree=2, asked=asked)
    assert measured.creepage is not None
    assert "slot 2" in measured.creepage.told
    assert {placed.outcome for placed in measured.placements} == {Outcome.UNDECIDED}
    assert any(line.startswith("'slot 2' is a proposal that nobody has") for line in measured.statements)


def test_the_picture_shows_the_line_over_the_photograph(bench: Path) -> None:
    """The whole and each outline from near by: magenta is in no board, and lies along the rim of the slot."""
    propose_outlines(bench / "board.jpg", [SLOT], OutlineFiles(show=bench / "look.png"), choices=SNAP)
    with Image.open(bench / "look.png") as image:
        pixels = np.asarray(image)

    magenta = (pixels == [255, 0, 255]).all(axis=2)
    assert pixels.shape[1] == 1200
    rows = np.flatnonzero(magenta.any(axis=1))
    # in the whole picture, and again below it
    assert rows[0] < 900 < rows[-1]
    # twelve times as large, both long sides of 75 px and more are there
    assert magenta.sum() > 2 * 12 * 75


def test_without_a_role_it_is_only_looked_at(bench: Path) -> None:
    """A first look needs none; a feature has one, and nothing is written before all is said."""
    look = OutlineFiles(show=bench / "look.png")
    (one,) = propose_outlines(bench / "board.jpg", [SLOT.partition(" =")[0]], look).outlines
    assert (one.role, one.label) == (None, "not said what it is")
    (bench / "look.png").unlink()
    for files in (replace(look, features=bench / "f.geojson"), replace(look, add_to=bench / "drawing.geojson")):
        with pytest.raises(InputError, match="does not say what is there, and a feature has a role"):
            propose_outlines(bench / "board.jpg", [SLOT, "555,823"], files)
    assert not (bench / "look.png").exists()


def test_what_is_evidence_is_not_written_over(bench: Path) -> None:
    """The photograph by any of its names, a drawing by the wrong option; one name twice; no PNG."""
    photo, drawing = bench / "board.jpg", bench / "drawing.geojson"
    (bench / "link.png").symlink_to(photo)
    kept = photo.read_bytes(), drawing.read_bytes()
    look = OutlineFiles(show=bench / "look.png")
    for files, said in (
        (OutlineFiles(show=photo), "is the photograph itself"),
        (OutlineFiles(show=bench / "link.png"), "is the photograph itself"),
        (replace(look, features=photo), "is the photograph itself"),
        (replace(look, features=drawing), "say --add-to"),
        (replace(look, features=bench / "look.png"), "is given twice"),
        (OutlineFiles(show=bench / "look.jpg"), "is written as PNG"),
    ):
        with pytest.raises(InputError, match=said):
            propose_outlines(photo, [SLOT], files)
    assert (photo.read_bytes(), drawing.read_bytes()) == kept


def test_a_drawing_that_is_not_over_this_photograph_is_refused(bench: Path) -> None:
    """Pixels of another picture are other places; a drawing in millimetres has none; nothing is written."""
    drawing = bench / "drawing.geojson"
    board = parse_board(drawing.read_bytes(), where="drawing").board
    assert board.calibration is not None
    files = OutlineFiles(show=bench / "look.png", add_to=drawing)
    for other, said in (
        (
            replace(board, calibration=replace(board.calibration, picture="0" * 64)),
            "drawn over the picture 000000000000",
        ),
        (replace(board, calibration=replace(board.calibration, picture="")), "over a picture it does not name"),
        (replace(board, calibration=None, pick_u_mm=0.03), "is drawn in millimetres"),
    ):
        drawing.write_bytes(render_board(other))
        with pytest.raises(InputError, match=said):
            propose_outlines(bench / "board.jpg", [SLOT], files)
    drawing.write_text("no drawing")
    with pytest.raises(CaptureError, match="not JSON"):
        propose_outlines(bench / "board.jpg", [SLOT], files)
    assert not (bench / "look.png").exists()


def test_a_name_that_is_taken_leaves_every_file_as_it_was(bench: Path) -> None:
    """The drawing is read again before anything is written."""
    drawing = bench / "drawing.geojson"
    kept = drawing.read_bytes()
    with pytest.raises(CaptureError, match="is called 'screw' too"):
        propose_outlines(
            bench / "board.jpg",
            [at("slot 2", "slot, screw")],
            OutlineFiles(show=bench / "look.png", add_to=drawing),
        )
    assert drawing.read_bytes() == kept
    assert not (bench / "look.png").exists()


def test_what_the_drawing_says_beside_its_shapes_stays(bench: Path) -> None:
    """Members and properties that are not read here, in the order in which they were."""
    drawing = bench / "drawing.geojson"
    plain = json.loads(drawing.read_bytes())
    plain["drawn_by"] = "Ines"
    plain["features"][0]["properties"]["layer"] = 7
    drawing.write_text(json.dumps(plain), encoding="utf-8")
    files = OutlineFiles(show=bench / "look.png", add_to=drawing)
    propose_outlines(bench / "board.jpg", [SLOT], files, choices=SNAP, face=Face.TOP)

    after = json.loads(drawing.read_bytes())
    added = after["features"].pop()
    assert after == plain
    assert list(after) == list(plain)
    assert added["properties"]["face"] == "top"


def test_a_point_where_nothing_hangs_together_is_named(bench: Path) -> None:
    """By what was typed, among several."""
    with pytest.raises(InputError, match=r"at '9999,1 = slot': point \(9999, 1\) lies outside the picture"):
        propose_outlines(bench / "board.jpg", [SLOT, "9999,1 = slot"], OutlineFiles(show=bench / "look.png"))
    with pytest.raises(InputError, match="0 places are pointed out"):
        propose_outlines(bench / "board.jpg", [], OutlineFiles(show=bench / "look.png"))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "has no point"),
        ("= slot", "has no point"),
        ("5 = slot", "'5' is no point"),
        ("5,6,7 = slot", "'5,6,7' is no point"),
        ("5,x = slot", "'5,x' is no point"),
        ("5,nan = slot", "'5,nan' is no point"),
        ("5,6 =", "says nothing after the sign"),
        ("5,6 = , pad", "says nothing after the sign"),
        ("5,6 = conductor", "a conductor is on a net"),
        ("5,6 = slott", "'slott' is no role; did you mean 'slot'"),
        ("1,1 " * (MOST_CORNERS + 1), "at most 500 are taken"),
    ],
)
def test_a_place_that_cannot_be_read_is_refused(text: str, said: str) -> None:
    """Each refusal shows how it is written."""
    with pytest.raises(InputError, match=said):
        parse_place(text)


@given(text=st.text(alphabet="0123456789,.= -e\tslotmainsL", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Nothing but a refusal comes of it, and what is read is finite."""
    try:
        place = parse_place(text)
    except InputError:
        return
    assert np.isfinite(place.points_px).all()
    assert (place.role is Role.CONDUCTOR) == bool(place.net)
