r"""A card that bows, as a sheet of paper does that was not glued to a plate: bent one way, not stretched.

.. math:: \varphi(t) = -\alpha \left( t + \sigma (t^2 / 2 - 1 / 6) \right), \quad
    h = \ell \int \varphi, \quad x' = \ell \int (1 - \varphi^2 / 2), \quad (u, v, w) = M (x', y', 1) + h \, m_z

t runs from −1 to 1 over the sheet of half length ℓ, in the direction in which it bends, which is turned by θ from where
it was looked for. α is the slope at its ends, σ how unevenly it bends. M belongs to the plane on which the lowest part
of the sheet rests, and m_z to the direction that stands on it, which follows from M and the focal length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.plane_map import PARAMETERS, Frame, matrix_of, plane_to_picture
from coldpin.insulation.scale_card import PAPER_MM

Array = NDArray[np.float64]

BOW_PARAMETERS = 3
"""Behind the entries of a flat card's map stand α, θ and σ."""

TOWARD_DEG = (0.0, 45.0, 90.0, 135.0)
"""Ours: directions in which a bow is looked for, from along the card; from each the fit turns. [°]"""

BOW_U_MM = 3.0
"""Ours: how far the middle of a sheet stands above its ends, or below, before any point is seen (standard uncertainty):
paper that lies curls by some millimetres. [mm]"""

TURN_U = 0.4
"""Ours: directions lie by 45° apart, so one of them is nearer than this. [rad]"""

UNEVEN_U = 0.5
"""Ours: paper bends at one end by half as much again as in the middle. [1]"""

USUAL_FOCALS = (1.3, 2.2, 3.8)
"""Ours: focal lengths that are tried where it is not known, in half diagonals: of wide, usual and long lenses. [1]"""

MIDDLE_MM = 0.5 * (np.array(PAPER_MM[0]) + np.array(PAPER_MM[1]))
HALVES_MM = 0.5 * (np.array(PAPER_MM[1]) - np.array(PAPER_MM[0]))
"""Middle of the sheet, and half of it along and across. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bow:
    """A sheet that bows; ``toward_deg`` is the direction from along the card in which it is looked for [°].

    ``focal`` is the focal length in half diagonals of the picture [1].
    """

    toward_deg: float
    focal: float

    def place(self, points_mm: Array, bow: Array) -> tuple[Array, Array]:
        """Return over which points of the plane the points of the sheet lie, and how high above its lowest.

        Parameters
        ----------
        points_mm : NDArray[np.float64]
            Array of shape (n, 2), on the sheet as drawn. [mm]
        bow : NDArray[np.float64]
            Array of shape (..., 3): slope at the ends [rad], turn [rad], unevenness [1].

        Returns
        -------
        (NDArray[np.float64], NDArray[np.float64])
            Arrays of shape (..., n, 2) and (..., n). [mm]
        """
        slope, turn, uneven = (bow[..., entry, None] for entry in range(BOW_PARAMETERS))
        angle = turn + math.radians(self.toward_deg)
        direction = np.stack([np.cos(angle), np.sin(angle)], axis=-1)

        half = np.abs(direction) @ HALVES_MM

        def bent(points: Array) -> tuple[Array, Array]:
            t = np.sum((points - MIDDLE_MM) * direction, axis=-1) / half
            return t, half * slope * 0.5 * (1.0 - t * t) * (1.0 + uneven * _THIRD * t)

        t, high = bent(points_mm)
        _, sheet = bent(_SHEET)
        # the square of the slope, summed from the middle
        square = t * t
        squared = t * square * _THIRD + uneven * 0.5 * square * (0.5 * square - _THIRD)
        squared += (0.5 * uneven) ** 2 * t * (_FIFTH * square**2 - 2.0 * _THIRD**2 * square + _THIRD**2)
        drawn_in = 0.5 * slope**2 * squared * half
        return points_mm - drawn_in[..., None] * direction, high - sheet.min(axis=-1, keepdims=True)

    def told(self, bow: Array) -> tuple[float, float]:
        """Return how high a sheet bows and in which direction.

        Parameters
        ----------
        bow : NDArray[np.float64]
            Array of shape (3,): slope at the ends [rad], turn [rad], unevenness [1].

        Returns
        -------
        (float, float)
            From its lowest part to its highest, below zero where its ends stand up [mm]; direction from along the card
            [°].
        """
        heights = self.place(_SHEET, bow)[1]
        return math.copysign(float(np.ptp(heights)), bow[0]), self.toward_deg + math.degrees(bow[1])

    def to_picture(self, frame: Frame, parameters: Array, points_mm: Array) -> Array:
        """Return where points of the sheet are seen.

        Parameters
        ----------
        frame : Frame
            Origin and unit of the map's coordinates.
        parameters : NDArray[np.float64]
            Array of shape (..., 13): those of the map, and three of the bow.
        points_mm : NDArray[np.float64]
            Array of shape (n, 2), on the sheet as drawn. [mm]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (..., n, 2), y down. [px]
        """
        over, height = self.place(points_mm, parameters[..., PARAMETERS:])
        matrix = matrix_of(parameters)
        plain = np.concatenate([(over - frame.middle_mm) / frame.spread_mm, np.ones((*over.shape[:-1], 1))], axis=-1)
        seen = plain @ np.swapaxes(matrix, -1, -2)
        seen = seen + (height / frame.spread_mm)[..., None] * upright(matrix, self.focal)[..., None, :]
        # the point of the plane itself that is seen there
        level = seen @ np.swapaxes(np.linalg.inv(matrix), -1, -2)
        below = frame.middle_mm + frame.spread_mm * level[..., :2] / level[..., 2:]
        return plane_to_picture(frame, parameters, below)


_THIRD, _FIFTH = 1.0 / 3.0, 1.0 / 5.0
"""Means of t² and t⁴ over the sheet: integrals of its slope and of the square of that."""

_SHEET = np.array(
    [
        (x, y)
        for x in np.linspace(PAPER_MM[0][0], PAPER_MM[1][0], 5)
        for y in np.linspace(PAPER_MM[0][1], PAPER_MM[1][1], 5)
    ]
)
"""Points all over the sheet, by which its lowest is found. [mm]"""


def upright(matrix: Array, focal: float) -> Array:
    """Return the column of a camera's matrix for the direction that stands on the plane.

    Parameters
    ----------
    matrix : NDArray[np.float64]
        Array of shape (..., 3, 3), the map of the plane to the picture, in half diagonals from its middle.
    focal : float
        Focal length in half diagonals. [1]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (..., 3).

    Examples
    --------
    >>> upright(np.diag([2.0, -2.0, 1.0]), 2.0).tolist()
    [0.0, 0.0, -1.0]

    Sources
    -------
    Zhang, A flexible new technique for camera calibration (2000), 3.1 (standing: memory).
    """
    camera = np.array([focal, focal, 1.0])
    along, up = matrix[..., 0] / camera, matrix[..., 1] / camera
    size = 0.5 * (np.linalg.norm(along, axis=-1) + np.linalg.norm(up, axis=-1))
    return np.asarray(camera * np.cross(along, up) / size[..., None] + 0.0)


def bow_words(bow_mm: float, toward_deg: float) -> str:
    """Say how a card bows.

    Parameters
    ----------
    bow_mm : float
        By how much, below zero where its ends stand up. [mm]
    toward_deg : float
        In which direction, from along the card. [°]

    Returns
    -------
    str
        Part of a sentence.

    Examples
    --------
    >>> bow_words(-2.04, 93.0)
    'the card bows across by 2.0 mm, its ends up'
    >>> bow_words(1.5, 40.0)
    'the card bows from corner to corner by 1.5 mm, its middle up'
    """
    toward = math.radians(toward_deg)
    along, across = (math.degrees(math.asin(min(abs(part), 1.0))) for part in (math.sin(toward), math.cos(toward)))
    way = "along" if along < NEAR_DEG else "across" if across < NEAR_DEG else "from corner to corner"
    return f"the card bows {way} by {abs(bow_mm):.1f} mm, its {'middle' if bow_mm > 0.0 else 'ends'} up"


NEAR_DEG = 22.5
"""Ours: nearer to a side of the card than to its diagonal. [°]"""
