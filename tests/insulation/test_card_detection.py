"""Scale cards found in rendered pictures whose corners are known by the camera's own geometry."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest

from coldpin.errors import InputError
from coldpin.insulation.card_detection import find_cards
from tests.insulation.virtual_camera import Camera, Grey, on_card, photograph_card

SMALL = Camera(size=(1600, 1200), focal_px=1280.0)
"""As the larger one, with pixels two and a half times as wide."""


def small(**more: float) -> Camera:
    return Camera(size=SMALL.size, focal_px=SMALL.focal_px, **more)  # type: ignore[arg-type]  # members by name


@pytest.mark.independent("a pinhole camera of its own and the library's own picture of the card")
@pytest.mark.parametrize(
    ("tilt_deg", "k1", "turn_deg", "at"),
    [(0.0, 0.0, 0.0, (30.0, 20.0)), (10.0, -0.03, 20.0, (30.0, 20.0)), (25.0, 0.02, 160.0, (130.0, 60.0))],
)
def test_corners_are_found_to_a_tenth_of_a_pixel(
    tilt_deg: float,
    k1: float,
    turn_deg: float,
    at: tuple[float, float],
    measured: Callable[[str, float, str, str], None],
) -> None:
    """Nearly all corners of a card, turned and tilted and bent by the lens, where the camera put them."""
    camera = small(tilt_deg=tilt_deg, k1=k1)
    (found,) = find_cards(photograph_card(camera, at=at, turn_deg=turn_deg))

    missed = found.picture_px - camera.see(on_card(found.plane_mm, at, turn_deg))
    spread = float(np.sqrt(np.mean(missed**2)))
    measured(f"corners of a card found in a picture tilted by {tilt_deg:g}° (r.m.s.)", spread, "px", "≤ 0.1")
    assert found.card.name == "A"
    assert len(missed) >= 70
    assert spread <= 0.1
    assert np.max(np.abs(missed)) <= 0.5


def test_a_part_of_a_card_is_enough() -> None:
    """With half of it covered the rest is found, each corner under its own place."""
    picture = photograph_card(SMALL, at=(30.0, 20.0)).copy()
    middle = int(SMALL.see(np.array([[75.0, 50.0]]))[0, 0])
    picture[:, middle:] = 90

    (found,) = find_cards(picture)
    missed = found.picture_px - SMALL.see(on_card(found.plane_mm, (30.0, 20.0), 0.0))
    assert 20 <= len(missed) < 45
    assert np.sqrt(np.mean(missed**2)) <= 0.1


@pytest.mark.parametrize("name", ["A", "B"])
def test_each_card_is_known_by_its_marks(name: str) -> None:
    """The second card is not taken for the first."""
    (found,) = find_cards(photograph_card(SMALL, name=name, at=(30.0, 20.0)))

    assert found.card.name == name


@pytest.mark.parametrize(("blur_px", "smear_px"), [(0.7, 0.0), (1.5, 0.0), (0.7, 2.0)])
def test_blur_is_measured_along_and_across(blur_px: float, smear_px: float) -> None:
    """A blur put in comes out, within a third, pixels included; a camera that moved sideways blurs one direction."""
    (found,) = find_cards(photograph_card(SMALL, at=(30.0, 20.0), blur_px=blur_px, smear_px=smear_px))

    # edges along the rows are blurred up and down, edges along the columns sideways
    rows, columns = found.blur_px
    assert rows == pytest.approx(blur_px, rel=1 / 3)
    assert columns == pytest.approx(np.hypot(blur_px, smear_px), rel=1 / 3)


def test_nothing_is_found_where_no_card_is() -> None:
    """Noise, a plain chessboard and an empty picture give no card."""
    noise = np.random.default_rng(1).integers(0, 255, (600, 800)).astype(np.uint8)
    squares = np.kron((np.indices((8, 12)).sum(axis=0) % 2) * 255, np.ones((60, 60))).astype(np.uint8)

    assert find_cards(noise) == ()
    assert find_cards(squares) == ()
    assert find_cards(np.full((300, 400), 128, dtype=np.uint8)) == ()


def test_a_mirrored_picture_says_so() -> None:
    """Its marks are read in the reflection alone."""
    picture: Grey = np.ascontiguousarray(photograph_card(SMALL, at=(30.0, 20.0))[:, ::-1])

    with pytest.raises(InputError, match=r"the picture is mirrored: 4[0-9] marks of scale card A are read in its refl"):
        find_cards(picture)


@pytest.mark.independent("the corners that the detector for whole boards of OpenCV 5 finds in the same picture")
def test_the_corners_are_those_of_the_librarys_detector_for_whole_boards() -> None:
    """Both find the same corners to a fifth of a pixel."""
    picture = photograph_card(SMALL, at=(30.0, 20.0), turn_deg=10.0)
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)
    board = cv2.aruco.CharucoBoard((12, 8), 7.5, 5.5, known)
    corners, numbers, _, _ = cv2.aruco.CharucoDetector(board).detectBoard(picture)

    (found,) = find_cards(picture)
    ours = {
        round(float((7.5 * 8 - y) / 7.5 - 1) * 11 + float(x / 7.5 - 1)): point
        for (x, y), point in zip(found.plane_mm, found.picture_px, strict=True)
    }
    theirs = {
        int(number): np.ravel(corner) for number, corner in zip(np.ravel(numbers), np.asarray(corners), strict=True)
    }
    both = sorted(ours.keys() & theirs.keys())
    apart = np.array([ours[number] - theirs[number] for number in both])
    assert len(both) >= 70
    assert np.sqrt(np.mean(apart**2)) <= 0.2
