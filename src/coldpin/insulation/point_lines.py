"""The lines of a face that lead to points of the edges, within what is known of the paths over each."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.edge_points import DETOUR, Crossings, EdgePoints
from coldpin.insulation.line_graph import GraphLines
from coldpin.insulation.plane_bounds import Near, Plane
from coldpin.insulation.plane_lines import to_conductors
from coldpin.insulation.two_faces import Ground, TwoFaces, straight
from coldpin.insulation.visibility import cut, touches

_SAME_EDGE = 1e-6
"""Ours: a straight line between two points of an edge that saves less than this part of the way along it is the way
along it, which no path takes between going over twice. [1]"""

_ROWS_AT_ONCE = 2_000_000
"""Ours: how many lines are measured in one step; it bounds memory."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """Lengths that no path undercuts up to a point on a face where it has gone over, and from one where it goes over.

    ``come`` and ``go``: arrays of shape (2, points); ``most``: array of shape (points,), the longest path looked for.
    """

    come: NDArray[np.float64]
    go: NDArray[np.float64]
    most: NDArray[np.float64]

    @classmethod
    def of(cls, points: EdgePoints, over: Crossings) -> Ends:
        """Return them.

        Parameters
        ----------
        points : EdgePoints
            The points.
        over : Crossings
            The ways over the edges between them.

        Returns
        -------
        Ends
            Infinite where a point has no way over its edge.
        """
        come = np.full((2, len(points.edge)), math.inf)
        go = np.full((2, len(points.edge)), math.inf)
        for face, here, there in ((0, over.upper, over.lower), (1, over.lower, over.upper)):
            np.minimum.at(come[face], here, points.ahead[1 - face, there] + over.counted)
            np.minimum.at(go[face], here, over.counted + points.behind[1 - face, there])
        most = points.limits + DETOUR * points.widest + points.spare
        return cls(come=come, go=go, most=most)


def lines_of_points(
    ground: Ground,
    number: int,
    points: EdgePoints,
    ends: Ends,
    ahead: NDArray[np.float64],
    behind: NDArray[np.float64],
) -> list[GraphLines]:
    """Return the lines on a face that lead to points of the edges, within what is looked for over each.

    Parameters
    ----------
    ground : Ground
        The conductors and corners they lead to.
    number : int
        Which face of two.
    points : EdgePoints
        The points; their nodes follow those of the ground, face by face.
    ends : Ends
        Lengths beyond each.
    ahead : NDArray[np.float64]
        Array of shape (ground.count,), lengths that no path from one end to a node undercuts. [mm]
    behind : NDArray[np.float64]
        Array of shape (ground.count,), the same to the other end. [mm]

    Returns
    -------
    list of GraphLines
        To conductors, to corners, and to other points.
    """
    face = ground.faces[number]
    first_point = ground.count + number * len(points.edge)
    come, go = ends.come[number], ends.go[number]
    plane = face.with_corners(points.places)
    islands = ground.flat.islands[face.numbers]
    near = _near(plane, islands, points, ends, number, ahead, behind)
    wires = to_conductors(plane, near)
    nodes = np.stack([first_point + wires.corners[:, 0], islands[wires.shapes[:, 1]]], axis=1)
    parts = [GraphLines.on(number, nodes, face.numbered(wires))]
    obstacles, active = face.plane.obstacles, ground.corners[number]
    first_corner = ground.first_corner + (len(ground.corners[0]) if number else 0)
    some = slice(first_corner, first_corner + len(active))
    for rows in _steps(len(points.edge), len(active)):
        here, there = points.places[rows], obstacles.corners[active]
        lengths = np.hypot(*(here[:, None] - there[None]).transpose(2, 0, 1))
        ways = np.minimum(come[rows, None] + behind[None, some], go[rows, None] + ahead[None, some])
        row, column = np.nonzero(ways + lengths <= ends.most[rows, None])
        bent = touches(obstacles, active[column], here[row])
        row, column = row[bent], column[bent]
        seen = ~cut(obstacles, here[row], there[column])
        row, column = row[seen], column[seen]
        nodes = np.stack([first_point + rows[row], first_corner + column], axis=1)
        parts.append(GraphLines.on(number, nodes, straight(here[row], there[column])))
    for rows in _steps(len(points.edge), len(points.edge)):
        here, there = points.places[rows], points.places
        lengths = np.hypot(*(here[:, None] - there[None]).transpose(2, 0, 1))
        ways = np.minimum(come[rows, None] + go[None], go[rows, None] + come[None])
        fits = ways + lengths <= np.minimum(ends.most[rows, None], ends.most[None])
        row, column = np.nonzero(fits & (rows[:, None] < np.arange(len(points.edge))[None]))
        apart = _apart(ground.board, points, rows[row], column, lengths[row, column])
        row, column = row[apart], column[apart]
        seen = ~cut(obstacles, here[row], there[column])
        row, column = row[seen], column[seen]
        nodes = first_point + np.stack([rows[row], column], axis=1)
        parts.append(GraphLines.on(number, nodes, straight(here[row], there[column])))
    return parts


def _near(
    plane: Plane,
    islands: NDArray[np.intp],
    points: EdgePoints,
    ends: Ends,
    number: int,
    ahead: NDArray[np.float64],
    behind: NDArray[np.float64],
) -> Near:
    """Return which conductors of a face a line from each point may lead to."""
    come, go, areas = ends.come[number], ends.go[number], plane.conductors.areas()
    ways = np.minimum(come[:, None] + behind[islands][None], go[:, None] + ahead[islands][None])
    point, shape = np.nonzero(ways <= ends.most[:, None])
    gaps = shapely.distance(shapely.points(points.places[point]), areas[shape])
    kept = ways[point, shape] + gaps <= ends.most[point]
    return Near(
        from_source=points.ahead[number],
        from_target=points.behind[number],
        corners=point[kept],
        shapes=shape[kept],
        gaps=gaps[kept],
    )


def _apart(
    board: TwoFaces,
    points: EdgePoints,
    one: NDArray[np.intp],
    other: NDArray[np.intp],
    lengths: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """Say between which points a straight line is shorter than the way along one edge, or leads to another edge."""
    around = np.array([edge.length for edge in board.edges])[points.edge[one]]
    along = np.abs(points.along[one] - points.along[other])
    along = np.minimum(along, around - along)
    return np.asarray((points.edge[one] != points.edge[other]) | (lengths < along * (1.0 - _SAME_EDGE)))


def _steps(rows: int, columns: int) -> list[NDArray[np.intp]]:
    """Return the numbers of rows in steps that bound memory."""
    step = max(1, _ROWS_AT_ONCE // max(1, columns))
    return [np.arange(first, min(first + step, rows)) for first in range(0, rows, step)]
