"""The scale card as printed: true to size, one page, the same bytes, and nothing but the layout's own darkness."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.insulation.scale_card import scale_card
from coldpin.report.figures.scale_card import card_svg
from coldpin.report.pdf import set_in_type
from coldpin.report.scale_card import build_card_sheet
from tests.pdf_reading import page_pixels, page_texts

DOTS_PER_MM = 20
CARD = scale_card()


@pytest.fixture(scope="module")
def sheet() -> bytes:
    made, remarks = set_in_type(build_card_sheet([CARD, scale_card("B")]))
    assert remarks == ()
    return made


@pytest.mark.independent("the page as a PDF library of its own draws it, in dots of 0.05 mm")
def test_the_bars_are_printed_true_to_size(sheet: bytes) -> None:
    """The longest dark run of a row is the bar along, 90 mm; of a column the bar across, 60 mm; to a dot each."""
    dark = page_pixels(sheet, 0, dots_per_mm=DOTS_PER_MM) < 128

    def longest(lines: NDArray[np.bool_]) -> int:
        ends = np.diff(np.pad(lines, ((0, 0), (1, 1))).astype(np.int8), axis=1)
        starts, stops = np.argwhere(ends == 1), np.argwhere(ends == -1)
        runs = stops[:, 1] - starts[:, 1]
        thick = [run for run in np.unique(runs) if np.sum(runs == run) > 20]
        return int(max(thick))

    upper = dark[: len(dark) // 2]
    assert len(page_texts(sheet)) == 1
    assert longest(upper) == pytest.approx(90 * DOTS_PER_MM, abs=1)
    assert longest(upper.T) == pytest.approx(60 * DOTS_PER_MM, abs=1)


@pytest.mark.independent("the picture that OpenCV 5 draws of the same numbers")
def test_the_pattern_is_printed_as_the_library_draws_it(sheet: bytes) -> None:
    """The pattern cut out of the page differs from the library's picture at the edges of cells alone."""
    page = page_pixels(sheet, 0, dots_per_mm=DOTS_PER_MM)
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)
    board = cv2.aruco.CharucoBoard((12, 8), 7.5, 5.5, known)
    drawn = board.generateImage((90 * DOTS_PER_MM, 60 * DOTS_PER_MM))
    place = cv2.minMaxLoc(cv2.matchTemplate(page[: page.shape[0] // 2], drawn, cv2.TM_CCOEFF_NORMED))
    column, row = place[3]
    cut = page[row : row + drawn.shape[0], column : column + drawn.shape[1]]

    assert place[1] > 0.95
    assert np.mean((cut < 128) != (drawn < 128)) < 0.02


def test_the_same_layout_gives_the_same_bytes(sheet: bytes) -> None:
    """No clock and no chance in it."""
    assert set_in_type(build_card_sheet([CARD, scale_card("B")]))[0] == sheet


def test_a_card_is_drawn_in_millimetres() -> None:
    """The width of the drawing is the width of the card, and the whole dark part is one path."""
    svg = card_svg(CARD)

    assert svg.startswith('<svg xmlns="http://www.w3.org/2000/svg" width="116mm" height="83mm"')
    assert svg.count("<path") == 1
