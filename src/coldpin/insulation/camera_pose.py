"""Where the camera was: its tilt against the plane, the height of its lens above it, and the foot of the lens on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.plane_map import ENTRIES, PlaneMap
from coldpin.insulation.plane_problem import HALF_DIAGONAL_OVER_FOCAL_LENGTH

Array = NDArray[np.float64]

DRAWS = 200
"""Ours: maps drawn to see how well tilt and height are known; two digits of a spread need no more."""

FOCAL_U_RELATIVE = 0.05
"""Ours: standard uncertainty of the focal length that a camera writes down: it is rounded, and left as it is when the
camera crops its picture to steady it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraPose:
    """A camera over the plane: its tilt [°], the height of its lens [mm], and the foot of it on the plane [mm]."""

    tilt_deg: float
    height_mm: float
    foot_mm: tuple[float, float]


def camera_pose(plane: PlaneMap, focal_px: float, parameters: Array | None = None) -> CameraPose:
    """Return where a camera was, of which the focal length is known.

    Parameters
    ----------
    plane : PlaneMap
        The map of its picture.
    focal_px : float
        Focal length. [px]
    parameters : NDArray[np.float64] or None
        Array of shape (10,), in place of those of the map.

    Returns
    -------
    CameraPose
        Tilt, height and foot.

    Sources
    -------
    Zhang, A flexible new technique for camera calibration (2000), 3.1 (standing: memory).
    """
    entries = (plane.parameters if parameters is None else parameters)[:ENTRIES]
    matrix = np.append(entries, 1.0).reshape(3, 3)
    rays = matrix / np.array([[focal_px], [focal_px], [plane.frame.radius_px]])
    along, up, place = (2.0 / (np.linalg.norm(rays[:, 0]) + np.linalg.norm(rays[:, 1])) * rays).T
    left, _, right = np.linalg.svd(np.column_stack([along, up, np.cross(along, up)]))
    turn = left @ right
    x, y, z = -turn.T @ place * plane.frame.spread_mm
    east, north = plane.frame.middle_mm
    return CameraPose(
        tilt_deg=math.degrees(math.acos(min(1.0, abs(turn[2, 2])))),
        height_mm=float(abs(z)),
        foot_mm=(float(east + x), float(north + y)),
    )


def least_focal_px(plane: PlaneMap) -> float:
    """Return the focal length of the widest usual lens, by which a camera is nearest and heights matter most.

    Parameters
    ----------
    plane : PlaneMap
        The map of a picture.

    Returns
    -------
    float
        The least focal length. [px]
    """
    return plane.frame.radius_px / HALF_DIAGONAL_OVER_FOCAL_LENGTH


def pose_spread(plane: PlaneMap, focal_px: float, generator: np.random.Generator) -> tuple[float, float]:
    """Return the standard deviations of tilt and height, by map and focal length.

    Parameters
    ----------
    plane : PlaneMap
        The map of the picture; its covariance must be known.
    focal_px : float
        Focal length as the camera wrote it down. [px]
    generator : numpy.random.Generator
        Where the draws come from.

    Returns
    -------
    tuple of float
        Of the tilt [°] and of the height [mm].
    """
    drawn = plane.draw(DRAWS, generator).parameters
    focal = focal_px * (1.0 + FOCAL_U_RELATIVE * generator.standard_normal(DRAWS))
    poses = [camera_pose(plane, float(one), entries) for one, entries in zip(focal, drawn, strict=True)]
    return (
        float(np.std([pose.tilt_deg for pose in poses])),
        float(np.std([pose.height_mm for pose in poses])),
    )
