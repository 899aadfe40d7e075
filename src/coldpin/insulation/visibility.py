"""What hides one point of a plane from another: obstacles, their corners, and which straight lines they cut.

A shortest way round obstacles is made of straight lines that touch them only at corners, and there only as a thread
pulled tight would. So the corners and the lines between them that are not cut are all that is needed; leaving one out
would lengthen a distance, which is the side that must not be erred on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

SHRUNK_MM = 1e-7
"""Ours: by how much obstacles are made smaller before lines are tried against them, so that a line may lie on a rim.
A distance can come out shorter by that much, never longer. [mm]"""

SPIKE_MM = 1e-6
"""Ours: half the width of what is too thin to stand in a path's way. [mm]"""

_MITRE = 10.0
"""Ours: corners drawn in and out again keep their tips up to so many times the distance; sharper ones lose theirs."""

TURN = 1e-9
"""Ours: sine of the angle under which three points count as on one line. [1]"""

_PAIRS_AT_ONCE = 4_000_000
"""Ours: how many lines times rims are tried in one step; it bounds memory."""

_FEW_RIMS = 400
"""Ours: up to so many rims, trying each is faster than looking them up."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Obstacles:
    """Areas that a path may touch and not enter.

    ``corners``: array of shape (n, 2), the corners round which a path can bend; ``before`` and ``after``: arrays of the
    same shape, their neighbours along the rim; ``areas``: array of shape (n,), which area each belongs to. [mm]
    ``rim_starts`` and ``rim_ends``: arrays of shape (k, 2), the rims, drawn in by `SHRUNK_MM`. [mm]
    """

    corners: NDArray[np.float64]
    before: NDArray[np.float64]
    after: NDArray[np.float64]
    areas: NDArray[np.intp]
    rim_starts: NDArray[np.float64]
    rim_ends: NDArray[np.float64]
    rims: shapely.STRtree | None


def obstacles_from(areas: BaseGeometry, *, within: BaseGeometry | None = None) -> Obstacles:
    """Return the obstacles that areas make.

    Parameters
    ----------
    areas : BaseGeometry
        Polygons, not overlapping. [mm]
    within : BaseGeometry or None
        Only corners inside this count, such as those of a frame do not; None counts all. [mm]

    Returns
    -------
    Obstacles
        Their corners and rims.
    """
    areas = shapely.remove_repeated_points(_without_spikes(areas), SHRUNK_MM)
    rings = [
        (shapely.get_coordinates(ring)[:-1], index)
        for index, polygon in enumerate(polygons_of(areas))
        for ring in rings_of(polygon)
    ]
    corners, before, after, owners = _bends(rings)
    if within is not None and len(corners):
        inside = shapely.dwithin(within, shapely.points(corners), SHRUNK_MM)
        corners, before, after, owners = corners[inside], before[inside], after[inside], owners[inside]
    shrunk = [
        shapely.get_coordinates(ring)
        for polygon in polygons_of(areas.buffer(-SHRUNK_MM, join_style="mitre", mitre_limit=_MITRE))
        for ring in rings_of(polygon)
    ]
    starts = np.concatenate([ring[:-1] for ring in shrunk]) if shrunk else np.empty((0, 2))
    ends = np.concatenate([ring[1:] for ring in shrunk]) if shrunk else np.empty((0, 2))
    rims = None
    if len(starts) > _FEW_RIMS:
        rims = shapely.STRtree(lines_between(starts, ends))
    return Obstacles(
        corners=corners, before=before, after=after, areas=owners, rim_starts=starts, rim_ends=ends, rims=rims
    )


def _without_spikes(areas: BaseGeometry) -> BaseGeometry:
    """Return areas without what is thinner than a spike.

    Where one area is taken from another along a slanted wall, rounding leaves spikes of no width, at whose tips and
    roots no line would seem to touch.
    """
    opened = areas.buffer(-SPIKE_MM, join_style="mitre", mitre_limit=_MITRE)
    return opened.buffer(SPIKE_MM, join_style="mitre", mitre_limit=_MITRE)


def lines_between(starts: NDArray[np.float64], ends: NDArray[np.float64]) -> list[shapely.LineString]:
    """Return straight lines.

    Parameters
    ----------
    starts : NDArray[np.float64]
        Array of shape (n, 2), where they begin. [mm]
    ends : NDArray[np.float64]
        Array of shape (n, 2), where they end. [mm]

    Returns
    -------
    list of LineString
        In the same order.
    """
    lines: Any = shapely.linestrings(np.stack([starts, ends], axis=1))
    return list(lines)


def polygons_of(geometry: BaseGeometry) -> list[shapely.Polygon]:
    """Return the polygons of a geometry, what is drawn round them counterclockwise, and their openings clockwise.

    Parameters
    ----------
    geometry : BaseGeometry
        Whatever an operation on areas gave.

    Returns
    -------
    list of Polygon
        Lines and points left out.
    """
    parts = shapely.get_parts(geometry, return_index=False)
    flat = [part for whole in parts for part in shapely.get_parts(whole)]
    return [
        shapely.orient_polygons(part)
        for part in flat
        if isinstance(part, shapely.Polygon) and not shapely.is_empty(part)
    ]


def rings_of(polygon: shapely.Polygon) -> list[shapely.LinearRing]:
    """Return the rings of a polygon.

    Parameters
    ----------
    polygon : Polygon
        The polygon.

    Returns
    -------
    list of LinearRing
        The outer one first.
    """
    return [polygon.exterior, *polygon.interiors]


def turn(start: NDArray[np.float64], middle: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the sine of the turn from one line to the next, positive to the left.

    Parameters
    ----------
    start : NDArray[np.float64]
        Array of shape (…, 2), where the first line begins. [mm]
    middle : NDArray[np.float64]
        Array of shape (…, 2), where it ends and the second begins. [mm]
    end : NDArray[np.float64]
        Array of shape (…, 2), where the second ends. [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (…,); 0 where a line has no length. [1]
    """
    first, second = middle - start, end - middle
    across = first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]
    lengths = np.hypot(first[..., 0], first[..., 1]) * np.hypot(second[..., 0], second[..., 1])
    return np.asarray(np.divide(across, lengths, out=np.zeros_like(across), where=lengths > 0.0))


def touches(obstacles: Obstacles, corner: NDArray[np.intp], seen_from: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Say which corners a line can bend round that comes from a point.

    Parameters
    ----------
    obstacles : Obstacles
        The obstacles.
    corner : NDArray[np.intp]
        Array of shape (n,), which corners.
    seen_from : NDArray[np.float64]
        Array of shape (n, 2), where each line comes from. [mm]

    Returns
    -------
    NDArray[np.bool_]
        Array of shape (n,): both rims of the corner lie on one side of the line.
    """
    here = obstacles.corners[corner]
    one = turn(seen_from, here, obstacles.before[corner])
    other = turn(seen_from, here, obstacles.after[corner])
    return ((one >= -TURN) & (other >= -TURN)) | ((one <= TURN) & (other <= TURN))


def cut(obstacles: Obstacles, starts: NDArray[np.float64], ends: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Say which straight lines an obstacle cuts.

    Parameters
    ----------
    obstacles : Obstacles
        The obstacles.
    starts : NDArray[np.float64]
        Array of shape (n, 2), none inside an obstacle. [mm]
    ends : NDArray[np.float64]
        Array of shape (n, 2), none inside an obstacle. [mm]

    Returns
    -------
    NDArray[np.bool_]
        Array of shape (n,).
    """
    answer: NDArray[np.bool_] = np.zeros(len(starts), dtype=bool)
    rims = len(obstacles.rim_starts)
    if rims == 0 or len(starts) == 0:
        return answer
    if obstacles.rims is None:
        step = max(1, _PAIRS_AT_ONCE // rims)
        for first in range(0, len(starts), step):
            part = slice(first, first + step)
            answer[part] = _cross(
                starts[part, None], ends[part, None], obstacles.rim_starts[None], obstacles.rim_ends[None]
            ).any(axis=1)
        return answer
    step = max(1, _PAIRS_AT_ONCE // _FEW_RIMS)
    for first in range(0, len(starts), step):
        part = slice(first, first + step)
        lines = shapely.linestrings(np.stack([starts[part], ends[part]], axis=1))
        line, rim = obstacles.rims.query(lines)
        crossing = _cross(starts[part][line], ends[part][line], obstacles.rim_starts[rim], obstacles.rim_ends[rim])
        answer[first + line[crossing]] = True
    return answer


def _cross(
    p: NDArray[np.float64], q: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Say whether the lines pq and ab cross at a point inside both."""
    return np.asarray((_side(p, q, a) * _side(p, q, b) < 0.0) & (_side(a, b, p) * _side(a, b, q) < 0.0))


def _side(p: NDArray[np.float64], q: NDArray[np.float64], a: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return on which side of the line pq a point lies: positive to the left."""
    return np.asarray(
        (q[..., 0] - p[..., 0]) * (a[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (a[..., 0] - p[..., 0])
    )


def _bends(
    rings: list[tuple[NDArray[np.float64], int]],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.intp]]:
    """Return the corners where rings turn outward, their neighbours on both sides, and whose they are."""
    if not rings:
        nothing = np.empty((0, 2))
        return nothing, nothing, nothing, np.empty(0, dtype=np.intp)
    here = np.concatenate([ring for ring, _ in rings])
    before = np.concatenate([np.roll(ring, 1, axis=0) for ring, _ in rings])
    after = np.concatenate([np.roll(ring, -1, axis=0) for ring, _ in rings])
    owner = np.concatenate([np.full(len(ring), index, dtype=np.intp) for ring, index in rings])
    outward = turn(before, here, after) > TURN
    return here[outward], before[outward], after[outward], owner[outward]
