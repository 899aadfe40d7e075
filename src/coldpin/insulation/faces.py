"""Paths on a board of two faces, joined at its rim and at the walls of its slots and unplated holes.

Each face is a plane of its own. Between them a path goes over an edge: along the wall in creepage, which unrolls flat,
so that a way down it may lean; straight through the air of the slot in clearance. Where it goes over is found by
points strewn along the edges, ever closer where a shortest path may pass. What the spacing of the last points can hide
is taken off the length: it may come out shorter by that much, never longer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from coldpin.insulation.conductors import ConductingShape, Conductors, conductors_from
from coldpin.insulation.path_graph import Hop, PathGraph, Route, drop_small_gaps, hops_to
from coldpin.insulation.paths import NEXT_REACH, least_gap
from coldpin.insulation.plane_lines import ROUNDING, Bounds, Plane, PlaneNodes, add_lines, graph_of_nets
from coldpin.insulation.visibility import Obstacles, obstacles_from, polygons_of, rings_of
from coldpin.records.board import Face

_FIRST_SPACING_MM = 1.0
"""Ours: how far apart the first points along an edge stand. [mm]"""

_LAST_SPACING_MM = 1.0 / 64.0
"""Ours: how far apart the last ones stand, where a shortest path may pass. [mm]"""

_MOST_POINTS = 500
"""Ours: no more points than this; the spacing reached with them is what is taken off. It bounds time."""

_CROSSINGS = 2
"""Ours: how often a shortest path is expected to go over an edge when points are set aside."""

_GROWTH = 2.0
"""Ours: by how much the bound grows where no path lay within it. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaceSurface:
    """One face: its conductors by their number among all of the board, and the air that creepage goes round. [mm]"""

    face: Face
    shapes: tuple[int, ...]
    walked: BaseGeometry
    frame: BaseGeometry | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwoFaces:
    """A board of two faces. ``edges`` are the rims and the rims of slots, where the board ends. [mm]

    ``hugging`` is true where a path follows the wall between the faces, false where it may cut through air.
    """

    shapes: tuple[ConductingShape, ...]
    faces: tuple[FaceSurface, FaceSurface]
    edges: tuple[shapely.LinearRing, ...]
    thickness_mm: float
    hugging: bool
    from_nets: tuple[str, ...]
    to_nets: tuple[str, ...]
    uncounted_gap_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Points:
    """Points strewn along the edges: which edge, how far along it, where, and how much of it each stands for. [mm]

    ``ahead`` and ``behind``: arrays of shape (2, n), for each face lengths that no path to or from a point undercuts;
    ``limits``: array of shape (edges,), how long a path over each edge may be to be looked at. [mm]
    """

    edge: NDArray[np.intp]
    along: NDArray[np.float64]
    places: NDArray[np.float64]
    spacing: NDArray[np.float64]
    ahead: NDArray[np.float64]
    behind: NDArray[np.float64]
    limits: NDArray[np.float64]


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
        spacing of the points can hide.
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
    faces = [_Face.of(board, surface) for surface in board.faces]
    longest = 2.0 * (sum(edge.length for edge in board.edges) + _across(board) + board.thickness_mm)
    bound = max(direct * NEXT_REACH, board.thickness_mm)
    while True:
        slack = bound * (1.0 + ROUNDING) + ROUNDING
        least = Bounds.of(whole, slack)
        points = _strewn(board, flat, least, slack)
        search = _Search.of(board, whole, faces, least, points, slack)
        if search.shortest <= bound:
            return _refined(board, whole, faces, search, count)
        if bound >= longest:
            return ()
        bound *= _GROWTH


def _across(board: TwoFaces) -> float:
    """Return a length that no straight line of the board exceeds."""
    bounds = shapely.total_bounds([shape.area for shape in board.shapes])
    return math.hypot(bounds[2] - bounds[0], bounds[3] - bounds[1])


def _refined(board: TwoFaces, whole: Plane, faces: list[_Face], search: _Search, count: int) -> tuple[Route, ...]:
    """Return the paths with points ever closer where they may go over an edge."""
    bound = search.shortest * NEXT_REACH if count > 1 else search.shortest
    slack = (bound + 2.0 * _CROSSINGS * _FIRST_SPACING_MM) * (1.0 + ROUNDING) + ROUNDING
    least = Bounds.of(whole, slack)
    points = _strewn(board, whole.conductors, least, slack)
    while True:
        spacing = float(points.spacing.max(initial=0.0))
        within = (bound + 2.0 * _CROSSINGS * spacing) * (1.0 + ROUNDING) + ROUNDING
        search = _Search.of(board, whole, faces, least, points, within)
        bound = min(bound, search.shortest * NEXT_REACH if count > 1 else search.shortest)
        if spacing <= _LAST_SPACING_MM:
            break
        closer = search.closer(bound, spacing)
        if len(closer.edge) > _MOST_POINTS:
            break
        points = closer
    return tuple(search.routes(count, bound))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Face:
    """A face as paths meet it: its conductors, their number among all, and its obstacles."""

    face: Face
    conductors: Conductors
    numbers: NDArray[np.intp]
    obstacles: Obstacles

    @classmethod
    def of(cls, board: TwoFaces, surface: FaceSurface) -> _Face:
        """Return it."""
        return cls(
            face=surface.face,
            conductors=conductors_from([board.shapes[number] for number in surface.shapes]),
            numbers=np.array(surface.shapes, dtype=np.intp),
            obstacles=obstacles_from(surface.walked, within=surface.frame),
        )

    def plane(self, board: TwoFaces, points: _Points) -> Plane:
        """Return the plane of the face, the points on its edges as corners that hold no path."""
        own = self.obstacles
        obstacles = replace(
            own,
            corners=np.concatenate([own.corners, points.places]),
            before=np.concatenate([own.before, points.places]),
            after=np.concatenate([own.after, points.places]),
            areas=np.concatenate([own.areas, -1 - points.edge]),
        )
        return Plane(
            conductors=self.conductors,
            obstacles=obstacles,
            from_nets=board.from_nets,
            to_nets=board.to_nets,
            uncounted_gap_mm=board.uncounted_gap_mm,
        )

    def least(self, flat: Conductors, whole: Bounds) -> tuple[Bounds, NDArray[np.intp]]:
        """Return the bounds of all conductors as those of this face, and the node of each of its islands."""
        nodes = np.zeros(len(self.conductors.island_nets), dtype=np.intp)
        nodes[self.conductors.islands] = flat.islands[self.numbers]
        local = np.full(len(flat.shapes), -1, dtype=np.intp)
        local[self.numbers] = np.arange(len(self.numbers))
        pairs = local[whole.pairs]
        here = (pairs >= 0).all(axis=1)
        return (
            Bounds(
                from_source=whole.from_source[nodes],
                from_target=whole.from_target[nodes],
                pairs=pairs[here],
                gaps=whole.gaps[here],
            ),
            nodes,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Search:
    """The graph of both faces with one set of points, and what it says.

    ``ahead`` and ``behind``: arrays of shape (2, points), for each face the length to and from each point.
    ``through``: array of shape (points,), the length of the shortest path that goes over an edge at each. [mm]
    """

    board: TwoFaces
    graph: PathGraph
    points: _Points
    shortest: float
    through: NDArray[np.float64]
    ahead: NDArray[np.float64]
    behind: NDArray[np.float64]

    @classmethod
    def of(
        cls, board: TwoFaces, whole: Plane, faces: list[_Face], least: Bounds, points: _Points, slack: float
    ) -> _Search:
        """Build it."""
        graph = graph_of_nets(whole.conductors, board.from_nets, board.to_nets)
        first_corner = len(graph.edges)
        over: list[tuple[PlaneNodes, int]] = []
        for face in faces:
            bounds, islands = face.least(whole.conductors, least)
            begin = [len(edges) for edges in graph.edges]
            beside = whole.conductors, least
            plane = face.plane(board, points)
            placed = add_lines(graph, plane, bounds, slack, islands=islands, beside=beside)
            _mark(graph, begin, face)
            over.append((placed, len(face.obstacles.corners)))
        _join_edges(board, graph, points, over, slack)
        if board.uncounted_gap_mm is not None:
            corners = range(first_corner, len(graph.edges))
            drop_small_gaps(whole.conductors.island_nets, graph, board.uncounted_gap_mm, corners)
        ahead, _ = graph.from_nodes(graph.sources)
        behind, _ = graph.from_nodes(graph.targets)
        through = np.full(len(points.edge), math.inf)
        for length, pair in _crossings(graph, over, ahead, behind):
            through[pair] = np.minimum(through[pair], length)
        shortest = min((ahead[node] for node in graph.targets), default=math.inf)
        nodes = np.array([placed.nodes[skip:] for placed, skip in over], dtype=np.intp).reshape(2, -1)
        return cls(
            board=board,
            graph=graph,
            points=points,
            shortest=shortest,
            through=through,
            ahead=np.append(ahead, math.inf)[nodes],
            behind=np.append(behind, math.inf)[nodes],
        )

    def closer(self, bound: float, spacing: float) -> _Points:
        """Return points closer to each other, near the best of each edge, where that is within a bound."""
        best = np.full(len(self.board.edges), math.inf)
        np.minimum.at(best, self.points.edge, self.through)
        reach = np.minimum(best, bound + 2.0 * _CROSSINGS * spacing) + 2.0 * _CROSSINGS * spacing
        kept = np.flatnonzero(self.through <= reach[self.points.edge])
        points = self.points
        parts = [
            (int(points.edge[index]), float(points.along[index] + side * 0.5 * points.spacing[index]), 0.5 * spacing)
            for index in kept
            for side in (-0.5, 0.5)
        ]
        twice = np.repeat(kept, 2)
        return replace(
            _placed(self.board, parts),
            ahead=self.ahead[:, twice] - spacing,
            behind=self.behind[:, twice] - spacing,
            limits=reach,
        )

    def routes(self, count: int, longest: float) -> list[Route]:
        """Return the shortest path and the next ones, less what the points can hide."""
        graph = self.graph
        ahead, reached = graph.from_nodes(graph.sources)
        behind, leads = graph.from_nodes(graph.targets)
        through = sorted(
            (ahead[node] + step + behind[other], node, index)
            for node, edges in enumerate(graph.edges)
            for index, (other, step, _) in enumerate(edges)
            if ahead[node] + step + behind[other] <= longest * (1.0 + ROUNDING)
        )
        nearest = min(graph.targets, key=lambda target: ahead[target])
        if math.isinf(ahead[nearest]):
            return []
        shortest = hops_to(reached, nearest)
        found = {self._passed(shortest): self._shortened(ahead[nearest], shortest)}
        for length, node, index in through:
            other, _, hops = graph.edges[node][index]
            onward = tuple(hop.turned() for hop in reversed(hops_to(leads, other)))
            whole = (*hops_to(reached, node), *hops, *onward)
            passed = self._passed(whole)
            if len(found) >= count:
                break
            if passed not in found and len(set(passed)) == len(passed):
                found[passed] = self._shortened(length, whole)
        return list(found.values())

    def _passed(self, hops: tuple[Hop, ...]) -> tuple[object, ...]:
        """Return the nets, floating parts and edges that a path joins, crosses and goes over."""
        shapes = self.board.shapes
        passed: list[object] = []
        for hop in hops:
            marks: list[object] = [shapes[shape].joined or shapes[shape].name for shape in hop.shapes[:1] if shape >= 0]
            if hop.over_edge:
                marks.append(hop.corners[0])
            marks += [shapes[shape].joined or shapes[shape].name for shape in hop.shapes[1:] if shape >= 0]
            passed += [mark for mark in marks if not passed or passed[-1] != mark]
        return tuple(passed)

    def _shortened(self, length: float, hops: tuple[Hop, ...]) -> Route:
        """Return a path less what the spacing of the points it goes over can hide."""
        spacing = float(self.points.spacing.max(initial=0.0))
        crossings = sum(hop.over_edge and hop.counted > 0.0 for hop in hops)
        if crossings == 0 or length <= 0.0:
            return Route(length=length, hops=hops)
        share = max(0.0, 1.0 - 2.0 * spacing * crossings / length)
        return Route(length=length * share, hops=tuple(replace(hop, counted=hop.counted * share) for hop in hops))


def _mark(graph: PathGraph, begin: list[int], face: _Face) -> None:
    """Say of the lines just added on which face they run, and number their conductors as the board does."""

    def marked(hop: Hop) -> Hop:
        one, other = (int(face.numbers[shape]) if shape >= 0 else -1 for shape in hop.shapes)
        return replace(hop, face=face.face, shapes=(one, other))

    for node, edges in enumerate(graph.edges):
        first = begin[node] if node < len(begin) else 0
        edges[first:] = [(other, length, tuple(map(marked, hops))) for other, length, hops in edges[first:]]


def _join_edges(
    board: TwoFaces, graph: PathGraph, points: _Points, over: list[tuple[PlaneNodes, int]], slack: float
) -> None:
    """Join the points of one edge on one face to those on the other."""
    (top, skip_top), (bottom, skip_bottom) = over
    for number, edge in enumerate(board.edges):
        on = np.flatnonzero(points.edge == number)
        upper, lower = on[top.nodes[skip_top + on] >= 0], on[bottom.nodes[skip_bottom + on] >= 0]
        if len(upper) == 0 or len(lower) == 0:
            continue
        if board.hugging:
            apart = np.abs(points.along[upper, None] - points.along[None, lower])
            apart = np.minimum(apart, edge.length - apart)
        else:
            apart = np.hypot(*(points.places[upper, None] - points.places[None, lower]).transpose(2, 0, 1))
        lengths = np.hypot(apart, board.thickness_mm)
        source, target = points.ahead[0, upper], points.behind[0, upper]
        onward, back = points.behind[1, lower], points.ahead[1, lower]
        ways = np.minimum(source[:, None] + onward[None], target[:, None] + back[None])
        for row, column in np.argwhere(ways + lengths <= min(slack, points.limits[number])).tolist():
            start, end = points.places[upper[row]], points.places[lower[column]]
            hop = Hop(
                start=(float(start[0]), float(start[1])),
                end=(float(end[0]), float(end[1])),
                counted=float(lengths[row, column]),
                shapes=(-1, -1),
                corners=(number, number),
                over_edge=True,
            )
            graph.join(int(top.nodes[skip_top + upper[row]]), int(bottom.nodes[skip_bottom + lower[column]]), (hop,))


def _crossings(
    graph: PathGraph, over: list[tuple[PlaneNodes, int]], ahead: list[float], behind: list[float]
) -> Iterator[tuple[float, list[int]]]:
    """Yield each way over an edge with the length of the shortest path that takes it, and its two points."""
    point_of = {
        int(node): index for placed, skip in over for index, node in enumerate(placed.nodes[skip:]) if node >= 0
    }
    for node, index in point_of.items():
        for other, step, hops in graph.edges[node]:
            if hops[0].over_edge:
                length = min(ahead[node] + step + behind[other], ahead[other] + step + behind[node])
                yield length, [index, point_of[other]]


def _strewn(board: TwoFaces, flat: Conductors, least: Bounds, slack: float) -> _Points:
    """Return the first points along the edges, where a path within the bound may pass."""
    parts: list[tuple[int, float, float]] = []
    for number, edge in enumerate(board.edges):
        pieces = max(4, math.ceil(edge.length / _FIRST_SPACING_MM))
        parts += [(number, (index + 0.5) * edge.length / pieces, edge.length / pieces) for index in range(pieces)]
    points = _placed(board, parts)
    if len(parts) == 0:
        return points
    gaps = np.array([shapely.distance(shapely.Point(place), flat.areas()) for place in points.places])
    source = np.min(gaps + least.from_source[flat.islands], axis=1)
    target = np.min(gaps + least.from_target[flat.islands], axis=1)
    kept = source + target <= slack + 2.0 * _FIRST_SPACING_MM
    return _placed(board, [part for part, keep in zip(parts, kept, strict=True) if keep])


def _placed(board: TwoFaces, parts: list[tuple[int, float, float]]) -> _Points:
    """Return points by their edge, how far along it they stand, and their spacing."""
    places = [board.edges[edge].interpolate(along) for edge, along, _ in parts]
    return _Points(
        edge=np.array([edge for edge, _, _ in parts], dtype=np.intp),
        along=np.array([along for _, along, _ in parts], dtype=float),
        places=np.array([(place.x, place.y) for place in places], dtype=float).reshape(-1, 2),
        spacing=np.array([spacing for _, _, spacing in parts], dtype=float),
        ahead=np.zeros((2, len(parts))),
        behind=np.zeros((2, len(parts))),
        limits=np.full(len(board.edges), math.inf),
    )


def edges_of(air: BaseGeometry, frame: BaseGeometry | None) -> tuple[shapely.LinearRing, ...]:
    """Return where a board ends: the rims of its outline, slots and holes.

    Parameters
    ----------
    air : BaseGeometry
        Where there is no board. [mm]
    frame : BaseGeometry or None
        The plane without the frame round everything, whose own rim is none of the board.

    Returns
    -------
    tuple of LinearRing
        Each closed.
    """
    rings = [ring for polygon in polygons_of(air) for ring in rings_of(polygon)]
    return tuple(ring for ring in rings if frame is None or shapely.within(ring, frame))
