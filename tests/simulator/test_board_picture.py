"""The virtual camera and what it takes of a board: geometry against published figures and the OpenCV library."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.board import Role
from coldpin.simulator.board_camera import VirtualCamera, draw_camera
from coldpin.simulator.board_card import LyingCard, PrintedCard, yard_card
from coldpin.simulator.board_crossing import Block
from coldpin.simulator.board_hand import draw_by_hand
from coldpin.simulator.board_layout import CrossingPlan, lay_out
from coldpin.simulator.board_picture import Film, Scene, take_picture
from coldpin.simulator.board_scenery import furnish
from coldpin.simulator.picture_file import as_jpeg, as_png
from coldpin.simulator.random_board import draw_board

CLEAR = Film(blur=0.7, grain=0.0, dim=0.0, slant=0.0)
BARE = lay_out([CrossingPlan(gap_mm=5.0, slot_mm=1.2), CrossingPlan(right_net="low-voltage GND")])


def light(picture: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return the light of a picture's green, by the curve that screens follow."""
    coded = picture[:, :, 1] / 255.0
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


@pytest.mark.published("reference photo formulas: shift 1.37931 mm, 6.434316 mm, −1.5192 % at 10° (standing: memory)")
def test_height_and_tilt_shift_as_published() -> None:
    """A raised point moves outward, a raised length reads longer, a tilted one shorter."""
    above = VirtualCamera(distance=300.0, focal=3000.0)
    raised = above.look(above.project(np.array([[40.0, 0.0, 10.0], [3.2, 0.0, 1.6], [-3.2, 0.0, 1.6]])))
    tilted = VirtualCamera(distance=1e7, focal=1e8, tilt_deg=10.0, toward_deg=0.0)
    seen = tilted.project(np.array([[-1.0, 0.0], [1.0, 0.0]]))

    assert raised[0] == pytest.approx([41.37931, 0.0], abs=5e-6)
    assert raised[1, 0] - raised[2, 0] == pytest.approx(6.434316, abs=5e-7)
    assert (seen[1, 0] - seen[0, 0]) / 20.0 - 1.0 == pytest.approx(-0.015192, abs=1e-6)


@pytest.mark.independent("OpenCV projectPoints with the pose written out as a matrix")
def test_points_fall_where_opencv_puts_them() -> None:
    """Without a bend the camera is an ordinary one."""
    cv2 = pytest.importorskip("cv2")
    rng = np.random.default_rng(7)
    for _ in range(20):
        camera = replace(draw_camera(rng, over=(0.0, 0.0, 120.0, 80.0), tilt_deg=30.0), bend=0.0)
        points = rng.uniform([0.0, 0.0, -5.0], [120.0, 80.0, 20.0], (30, 3))
        turn = camera.axes * [[1.0], [-1.0], [-1.0]]
        centre = [0.5 * (camera.width - 1) + camera.off_axis[0], 0.5 * (camera.height - 1) + camera.off_axis[1]]
        inner = np.array([[camera.focal, 0.0, centre[0]], [0.0, camera.focal, centre[1]], [0.0, 0.0, 1.0]])
        there, _ = cv2.projectPoints(points, cv2.Rodrigues(turn)[0], -turn @ camera.lens, inner, None)

        assert camera.project(points) == pytest.approx(there[:, 0], abs=1e-6)


@pytest.mark.hand("there and back")
def test_a_pixel_looks_at_the_point_that_falls_on_it() -> None:
    """At every height, with tilt, turn and bend; a bend pushes the corners by its share."""
    rng = np.random.default_rng(3)
    for _ in range(20):
        camera = draw_camera(rng, over=(0.0, 0.0, 90.0, 70.0), tilt_deg=25.0, bend=0.05)
        points, height = rng.uniform(0.0, 70.0, (25, 2)), float(rng.uniform(-6.0, 15.0))
        seen = camera.project(np.column_stack([points, np.full(25, height)]))
        assert camera.look(seen, height=height) == pytest.approx(points, abs=1e-9)
    straight, bent = VirtualCamera(), VirtualCamera(bend=0.01)
    corner = straight.look(np.array([[0.0, 0.0]]))
    middle = np.array([799.5, 599.5])
    outward = np.linalg.norm(bent.project(corner) - middle) / np.linalg.norm(straight.project(corner) - middle)
    assert outward == pytest.approx(1.01, abs=5e-4)


@pytest.mark.hand("a square of 20 mm at 0.1 mm a pixel covers 200 by 200 pixels")
def test_shapes_cover_as_much_as_they_are() -> None:
    """The light of an inked square adds up to its area, and its edges lie where they are."""
    inked = PrintedCard(
        paper=Block(left=-60.0, low=-50.0, right=60.0, high=50.0),
        black=(Block(left=-10.03, low=-10.0, right=9.97, high=10.0),),
    )
    camera = VirtualCamera(width=400, height=300, focal=3000.0, distance=300.0, aim=(200.0, 200.0))
    scene = Scene(board=BARE, card=LyingCard(card=inked, at=(200.0, 200.0, 0.0)))
    picture = light(take_picture(scene, camera, replace(CLEAR, blur=1.5), seed=np.random.default_rng(1)))
    # as whole steps of the code have them
    paper, ink = picture[20, 20], picture[150, 200]
    dark = (paper - picture) / (paper - ink)
    columns = np.arange(400.0)
    across = dark[80:220].mean(axis=0)

    assert dark.sum() == pytest.approx(200.0 * 200.0, rel=2e-3)
    assert (across @ columns) / across.sum() == pytest.approx(199.5 - 0.3, abs=0.02)


@pytest.mark.independent("corners of the card as the OpenCV detector finds them in the picture")
def test_the_card_is_found_where_it_lies() -> None:
    """Through tilt, bend, blur and grain the found corners are off by hundredths of a pixel, and not to one side."""
    cv2 = pytest.importorskip("cv2")
    board = furnish(draw_board(np.random.default_rng(4)), np.random.default_rng(4))
    lying = LyingCard(card=yard_card(), at=(board.width + 16.0, 16.0, 0.4), turn_deg=3.0, print_scale=(1.002, 0.999))
    camera = draw_camera(np.random.default_rng(5), over=(0.0, 0.0, board.width + 120.0, 85.0), size=(2000, 1500))
    picture = take_picture(Scene(board=board, card=lying), camera, Film(), seed=np.random.default_rng(6))
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)
    detector = cv2.aruco.CharucoDetector(cv2.aruco.CharucoBoard((12, 8), 7.5, 5.5, known))
    corners, names, _, marks = detector.detectBoard(np.ascontiguousarray(picture[:, :, ::-1]))
    rows, columns = np.divmod(names.ravel(), 11)
    true = camera.project(lying.place(7.5 * np.column_stack([columns + 1, 7 - rows]).astype(np.float64)))
    off = corners.reshape(-1, 2) - true

    assert sorted(marks.ravel().tolist()) == list(range(48))
    assert len(names) == 77
    assert np.abs(off.mean(axis=0)).max() < 0.03
    assert off.std() < 0.12


@pytest.mark.hand("half of the light between mask and copper lies on the edge")
def test_copper_is_seen_where_it_is_drawn() -> None:
    """Across the edge of a conductor the picture passes half way at the place where the hand would click."""
    camera = VirtualCamera(width=800, height=600, focal=1500.0, distance=150.0, aim=(30.0, 20.0), tilt_deg=6.0)
    picture = light(take_picture(Scene(board=BARE), camera, CLEAR, seed=np.random.default_rng(2)))
    conductor = next(one for one in BARE.features if one.name == "pilot CP 1")
    edge = BARE.crossings[1].right if BARE.crossings[0].name != "crossing 1" else BARE.crossings[0].right
    seen = camera.project(np.array([[edge.left, edge.middle[1]]]))[0]
    line = picture[round(seen[1])][round(seen[0]) - 12 : round(seen[0]) + 13]
    half = 0.5 * (line[:6].mean() + line[-6:].mean())
    crossed = np.interp(half, line, np.arange(len(line)) + round(seen[0]) - 12)

    assert conductor.role is Role.CONDUCTOR
    assert crossed == pytest.approx(seen[0], abs=0.15)


@pytest.mark.hand("the same seed, the same picture; other seeds, other grain")
def test_a_picture_is_made_again_by_its_seed() -> None:
    """And mirrored, moved or blurred it is another."""
    camera = VirtualCamera(width=240, height=180, focal=400.0, aim=(38.0, 20.0))
    scene = Scene(board=furnish(BARE, np.random.default_rng(1)))
    first, again, other = (take_picture(scene, camera, Film(), seed=np.random.default_rng(k)) for k in (1, 1, 2))
    flipped = take_picture(scene, camera, Film(mirrored=True), seed=np.random.default_rng(1))
    moved = take_picture(scene, camera, Film(moved=(9.0, 3.0)), seed=np.random.default_rng(1))

    assert (first == again).all()
    assert (first != other).any()
    assert (flipped[:, ::-1] == first).all()
    assert np.abs(np.diff(moved.astype(float), axis=1)).mean() < np.abs(np.diff(first.astype(float), axis=1)).mean()


@pytest.mark.hand("a hand of one pixel")
def test_a_hand_is_off_by_as_much_as_said() -> None:
    """Each corner is off by the deviation in both directions; a steady hand hits."""
    camera = draw_camera(np.random.default_rng(1), over=(0.0, 0.0, 80.0, 45.0))
    steady = draw_by_hand(BARE, camera, pick_px=0.0, seed=np.random.default_rng(1))
    drawn = [draw_by_hand(BARE, camera, pick_px=1.0, seed=np.random.default_rng(k)) for k in range(400)]
    square = [place for place, shape in enumerate(steady) if len(shape.outline) == 4]
    off = np.array([shapes[place].outline - steady[place].outline for shapes in drawn for place in square])
    right, left = off[:, 1, 0], off[:, 0, 0]
    copper = next(shape for shape in BARE.features if shape.name == "earth")
    missing = draw_by_hand(BARE, camera, pick_px=1.0, seed=np.random.default_rng(1), left_out=("slot 1",))

    assert off.std() == pytest.approx(1.0, abs=0.05)
    # what the whole rim has in common takes its two sides apart
    assert np.corrcoef(right, left)[0, 1] == pytest.approx(-0.5, abs=0.1)
    assert camera.look(next(s for s in steady if s.name == "earth").outline) == pytest.approx(copper.outline, abs=1e-9)
    assert {shape.name for shape in steady} - {shape.name for shape in missing} == {"slot 1"}


@pytest.mark.independent("the Pillow library reads the files")
def test_files_hold_the_picture_and_its_turn() -> None:
    """PNG to the last bit; JPEG nearly, with the mark by which a viewer turns it upright."""
    image = pytest.importorskip("PIL.Image")
    turner = pytest.importorskip("PIL.ImageOps")
    picture = take_picture(
        Scene(board=BARE), VirtualCamera(width=160, height=120), Film(), seed=np.random.default_rng(1)
    )

    assert (np.asarray(image.open(io.BytesIO(as_png(picture))).convert("RGB")) == picture).all()
    for turn in (0, 90, 180, 270):
        opened = image.open(io.BytesIO(as_jpeg(picture, quality=95, turn_deg=turn, focal_35mm=26)))
        upright = np.asarray(turner.exif_transpose(opened), float)
        assert opened.size == ((160, 120) if turn % 180 == 0 else (120, 160))
        assert upright.shape == picture.shape
        assert opened.getexif().get_ifd(0x8769)[0xA405] == 26
        assert np.abs(upright - picture).mean() < 4.0
    with pytest.raises(UnknownName, match="45"):
        as_jpeg(picture, turn_deg=45)


def test_cameras_that_cannot_be_are_refused() -> None:
    """From beside, or through a lens like a marble."""
    with pytest.raises(OutsideRange, match="tilted by 80"):
        VirtualCamera(tilt_deg=80.0)
    with pytest.raises(OutsideRange, match="bend"):
        VirtualCamera(bend=0.5)
