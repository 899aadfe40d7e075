"""Ways between conductors laid back over the drawing they were found in: their corners, and how well they are known."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.camera_stand import lens_foot, lowered
from coldpin.insulation.corner_scatter import Drawing, likely_camera_height
from coldpin.quantity import Quantity

Array = NDArray[np.float64]

ROUND_SEGMENTS = 6
"""Ours: straight pieces in a quarter of a rounded end of a band; it is looked at, not measured."""


def as_drawn(drawing: Drawing, places_mm: Array) -> Array:
    """Return where points of the face are in a drawing as it was given.

    Parameters
    ----------
    drawing : Drawing
        In millimetres, or in pixels of a picture.
    places_mm : NDArray[np.float64]
        Array of shape (n, 2), points that lie in the face. [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n, 2), in the unit of the drawing.

    Examples
    --------
    >>> from coldpin.records.board import BoardFeature, BoardModel, Calibration, Role
    >>> header = Calibration(
    ...     method="pitch", picture_px=np.array([[100.0, 50.0], [1243.0, 50.0]]),
    ...     plane_mm=np.array([[0.0, 0.0], [22.86, 0.0]]), found_u_px=1.0, pick_u_px=1.0, length_u_relative=0.0,
    ... )
    >>> pad = BoardFeature(name="pad 1", role=Role.FLOATING, outline=np.array([[1.0, 1.0], [5.0, 1.0], [5.0, 5.0]]))
    >>> drawing = Drawing.of(BoardModel(features=(pad,), calibration=header))
    >>> as_drawn(drawing, np.array([[2.0, -2.0]])).round(6).tolist()
    [[200.0, 150.0]]

    Sources
    -------
    The inverse of `coldpin.insulation.corner_scatter.Drawing.of`.
    """
    places = np.asarray(places_mm, dtype=np.float64).reshape(-1, 2)
    calibration = drawing.given.calibration
    if drawing.plane is None or calibration is None:
        return places
    level = calibration.face_above_mm or 0.0
    camera = np.array([likely_camera_height(calibration, drawing.plane)])
    foot = lens_foot(drawing.plane.frame, drawing.plane.parameters[None], camera)
    # what was lowered by h of H is raised again by lowering it by a negative height
    height = np.full((1, len(places)), -level * camera[0] / (camera[0] - level))
    in_plane = lowered(places[None], foot=foot, height=height, camera_height=camera)[0]
    return np.asarray(drawing.plane.to_px(in_plane))


def band(path_mm: Array, length: Quantity) -> tuple[Array, ...]:
    """Return the band along a way that is as wide as the expanded uncertainty of its length.

    Parameters
    ----------
    path_mm : NDArray[np.float64]
        Array of shape (n, 2), the corners of the way. [mm]
    length : Quantity
        Its length. [mm]

    Returns
    -------
    tuple of NDArray[np.float64]
        Its rims, each an array of shape (m, 2); none where the uncertainty is not known, or the way has no length. [mm]

    Examples
    --------
    >>> (rim,) = band(np.array([[0.0, 0.0], [4.0, 0.0]]), Quantity(4.0, 0.1, "mm"))
    >>> float(np.ptp(rim[:, 1]).round(2))
    0.2
    >>> band(np.array([[0.0, 0.0], [4.0, 0.0]]), Quantity(4.0, None, "mm", why="not stated"))
    ()
    """
    expanded = length.expanded
    if expanded is None or len(path_mm) < 2 or not expanded > 0.0:
        return ()
    around = shapely.LineString(path_mm).buffer(0.5 * expanded, quad_segs=ROUND_SEGMENTS)
    if not isinstance(around, shapely.Polygon) or around.is_empty:
        return ()
    return tuple(np.asarray(ring.coords)[:-1] for ring in (around.exterior, *around.interiors))
