"""What a lens does to a straight line: points move along their radius from the centre of the picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Number = float | NDArray[np.float64]

NEWTON_STEPS = 6
"""Ours: from a start within some per cent each step doubles the digits, so six reach the last."""


def distorted_radius(radius: Number, k1: Number = 0.0, k2: Number = 0.0, k3: Number = 0.0) -> Number:
    r"""Return where a point at a radius is seen through a lens with radial distortion.

    .. math:: r_d = r (1 + k_1 r^2 + k_2 r^4 + k_3 r^6)

    Parameters
    ----------
    radius : float or array of any shape
        r, where the point would be without distortion, in the unit that the coefficients belong to. [1]
    k1, k2, k3 : float or array
        Coefficients of a shape that fits that of ``radius``. [1]

    Returns
    -------
    float or array
        r_d. [1]

    Examples
    --------
    >>> distorted_radius(0.5, -0.05)
    0.49375

    Sources
    -------
    The camera model of the OpenCV library (standing: memory), without its tangential terms.
    """
    square = radius * radius
    return radius * (1.0 + square * (k1 + square * (k2 + square * k3)))


def ideal_radius(distorted: NDArray[np.float64], k1: Number, k2: Number) -> NDArray[np.float64]:
    """Return where a point would be seen through a lens without distortion: the inverse of `distorted_radius`.

    Parameters
    ----------
    distorted : NDArray[np.float64]
        Array of any shape, r_d. [1]
    k1, k2 : float or array
        Coefficients of a shape that fits it. [1]

    Returns
    -------
    NDArray[np.float64]
        Array of the shape of both together, r. [1]

    Examples
    --------
    >>> float(ideal_radius(np.array(0.49375), -0.05, 0.0))
    0.5

    Sources
    -------
    Newton's method.
    """
    radius = distorted / (1.0 + k1 * distorted**2)
    for _ in range(NEWTON_STEPS):
        square = radius * radius
        stretch = 1.0 + square * (k1 + square * k2)
        slope = stretch + square * (2 * k1 + 4 * square * k2)
        radius = radius - (radius * stretch - distorted) / slope
    return np.asarray(radius)


def distortion_percent(*, actual: Number, predicted: Number) -> Number:
    r"""Return the distortion at a point as lenses are specified.

    .. math:: D = 100 (A - P) / P

    Parameters
    ----------
    actual : float or array of shape (n,)
        Distance A from the centre at which the point is seen. [px]
    predicted : float or array of shape (n,)
        Distance P at which it would be seen without distortion. [px]

    Returns
    -------
    float or array of shape (n,)
        D. [%]

    Examples
    --------
    >>> round(distortion_percent(actual=0.49375, predicted=0.5), 6)
    -1.25

    Sources
    -------
    Quality Magazine, distortion and perspective errors,
    http://www.qualitymag.com/articles/84252-handling-distortion-and-perspective-errors-in-imaging-systems (standing:
    read).
    """
    return 100.0 * (actual - predicted) / predicted
