r"""Where the lens stood above the plane that was calibrated, and what that does to a point which does not lie in it.

The depth of a point of the plane along the axis of the camera is proportional to the denominator w of the map. Where
the axis meets the plane, its slope over its value is

.. math:: g = \frac{|\nabla w|}{w} = \frac{\sin\theta}{D}, \quad H = D \cos\theta

with the distance D along the axis and the tilt θ. So the foot of the lens, which lies D sin θ from there on the side of
the lesser depth, follows from the map and the height H, without the focal length.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.plane_map import ENTRIES, Frame, picture_to_plane

Array = NDArray[np.float64]


def lens_foot(frame: Frame, parameters: Array, camera_height: Array, *, steepest: float | None = None) -> Array:
    r"""Return the point of the plane that lies under the lens.

    .. math:: |F| = \frac{2 g H^2}{1 + \sqrt{1 - 4 g^2 H^2}}

    Parameters
    ----------
    frame : Frame
        Origin and unit of the map's coordinates.
    parameters : NDArray[np.float64]
        Array of shape (n, 10): the maps.
    camera_height : NDArray[np.float64]
        Array of shape (n,): height H of the lens above the plane. [mm]
    steepest : float, optional
        The tilt beyond which the camera is known not to have been held. [°]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n, 2). [mm]

    Examples
    --------
    >>> frame = Frame(centre_px=np.array([50.0, 40.0]), radius_px=60.0, middle_mm=np.zeros(2), spread_mm=10.0)
    >>> upright = np.array([[1.0, 0, 0, 0, -1.0, 0, 0, 0, 0, 0]])
    >>> lens_foot(frame, upright, np.array([200.0])).tolist()
    [[0.0, 0.0]]

    Sources
    -------
    Pinhole geometry.
    """
    aim = picture_to_plane(frame, parameters, frame.centre_px[None])[:, 0]
    slopes = parameters[:, ENTRIES - 2 : ENTRIES]
    depth = 1.0 + np.sum(slopes * (aim - frame.middle_mm) / frame.spread_mm, axis=1)
    gradient = slopes / frame.spread_mm / depth[:, None]
    square = np.sum((2.0 * gradient) ** 2, axis=1) * camera_height**2
    reach = 2.0 * camera_height**2 / (1.0 + np.sqrt(np.clip(1.0 - square, 0.0, None)))
    if steepest is not None:
        farthest = camera_height * math.tan(math.radians(steepest))
        far = np.hypot(gradient[:, 0], gradient[:, 1]) * reach
        reach = reach * np.divide(farthest, far, out=np.ones_like(far), where=far > farthest)
    return np.asarray(aim - gradient * reach[:, None])


def lowered(points: Array, *, foot: Array, height: Array, camera_height: Array) -> Array:
    r"""Return where points are that were taken to lie in the plane and lie at a height above it.

    .. math:: P = F + (P' - F) \, (H - h) / H

    Parameters
    ----------
    points : NDArray[np.float64]
        Array of shape (n, m, 2), as read in the plane. [mm]
    foot : NDArray[np.float64]
        Array of shape (n, 2), F. [mm]
    height : NDArray[np.float64]
        Array of shape (n, m), h. [mm]
    camera_height : NDArray[np.float64]
        Array of shape (n,), H. [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n, m, 2). [mm]

    Examples
    --------
    >>> read = np.array([[[41.379310344827586, 0.0]]])
    >>> there = lowered(read, foot=np.zeros((1, 2)), height=np.array([[10.0]]), camera_height=np.array([300.0]))
    >>> (there.round(9) + 0.0).tolist()  # no zero with a sign
    [[[40.0, 0.0]]]

    Sources
    -------
    Pinhole geometry; the inverse of `coldpin.insulation.parallax.parallax_shift`.
    """
    share = 1.0 - height / camera_height[:, None]
    return np.asarray(foot[:, None] + (points - foot[:, None]) * share[..., None])
