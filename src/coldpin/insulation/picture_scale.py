"""Millimetres to a pixel from a known length in a picture, and a distance by it; the tilt and the residual."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError

Number = float | NDArray[np.float64]

HOMOGRAPHY_UNKNOWNS = 8
"""Unknowns of a projective map of a plane: the entries of a 3 × 3 matrix, less a common factor."""


def scale(*, length: Number, pixels: Number) -> Number:
    r"""Return how many millimetres one pixel stands for.

    .. math:: s = L / N

    Take the longest length there is: the whole header, not one pitch of it. What is picked wrongly at both ends is then
    a smaller part of it.

    Parameters
    ----------
    length : float or array of shape (n,)
        Known length L. [mm]
    pixels : float or array of shape (n,)
        The same length in the picture, N. [px]

    Returns
    -------
    float or array of shape (n,)
        s. [mm/px]

    Examples
    --------
    >>> scale(length=22.86, pixels=1143.0)
    0.02

    Sources
    -------
    Similar figures.
    """
    return length / pixels


def distance(*, scale: Number, pixels: Number) -> Number:
    r"""Return a distance in the calibrated plane, in a picture that is square to it.

    .. math:: d = s \, n

    Parameters
    ----------
    scale : float or array of shape (n,)
        s. [mm/px]
    pixels : float or array of shape (n,)
        The distance in the picture, n. [px]

    Returns
    -------
    float or array of shape (n,)
        d. [mm]

    Examples
    --------
    >>> round(distance(scale=0.02, pixels=320.0), 6)
    6.4

    Sources
    -------
    Similar figures.
    """
    return scale * pixels


def picked_length_u(pick_u: float) -> float:
    r"""Return the standard uncertainty of a length in a picture, both ends of which were picked.

    .. math:: u(N) = \sqrt{2} \, u_{px}

    Parameters
    ----------
    pick_u : float
        Standard uncertainty of each coordinate picked. [px]

    Returns
    -------
    float
        u(N). [px]

    Examples
    --------
    >>> round(picked_length_u(1.0), 6)
    1.414214

    Sources
    -------
    JCGM 100:2008 eq. (10) (standing: memory).
    """
    return math.sqrt(2.0) * pick_u


def foreshortening(tilt: float) -> float:
    r"""Return the relative error of a distance across the axis of a tilt that was not taken out.

    .. math:: e = \cos\theta - 1

    Parameters
    ----------
    tilt : float
        Angle θ between the optical axis and the normal of the plane. [°]

    Returns
    -------
    float
        e, never above 0. [1]

    Examples
    --------
    >>> round(foreshortening(10.0), 6)
    -0.015192

    Sources
    -------
    Projection along the optical axis.
    """
    return math.cos(math.radians(tilt)) - 1.0


def residual_deviation(residuals: NDArray[np.float64], *, unknowns: int = HOMOGRAPHY_UNKNOWNS) -> float:
    r"""Return the standard deviation of a coordinate from what is left after a map was fitted.

    .. math:: \sigma = \sqrt{\sum r^2 / (2n - 8)}

    Parameters
    ----------
    residuals : NDArray[np.float64]
        Array of shape (n, 2), found less fitted. [px]
    unknowns : int
        How many figures were fitted.

    Returns
    -------
    float
        σ of each coordinate. [px]

    Raises
    ------
    InputError
        No more coordinates than unknowns: four points leave no residual.

    Examples
    --------
    >>> residual_deviation(np.full((8, 2), 0.1))
    0.14142135623730953

    Sources
    -------
    Least squares.
    """
    spare = residuals.size - unknowns
    if spare <= 0:
        raise InputError(
            f"{len(residuals)} points give {residuals.size} coordinates for {unknowns} unknowns: nothing is left over "
            "to see how well they fit; give more points"
        )
    return float(np.sqrt(np.sum(residuals**2) / spare))
