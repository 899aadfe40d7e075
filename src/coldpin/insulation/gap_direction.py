"""In which direction a gap of a drawing runs, and whether several run across each other.

A gap shows the scale of a picture along itself: a stretch by a small part s in a direction at the angle φ to it
lengthens it by s cos² φ. Gaps of one direction say nothing of a picture that is stretched, or tilted, across them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.corner_scatter import Drawing
from coldpin.records.board import BoardModel
from coldpin.records.distance import IsolationPath

LEAST_ANGLE_DEG = 60.0
"""Ours: gaps run across each other from this angle on. The stretch that two gaps show least is the one across the
middle between them, of which each shows the part sin² of half their angle: a quarter at 60° and a half at a right
angle, but at 30° a fifteenth: a tenth of stretch then lengthens a gap of 6 mm by 0.04 mm, less than calliper and hand
hide. [deg]"""

_HALF_TURN = 180.0
"""A gap runs both ways: directions half a turn apart are one. [deg]"""

_WORDS = ("from left to right", "up to the right", "up and down", "up to the left")
"""What directions of 0°, 45°, 90° and 135° are called."""

_NO_DIRECTION = 1e-6
"""Ours: a way whose pieces run as much one way as the other, but for this part of its length, has no direction. [1]"""


def gap_direction(board: BoardModel, path: IsolationPath) -> float | None:
    """Return the direction in which most of a way runs, as the drawing shows it.

    Parameters
    ----------
    board : BoardModel
        The drawing, in millimetres or in pixels of a picture.
    path : IsolationPath
        A way in it, in millimetres; each piece counts by its length.

    Returns
    -------
    float or None
        From 0 up to 180, from left to right counted as 0 and up and down as 90; None where it has no length, or runs
        as much in one direction as in the other. [deg]

    Raises
    ------
    InputError
        The calibration of the drawing cannot be fitted.

    Examples
    --------
    >>> from coldpin.records.distance import Leg, PathKind, PathLeg
    >>> up = PathLeg(leg=Leg.AIR, start=(0.0, 4.0), end=(0.0, 0.0), counted_mm=4.0)
    >>> way = IsolationPath(kind=PathKind.CLEARANCE, nets=("a", "b"), between=("a", "b"), length_mm=4.0, legs=(up,))
    >>> gap_direction(BoardModel(features=()), way)
    90.0
    """
    ends = np.array([(leg.start, leg.end) for leg in path.legs if leg.counted_mm > 0.0]).reshape(-1, 2)
    plane = Drawing.of(board).plane if len(ends) else None
    if plane is not None:
        ends = plane.to_px(ends) * np.array([1.0, -1.0])
    return direction_of(ends[1::2] - ends[::2])


def direction_of(pieces_along: NDArray[np.float64]) -> float | None:
    """Return the direction in which most of several straight pieces runs.

    Parameters
    ----------
    pieces_along : NDArray[np.float64]
        Array of shape (n, 2), from the beginning of each to its end, y up.

    Returns
    -------
    float or None
        From 0 up to 180; None where they have no length, or run as much in one direction as in the other. [deg]

    Examples
    --------
    >>> direction_of(np.array([[0.0, 3.0], [1.0, 0.0], [0.0, -3.0]]))
    90.0
    """
    pieces = pieces_along[:, 0] + 1j * pieces_along[:, 1]
    length = float(np.abs(pieces).sum())
    # doubled, the angles of a piece and of the same piece walked the other way are one
    doubled = complex(np.sum(np.abs(pieces) * np.exp(2j * np.angle(pieces))))
    if not abs(doubled) > _NO_DIRECTION * length:
        return None
    found = 0.5 * math.degrees(math.atan2(doubled.imag, doubled.real)) % _HALF_TURN
    # a hair below 0° comes out as the half turn itself
    return found if found < _HALF_TURN else 0.0


def widest_angle(directions: Sequence[float]) -> float:
    """Return the largest angle between any two of several directions.

    Parameters
    ----------
    directions : sequence of float
        Each from 0 to 180. [deg]

    Returns
    -------
    float
        From 0 to 90. [deg]

    Examples
    --------
    >>> widest_angle([2.0, 175.0]), widest_angle([0.0, 30.0, 85.0])
    (7.0, 85.0)
    """
    apart = (abs(one - other) % _HALF_TURN for one, other in combinations(directions, 2))
    return max((min(angle, _HALF_TURN - angle) for angle in apart), default=0.0)


def told_direction(directions: Sequence[float], *, across: bool = False) -> str:
    """Return about which way several directions run together, or which way runs across them.

    Parameters
    ----------
    directions : sequence of float
        At least one, each from 0 to 180. [deg]
    across : bool
        Whether the direction at right angles is told.

    Returns
    -------
    str
        "up and down".

    Examples
    --------
    >>> told_direction([2.0, 175.0]), told_direction([2.0, 175.0], across=True)
    ('from left to right', 'up and down')
    """
    doubled = sum(np.exp(2j * math.radians(one)) for one in directions)
    middle = 0.5 * math.degrees(np.angle(doubled)) + (0.5 * _HALF_TURN if across else 0.0)
    return _WORDS[round(middle / (_HALF_TURN / len(_WORDS))) % len(_WORDS)]
