"""Paths on a board of two faces, joined at its rim and at the walls of its slots and unplated holes.

Each face is a plane of its own. Between them a path goes over an edge: along the wall in creepage, which unrolls flat,
so that a way down it may lean; straight through the air of the slot in clearance. Where it goes over is found by
points strewn along the edges, each of which stands for a piece of its edge, halved again and again where a path over
it may be the shortest. All that a piece can hide is taken off the way over it, from the first points on, so that every
search gives a length that no path undercuts: it may come out shorter than the shortest path by what the last pieces
hide, never longer. What a search leaves out is longer than a path that was found whole.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.conductors import conductors_from
from coldpin.insulation.distinct_ways import DistinctWays, distinct_ways
from coldpin.insulation.edge_points import Crossings, EdgePoints, crossings, halved
from coldpin.insulation.line_graph import GraphLines, Kind, LineGraph, Tree
from coldpin.insulation.path_graph import Route
from coldpin.insulation.paths import NEXT_REACH, least_gap
from coldpin.insulation.plane_bounds import ROUNDING, Plane
from coldpin.insulation.point_lines import Ends, lines_of_points
from coldpin.insulation.two_faces import FacePlane, Ground, TwoFaces, no_lines
from coldpin.insulation.visibility import obstacles_from

_LAST_SPACING_MM = 1.0 / 64.0
"""Ours: how long the last pieces of an edge are, where a shortest path may pass. [mm]"""

_MOST_POINTS = 4000
"""Ours: no more points than this; what the pieces reached with them can hide is taken off. It bounds time."""

_CANDIDATES = 4
"""Ours: where the points are still far apart, so many times the paths asked for are looked at more closely. [1]"""

_GROWTH = 2.0
"""Ours: by how much the bound grows where no path lay within it. [1]"""


def find_two_faced_routes(board: TwoFaces, *, count: int) -> tuple[Route, ...]:
    """Return the shortest path between two groups of nets over both faces, and the next ones distinct from it.

    Two paths are distinct where they join or cross other nets or floating parts, or go over other edges.

    Parameters
    ----------
    board : TwoFaces
        The board. [mm]
    count : int
        How many at most.

    Returns
    -------
    tuple of Route
        The shortest first; empty where nothing leads across. Each is shorter than what was found by as much as the
        pieces of the edges that it goes over can hide.
    """
    flat = conductors_from(board.shapes)
    whole = Plane(
        conductors=flat,
        obstacles=obstacles_from(shapely.Polygon()),
        from_nets=board.from_nets,
        to_nets=board.to_nets,
        uncounted_gap_mm=board.uncounted_gap_mm,
    )
    direct = least_gap(whole)
    if not math.isfinite(direct):
        return ()
    faces = (FacePlane.of(board, board.faces[0]), FacePlane.of(board, board.faces[1]))
    longest = 2.0 * (sum(edge.length for edge in board.edges) + _across(board) + board.thickness_mm)
    further = NEXT_REACH if count > 1 else 1.0
    bound = max(direct * NEXT_REACH, board.thickness_mm)
    while True:
        ground = Ground.of(board, whole, faces, bound)
        search = _Search.of(ground, ground.strewn(), ground.ahead, ground.behind)
        if search.shortest <= bound:
            break
        if bound >= longest:
            return ()
        bound *= _GROWTH
    wanted = search.found * further
    if wanted > bound or wanted * _GROWTH < bound:
        ground = Ground.of(board, whole, faces, wanted)
        search = _Search.of(ground, ground.strewn(), ground.ahead, ground.behind)
    while search.points.widest > _LAST_SPACING_MM:
        closer = search.closer(count)
        if len(closer.edge) > _MOST_POINTS:
            break
        nodes = ground.count
        search = _Search.of(ground, closer, search.ahead.lengths[:nodes], search.behind.lengths[:nodes])
    return tuple(way.route() for way in search.ways(count).ways)


def _across(board: TwoFaces) -> float:
    """Return a length that no straight line of the board exceeds."""
    bounds = shapely.total_bounds([shape.area for shape in board.shapes])
    return math.hypot(bounds[2] - bounds[0], bounds[3] - bounds[1])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Search:
    """The graph of both faces with one set of points, and the shortest ways in it from one end and to the other.

    ``found`` is the length of the shortest path that was found whole. ``over`` has the ways over the edges, lines of
    the graph from ``first_over`` on; ``through``: array of shape (ways,), the length of the shortest path by each, less
    what the pieces can hide. [mm]
    """

    ground: Ground
    points: EdgePoints
    over: Crossings
    first_over: int
    graph: LineGraph
    ahead: Tree
    behind: Tree
    found: float
    through: NDArray[np.float64]

    @classmethod
    def of(cls, ground: Ground, points: EdgePoints, ahead: NDArray[np.float64], behind: NDArray[np.float64]) -> _Search:
        """Build it; ``ahead`` and ``behind`` are what was known before of the nodes of the ground."""
        board = ground.board
        over = crossings(
            board.edges,
            points,
            thickness_mm=board.thickness_mm,
            hugging=board.hugging,
        )
        ends = Ends.of(points, over)
        parts = [ground.lines]
        for number in (0, 1):
            parts.extend(lines_of_points(ground, number, points, ends, ahead, behind))
        nodes = ground.count + np.stack([over.upper, len(points.edge) + over.lower], axis=1)
        lines = replace(
            no_lines(len(nodes)),
            starts=points.places[over.upper],
            ends=points.places[over.lower],
            counted=over.counted,
            corners=np.repeat(points.edge[over.upper][:, None], 2, axis=1),
        )
        first_over = sum(len(part.nodes) for part in parts)
        parts.append(GraphLines.made(Kind.OVER_EDGE, -1, nodes, lines, over.walked))
        total = ground.count + 2 * len(points.edge)
        graph = LineGraph.of(total, GraphLines.of(parts))
        if board.uncounted_gap_mm is not None:
            nets = ground.flat.island_nets
            graph = graph.with_small_gaps(nets, board.uncounted_gap_mm, range(ground.first_corner, total))
        from_source, from_target = graph.from_nodes(ground.sources), graph.from_nodes(ground.targets)
        one, other = nodes.T
        through = over.counted + np.minimum(
            from_source.lengths[one] + from_target.lengths[other],
            from_source.lengths[other] + from_target.lengths[one],
        )
        return cls(
            ground=ground,
            points=points,
            over=over,
            first_over=first_over,
            graph=graph,
            ahead=from_source,
            behind=from_target,
            found=graph.shortest_walked(ground.sources, ground.targets),
            through=through,
        )

    @property
    def shortest(self) -> float:
        """The length that no path undercuts. [mm]"""
        return float(self.ahead.lengths[self.ground.targets].min(initial=math.inf))

    def ways(self, count: int) -> DistinctWays:
        """Return the shortest path and so many in all that are distinct."""
        ground = self.ground
        ends = self.graph, self.ahead, self.behind, ground.targets
        shortest = distinct_ways(*ends, ground.board.shapes, count=1, longest=math.inf)
        if count <= 1 or not shortest.ways:
            return shortest
        return distinct_ways(*ends, ground.board.shapes, count=count, longest=self.found * NEXT_REACH)

    def closer(self, count: int) -> EdgePoints:
        """Return points twice as close, where the shortest path, or one of so many distinct ones, may go over."""
        points, over, graph = self.points, self.over, self.graph
        found = self.ways(_CANDIDATES * count if count > 1 else 1)
        walked = sorted(way.walked for way in found.ways)
        allowed = np.array([way.walked for way in found.ways] + [0.0])
        allowed[:-1][[way.counted > walked[min(count, len(walked)) - 1] for way in found.ways]] = 0.0
        line = graph.edges % len(graph.lines.nodes)
        beyond = np.flatnonzero((graph.lines.kinds[line] == Kind.OVER_EDGE) & (found.of_edge >= 0))
        limit = allowed[found.of_edge[beyond]] * (1.0 + ROUNDING) + ROUNDING
        spare = np.maximum(points.spare[over.upper], points.spare[over.lower])
        way = line[beyond] - self.first_over
        near = found.lengths[beyond] <= limit + points.widest + spare[way]
        limits = np.zeros(len(over.upper))
        np.maximum.at(limits, way[near], limit[near])
        shortest = self.found * (1.0 + ROUNDING) + ROUNDING
        short = self.through <= shortest + points.widest + spare
        limits[short] = np.maximum(limits[short], shortest)
        of_point = np.zeros(len(points.edge))
        for ends in (over.upper, over.lower):
            np.maximum.at(of_point, ends, limits)
        some = np.flatnonzero(of_point)
        first = self.ground.count + some
        nodes = np.stack([first, len(points.edge) + first])
        half = 0.5 * points.spacing[some]
        known = replace(
            points.some(some),
            ahead=self.ahead.lengths[nodes] - half,
            behind=self.behind.lengths[nodes] - half,
            limits=of_point[some],
        )
        return halved(self.ground.board.edges, known)
