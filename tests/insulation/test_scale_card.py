"""The layout of the scale card, against the board that the library of its marks draws."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely

from coldpin.errors import UnknownName
from coldpin.insulation.scale_card import CARDS, card_corners, dark_squares, marker_corners, scale_card
from coldpin.records.scale_card import ScaleCard


def library_board(card: ScaleCard) -> cv2.aruco.CharucoBoard:
    """Return the same card as the library knows it."""
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)
    numbers = np.array([marker.number for marker in card.markers])
    return cv2.aruco.CharucoBoard((card.columns, card.rows), card.square_mm, card.marker_mm, known, numbers)


def turned(points_mm: np.ndarray, card: ScaleCard) -> np.ndarray:
    """Return points counted from the upper left, y down, as the library counts."""
    return np.column_stack([points_mm[:, 0], card.rows * card.square_mm - points_mm[:, 1]])


@pytest.mark.independent("the board that OpenCV 5 makes of the same numbers")
@pytest.mark.parametrize("name", list(CARDS))
def test_the_layout_is_that_of_the_library(name: str) -> None:
    """Corners of squares and corners of marks lie where the library puts them, in its order."""
    card = scale_card(name)
    board = library_board(card)

    assert turned(card_corners(card), card) == pytest.approx(np.array(board.getChessboardCorners())[:, :2], abs=1e-5)
    for number, corners in zip(np.ravel(board.getIds()), board.getObjPoints(), strict=True):
        there = np.array(corners)[:, :2]
        assert turned(marker_corners(card)[int(number)], card) == pytest.approx(there, abs=1e-5)


@pytest.mark.independent("the picture that OpenCV 5 draws of the same numbers")
@pytest.mark.parametrize("name", list(CARDS))
def test_dark_and_light_are_those_of_the_library(name: str) -> None:
    """Every tenth of a millimetre is dark or light as in the library's picture, the cells of the marks included."""
    card = scale_card(name)
    scale = 40
    picture = library_board(card).generateImage((card.columns * scale * 3, card.rows * scale * 3))
    cell = card.marker_mm / 6

    # the library draws in whole pixels: only middles of squares and cells are compared
    for x, y in dark_squares(card) + 0.5 * card.square_mm:
        assert _pixel(picture, x, y, card) == 0
    for marker in card.markers:
        for row, line in enumerate(marker.cells):
            for column, sign in enumerate(line):
                x = marker.corner_mm[0] + (column + 1.5) * cell
                y = marker.corner_mm[1] + (4 - row + 0.5) * cell
                assert _pixel(picture, x, y, card) == (255 if sign == "1" else 0)


def _pixel(picture: np.ndarray, x: float, y: float, card: ScaleCard) -> int:
    height, width = picture.shape
    column = int(x / (card.columns * card.square_mm) * width)
    row = int((1.0 - y / (card.rows * card.square_mm)) * height)
    return int(picture[row, column])


def test_two_cards_share_no_mark() -> None:
    """So that both can lie in one picture."""
    first, second = ({marker.number for marker in scale_card(name).markers} for name in CARDS)

    assert not first & second


def test_bars_and_pattern_lie_on_the_card_apart_from_each_other() -> None:
    """The bars are as long as the pattern, and white runs around everything."""
    card = scale_card()
    (left, low), (right, high) = card.card_mm
    pattern = shapely.box(0.0, 0.0, card.columns * card.square_mm, card.rows * card.square_mm)
    bars = [shapely.LineString([bar.start_mm, bar.end_mm]).buffer(0.5 * bar.width_mm) for bar in card.bars]

    assert [bar.length_mm for bar in card.bars] == [90.0, 60.0]
    for shape in (pattern, *bars):
        assert shapely.box(left + 2, low + 2, right - 2, high - 2).contains(shape)
    assert min(pattern.distance(bar) for bar in bars) > 2.0


def test_an_unknown_card_is_named() -> None:
    """The known ones are listed."""
    with pytest.raises(UnknownName, match="unknown scale card 'C'"):
        scale_card("C")
