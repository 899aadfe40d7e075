"""Scale cards found in a picture: their marks by number, then the corners of their squares to a part of a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from types import ModuleType

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.edge_blur import edge_blur
from coldpin.insulation.opencv import load_opencv
from coldpin.insulation.scale_card import CARDS, DICTIONARY, card_corners, marker_corners, scale_card
from coldpin.records.scale_card import ScaleCard

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]

SEARCHED_PX = 2000
"""Ours: longest side of the smaller picture in which marks are looked for first; a cell of a mark is then some pixels
wide where board and card fill the picture. Places are refined in the whole picture. [px]"""

FEWEST_MARKS = 6
"""Ours: fewer marks than this of one card may be chance, or leave too few corners."""

FEWEST_CORNERS = 12
"""Ours: fewer corners say nothing of tilt and lens, and little of how well they fit."""

OFF_SQUARES = 0.3
"""Ours: how far a mark's corner may lie from the plane of the others, in squares, so that bent cards are seen whole;
farther is another thing taken for a mark."""

WINDOW = 0.1
"""Ours: half the side of the window in which a corner is refined, over the side of a square: it stays clear of the
marks, which begin at 0.13."""

LEAST_WINDOW_PX = 3
"""Ours: a smaller window holds no edge. [px]"""

SMALLEST_SQUARE_PX = 20.0
"""Ours: in smaller squares a corner is found no better than to some tenths of a pixel, which is then too much. [px]"""

ROUNDS, SETTLED_PX = 40, 1e-3
"""Ours: the refining of a corner ends at either."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundCard:
    """A card as found.

    ``picture_px`` and ``plane_mm``: arrays of shape (n, 2), the corners found and where they are on the card as drawn.
    ``marks`` is how many of its marks were read. ``blur_px`` is the standard deviation of its edges' blur along its
    rows and along its columns [px], ``square_px`` the mean side of a square [px].
    """

    card: ScaleCard
    picture_px: Array
    plane_mm: Array
    marks: int
    square_px: float
    blur_px: tuple[float, float]


def find_cards(grey: Grey) -> tuple[FoundCard, ...]:
    """Find the scale cards in a picture.

    Parameters
    ----------
    grey : NDArray[np.uint8]
        Array of shape (height, width).

    Returns
    -------
    tuple of FoundCard
        The card with the most corners first; none where none is seen well enough.

    Raises
    ------
    InputError
        The picture is mirrored.
    MissingExtra
        The library that looks at pictures is not installed.

    Sources
    -------
    Garrido-Jurado and others, Pattern Recognition 47 (2014), for the marks; Förstner and Gülch (1987) for the corners,
    both as the OpenCV library has them (standing: memory).
    """
    cv2 = load_opencv("finding a scale card")
    for shrink in _shrinks(grey):
        marks = _marks(cv2, grey, shrink)
        found = [card for name in CARDS if (card := _refined(cv2, grey, scale_card(name), marks)) is not None]
        if found:
            return tuple(sorted(found, key=lambda card: -len(card.picture_px)))
    _refuse_mirrored(cv2, grey)
    return ()


def _shrinks(grey: Grey) -> tuple[float, ...]:
    """Return the factors to search at: the small picture, then the whole one."""
    shrink = max(grey.shape) / SEARCHED_PX
    return (shrink, 1.0) if shrink > 1.0 else (1.0,)


def _marks(cv2: ModuleType, grey: Grey, shrink: float) -> dict[int, Array]:
    """Return the corners of the marks that are read, by their numbers, in pixels of the whole picture."""
    small = (
        grey
        if shrink == 1.0
        else cv2.resize(grey, None, fx=1.0 / shrink, fy=1.0 / shrink, interpolation=cv2.INTER_AREA)
    )
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY))
    corners, numbers, _ = cv2.aruco.ArucoDetector(known, cv2.aruco.DetectorParameters()).detectMarkers(small)
    if numbers is None:
        return {}
    factor = np.array(grey.shape[::-1]) / np.array(small.shape[::-1])
    return {
        int(number): (np.asarray(found, dtype=np.float64).reshape(4, 2) + 0.5) * factor - 0.5
        for number, found in zip(np.ravel(numbers), corners, strict=True)
    }


def _refined(cv2: ModuleType, grey: Grey, card: ScaleCard, marks: dict[int, Array]) -> FoundCard | None:
    drawn = marker_corners(card)
    own = [number for number in drawn if number in marks]
    if len(own) < FEWEST_MARKS:
        return None
    plane = np.concatenate([drawn[number] for number in own])
    seen = np.concatenate([marks[number] for number in own])
    mark_px = float(np.median([np.hypot(*(marks[number][1] - marks[number][0])) for number in own]))
    matrix, kept = cv2.findHomography(plane, seen, cv2.RANSAC, OFF_SQUARES * mark_px)
    if matrix is None or int(kept.sum()) < 4 * FEWEST_MARKS or _is_mirrored(matrix, plane):
        return None
    held = np.ravel(kept).astype(bool)
    corners = card_corners(card)
    guessed, near = _guessed(cv2, matrix, plane[held], seen[held], corners, card)
    side = _side(cv2, matrix, card)
    if side < SMALLEST_SQUARE_PX:
        return None
    window = max(LEAST_WINDOW_PX, round(WINDOW * side))
    inside = near & _inside(guessed, grey, 2 * window)
    if int(inside.sum()) < FEWEST_CORNERS:
        return None
    fine = _sharpened(cv2, grey, guessed[inside], window)
    stayed = np.max(np.abs(fine - guessed[inside]), axis=1) < window
    if int(stayed.sum()) < FEWEST_CORNERS:
        return None
    found, places = fine[stayed], corners[inside][stayed]
    return FoundCard(
        card=card,
        picture_px=found,
        plane_mm=places,
        marks=len(own),
        square_px=side,
        blur_px=edge_blur(cv2, grey, found, places, card),
    )


def _guessed(
    cv2: ModuleType, matrix: Array, plane: Array, seen: Array, corners: Array, card: ScaleCard
) -> tuple[Array, NDArray[np.bool_]]:
    """Return about where corners of squares are, and beside which of them both marks were read.

    What the nearest corners of marks miss the plane by is added: so a bent card, or lens, leads no window astray.
    """
    rough = cv2.perspectiveTransform(corners[None], matrix)[0]
    missed = seen - cv2.perspectiveTransform(plane[None], matrix)[0]
    away = np.hypot(*(corners[:, None] - plane[None]).transpose(2, 0, 1))
    nearest = np.argsort(away, axis=1)[:, :2]
    near = np.take_along_axis(away, nearest[:, 1:], axis=1)[:, 0] < card.square_mm - card.marker_mm
    return rough + missed[nearest].mean(axis=1), near


def _sharpened(cv2: ModuleType, grey: Grey, guessed: Array, window: int) -> Array:
    ends = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, ROUNDS, SETTLED_PX)
    points = np.ascontiguousarray(guessed[:, None].astype(np.float32))
    fine = cv2.cornerSubPix(grey, points, (window, window), (-1, -1), ends)
    return np.asarray(fine, dtype=np.float64)[:, 0]


def _side(cv2: ModuleType, matrix: Array, card: ScaleCard) -> float:
    """Return the mean side of a square in the picture, by the area of the card. [px]"""
    width, height = card.columns * card.square_mm, card.rows * card.square_mm
    frame = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    area = cv2.contourArea(cv2.perspectiveTransform(frame[None], matrix)[0].astype(np.float32))
    return float(np.sqrt(area / (card.columns * card.rows)))


def _inside(points: Array, grey: Grey, margin: int) -> NDArray[np.bool_]:
    height, width = grey.shape
    room = np.array([width, height]) - 1 - margin
    return np.asarray(np.all((points > margin) & (points < room), axis=1))


def _is_mirrored(matrix: Array, plane: Array) -> bool:
    """Return whether the map keeps the sense of turning; y is up on the card and down in the picture."""
    x, y = plane.mean(axis=0)
    u, v, w = matrix @ np.array([x, y, 1.0])
    slopes = (matrix[:2, :2] - np.outer([u, v], matrix[2, :2]) / w) / w
    return bool(np.linalg.det(slopes) > 0.0)


def _refuse_mirrored(cv2: ModuleType, grey: Grey) -> None:
    shrink = _shrinks(grey)[0]
    marks = _marks(cv2, np.ascontiguousarray(grey[:, ::-1]), shrink)
    for name in CARDS:
        own = [marker.number for marker in scale_card(name).markers if marker.number in marks]
        if len(own) >= FEWEST_MARKS:
            raise InputError(
                f"the picture is mirrored: {len(own)} marks of scale card {name} are read in its reflection; switch "
                "off the mirroring of the camera, or photograph the board itself, not its reflection"
            )
