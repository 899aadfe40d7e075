"""The scale card: a chessboard with coded marks, printed on paper, laid flat beside a board and photographed with it.

Its many corners take out the tilt of the picture and the bending of the lens, and what is left over says how well. Each
mark has a number of its own, so that any part of the card that is seen is enough to know which corners these are; and a
second card has other numbers, so that two can lie in one picture.
"""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import UnknownName
from coldpin.insulation.opencv import load_opencv
from coldpin.records.scale_card import CardBar, CardMarker, ScaleCard

COLUMNS = 12
"""Ours: squares across; with these rows a card is as large as the boards it lies beside."""

ROWS = 8
"""Ours: squares down."""

SQUARE_MM = 7.5
"""Ours: side of a square: 60 px and more where a board of 15 cm fills a picture of eight million pixels. [mm]"""

MARKER_MM = 5.5
"""Ours: side of a mark; a millimetre of white around it keeps the corners of the squares free. [mm]"""

CELLS = 4
"""Cells of a mark across, without its rim."""

DICTIONARY = "DICT_4X4_100"
"""Ours: the list of marks of the OpenCV library with four by four cells, large enough for two cards."""

CARDS = {"A": 0, "B": (COLUMNS * ROWS) // 2}
"""Number of the first mark of each card."""

BAR_WIDTH_MM = 3.0
"""Ours: width of a bar, so that the jaws of a calliper can be set to its ends. [mm]"""

CAUTIONS = ("No open board is photographed live: unplug it, prove it dead, discharge its capacitors.",)

MEASURE = (
    "Measure both bars of each card with the calliper, from end to end, three times each, and write the mean on the "
    "card: the bars, not the figures drawn beside them, are the scale."
)

STEPS = (
    "Print at 100 % (“actual size”), never “fit to page”, on matt paper; a laser printer keeps its size best.",
    MEASURE,
    "Cut along the thin line and glue the card flat on something stiff: glass, aluminium, thick board.",
    "Lay it beside the board, flat, whole, level with the face that is measured (shim it), in even light, no glare.",
    "Hold the camera square to the board and far away, and zoom in: heights then matter less. Photograph both faces.",
    "The second card, on the other side of the board, shows whether card and board lie in one plane.",
    "Set the calliper to at least three gaps of the board and write them down: a picture alone decides nothing.",
)
"""What to do with the card, in order."""

BAR_GAP_MM = 6.0
"""Ours: from the pattern to the middle of a bar, so that white runs around both. [mm]"""

MARGIN_MM = (10.0, 14.0)
"""Ours: from pattern or bar to the side of the card, and from the pattern to its foot, with room for a reading. [mm]"""

TITLE_MM = 9.0
"""Ours: from the pattern to the top of the card, with room for its name. [mm]"""

PAPER_MM = (
    (-MARGIN_MM[0], -MARGIN_MM[1]),
    (COLUMNS * SQUARE_MM + BAR_GAP_MM + MARGIN_MM[0], ROWS * SQUARE_MM + TITLE_MM),
)
"""Lower left and upper right corner of the card as it is cut, from the lower left corner of its pattern. [mm]"""


def scale_card(name: str = "A") -> ScaleCard:
    """Return the layout of a card.

    Parameters
    ----------
    name : str
        "A" or "B"; they differ in their marks alone.

    Returns
    -------
    ScaleCard
        The layout.

    Raises
    ------
    UnknownName
        There is no such card.
    MissingExtra
        The library that holds the marks is not installed.

    Examples
    --------
    >>> card = scale_card()
    >>> len(card.markers), card_corners(card).shape, card.bars[0].length_mm
    (48, (77, 2), 90.0)
    """
    if name not in CARDS:
        raise UnknownName.among("scale card", name, CARDS)
    width, height = COLUMNS * SQUARE_MM, ROWS * SQUARE_MM
    low, side = -BAR_GAP_MM, width + BAR_GAP_MM
    return ScaleCard(
        schema="coldpin.scale_card/1",
        name=name,
        columns=COLUMNS,
        rows=ROWS,
        square_mm=SQUARE_MM,
        marker_mm=MARKER_MM,
        dictionary=DICTIONARY,
        markers=_markers(CARDS[name]),
        bars=(
            CardBar(name="along", start_mm=(0.0, low), end_mm=(width, low), width_mm=BAR_WIDTH_MM, length_mm=width),
            CardBar(
                name="across", start_mm=(side, 0.0), end_mm=(side, height), width_mm=BAR_WIDTH_MM, length_mm=height
            ),
        ),
        card_mm=PAPER_MM,
        cautions=CAUTIONS,
        steps=STEPS,
    )


def _markers(first: int) -> tuple[CardMarker, ...]:
    cv2 = load_opencv("the scale card")
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY))
    rim = 0.5 * (SQUARE_MM - MARKER_MM)
    found: list[CardMarker] = []
    for row, column in _light_squares():
        number = first + len(found)
        cells = cv2.aruco.Dictionary.getBitsFromByteList(known.bytesList[number : number + 1], CELLS)
        found.append(
            CardMarker(
                number=number,
                corner_mm=(column * SQUARE_MM + rim, (ROWS - 1 - row) * SQUARE_MM + rim),
                cells=tuple("".join(str(int(cell)) for cell in line) for line in cells),
            )
        )
    return tuple(found)


def _light_squares() -> list[tuple[int, int]]:
    """Return row and column of the light squares, from the upper left, row by row."""
    return [(row, column) for row, column in product(range(ROWS), range(COLUMNS)) if (row + column) % 2]


def dark_squares(card: ScaleCard) -> NDArray[np.float64]:
    """Return the lower left corners of the dark squares.

    Parameters
    ----------
    card : ScaleCard
        The layout.

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n, 2). [mm]
    """
    places = [
        (column, card.rows - 1 - row)
        for row, column in product(range(card.rows), range(card.columns))
        if (row + column) % 2 == 0
    ]
    return card.square_mm * np.array(places, dtype=np.float64)


def card_corners(card: ScaleCard) -> NDArray[np.float64]:
    """Return the inner corners of the chessboard, where two dark squares touch, from the upper left, row by row.

    Parameters
    ----------
    card : ScaleCard
        The layout.

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n, 2). [mm]
    """
    rows, columns = np.mgrid[card.rows - 1 : 0 : -1, 1 : card.columns]
    return card.square_mm * np.column_stack([columns.ravel(), rows.ravel()]).astype(np.float64)


def marker_corners(card: ScaleCard) -> dict[int, NDArray[np.float64]]:
    """Return the corners of each mark: upper left, upper right, lower right, lower left.

    Parameters
    ----------
    card : ScaleCard
        The layout.

    Returns
    -------
    dict of int to NDArray[np.float64]
        By the number of the mark, arrays of shape (4, 2). [mm]
    """
    around = card.marker_mm * np.array([[0.0, 1.0], [1.0, 1.0], [1.0, 0.0], [0.0, 0.0]])
    return {marker.number: np.array(marker.corner_mm) + around for marker in card.markers}
