"""Shortest paths between conductors through a plane with obstacles, and the next ones that are distinct from these.

The plane is left as it is drawn: no grid. Its graph has a node for each corner of an obstacle and for each island of
copper, and an edge for each straight line that is not cut. A bound on the length keeps it small: what cannot lie on a
path within the bound, by a length that ignores the obstacles, is not looked at (with one conductor on each side and
none between, that is an ellipse). The bound grows until a path is found within it; that path is then the shortest.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.conductors import Conductors, feet
from coldpin.insulation.path_graph import Hop, PathGraph, Place, Route, drop_small_gaps, hops_to
from coldpin.insulation.visibility import TURN, Obstacles, cut, touches, turn

_FIRST_BOUND = 1.25
"""Ours: the first bound on a path, as a multiple of its length through obstacles. [1]"""

_GROWTH = 2.0
"""Ours: by how much the bound grows where no path lay within it. [1]"""

NEXT_REACH = 1.6
"""Ours: other paths are looked for up to this multiple of the shortest. [1]"""

_ROUNDING = 1e-9
"""Ours: lengths within this part of each other are one length. [1]"""

_ROWS_AT_ONCE = 2_000_000
"""Ours: how many pairs of corners are measured in one step; it bounds memory."""

_TRIED = 20_000
"""Ours: how many lines are looked at for other paths; it bounds time, and the shortest does not depend on it."""

_TOUCH_MM = 1e-6
"""Ours: two places nearer than this touch: no direction is made of what rounding left between them. [mm]"""

_OVER_METAL_MM = 1e-6
"""Ours: a line that runs over a conductor for less than this touches its rim. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plane:
    """Conductors and obstacles between which paths are looked for.

    ``from_nets`` and ``to_nets`` are the nets at its two ends. With ``uncounted_gap_mm``, a gap narrower than that
    beside a floating conductor counts nothing; None counts every gap.
    """

    conductors: Conductors
    obstacles: Obstacles
    from_nets: tuple[str, ...]
    to_nets: tuple[str, ...]
    uncounted_gap_mm: float | None = None


def find_routes(plane: Plane, *, count: int, longest: float = math.inf) -> tuple[Route, ...]:
    """Return the shortest path between two groups of nets, and the next ones distinct from it.

    Two paths are distinct where they join other islands, cross other conductors, or pass a slot on another side.

    Parameters
    ----------
    plane : Plane
        Where they are looked for.
    count : int
        How many at most.
    longest : float
        No path longer than this is looked for. [mm]

    Returns
    -------
    tuple of Route
        The shortest first; empty where nothing leads across.
    """
    least = _Bounds.of(plane)
    direct = float(np.min(least.from_source[plane.conductors.islands_of(plane.to_nets)], initial=math.inf))
    if not math.isfinite(direct):
        return ()
    bound = min(longest, max(direct * _FIRST_BOUND, direct + _ROUNDING))
    while True:
        graph = _graph(plane, least, bound)
        shortest = graph.shortest()
        if math.isfinite(shortest) and shortest <= bound:
            wanted = min(longest, shortest * NEXT_REACH)
            if count > 1 and bound < wanted:
                graph = _graph(plane, least, wanted)
            return tuple(_distinct(plane, graph, count, max(shortest * NEXT_REACH, shortest + _ROUNDING)))
        if bound >= longest:
            return ()
        bound = longest if graph.whole else min(longest, max(bound, _SMALL_MM) * _GROWTH)


_SMALL_MM = 0.1
"""Ours: the bound grows from no less than this, where conductors touch. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Bounds:
    """For each island, a length no path from it can undercut, to the source and to the target. [mm]"""

    from_source: NDArray[np.float64]
    from_target: NDArray[np.float64]

    @classmethod
    def of(cls, plane: Plane) -> _Bounds:
        """Return them: the paths that no obstacle hinders."""
        conductors = plane.conductors
        count = len(conductors.island_nets)
        gaps = np.full((count, count), math.inf)
        areas, islands = conductors.areas(), conductors.islands
        for index, area in enumerate(areas):
            np.minimum.at(gaps[islands[index]], islands, shapely.distance(area, areas))
        if plane.uncounted_gap_mm is not None:
            floating = np.array([not net for net in conductors.island_nets])
            beside = floating[:, None] | floating[None, :]
            gaps[beside & (gaps < plane.uncounted_gap_mm)] = 0.0
        for net in {net for net in conductors.island_nets if net}:
            together = conductors.islands_of([net])
            gaps[np.ix_(together, together)] = 0.0
        return cls(
            from_source=_from(gaps, conductors.islands_of(plane.from_nets)),
            from_target=_from(gaps, conductors.islands_of(plane.to_nets)),
        )


def _from(gaps: NDArray[np.float64], begin: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return the shortest way from some islands to each, by Dijkstra's method on all pairs."""
    lengths = np.full(len(gaps), math.inf)
    lengths[begin] = 0.0
    left = np.ones(len(gaps), dtype=bool)
    while left.any():
        nearest = int(np.argmin(np.where(left, lengths, math.inf)))
        if not left[nearest] or not math.isfinite(lengths[nearest]):
            break
        left[nearest] = False
        np.minimum(lengths, lengths[nearest] + gaps[nearest], out=lengths)
    return lengths


def _graph(plane: Plane, least: _Bounds, bound: float) -> PathGraph:
    """Return the graph of all that can lie on a path within a bound."""
    conductors, obstacles = plane.conductors, plane.obstacles
    islands = conductors.islands
    from_source, from_target = least.from_source, least.from_target
    slack = bound * (1.0 + _ROUNDING) + _ROUNDING

    def possible(
        one: NDArray[np.float64], other: NDArray[np.float64], length: NDArray[np.float64]
    ) -> NDArray[np.bool_]:
        return np.asarray(one + length + other <= slack)

    # corners that may lie on a path, by the places where they see, or might see, conductors
    near = feet(conductors, obstacles.corners, np.full(len(obstacles.corners), slack))
    near_islands = islands[conductors.rim_shapes[near.rims]]
    corner_source = np.full(len(obstacles.corners), math.inf)
    corner_target = np.full(len(obstacles.corners), math.inf)
    np.minimum.at(corner_source, near.points, near.lengths + from_source[near_islands])
    np.minimum.at(corner_target, near.points, near.lengths + from_target[near_islands])
    active = np.flatnonzero(corner_source + corner_target <= slack)

    joined = [net for net in dict.fromkeys(conductors.island_nets) if net and len(conductors.islands_of([net])) > 1]
    first_net = len(conductors.island_nets)
    first_corner = first_net + len(joined)
    node_of = np.full(len(obstacles.corners), -1, dtype=np.intp)
    node_of[active] = first_corner + np.arange(len(active))
    graph = PathGraph(
        sources=[int(island) for island in conductors.islands_of(plane.from_nets)],
        targets=[int(island) for island in conductors.islands_of(plane.to_nets)],
        whole=len(active) == len(obstacles.corners) and bool(np.all(from_source + from_target <= slack)),
        edges=[[] for _ in range(first_corner + len(active))],
    )
    for index, net in enumerate(joined):
        for island in conductors.islands_of([net]):
            graph.join(int(island), first_net + index, ())

    kept = (node_of[near.points] >= 0) & (
        possible(corner_source[near.points], from_target[near_islands], near.lengths)
        | possible(corner_target[near.points], from_source[near_islands], near.lengths)
    )
    near, near_islands = near.only(kept), near_islands[kept]
    tangent = (near.lengths <= _TOUCH_MM) | touches(obstacles, near.points, near.places)
    near, near_islands = near.only(tangent), near_islands[tangent]
    free = (near.lengths <= _TOUCH_MM) | ~cut(obstacles, obstacles.corners[near.points], near.places)
    near, near_islands = near.only(free), near_islands[free]
    for one in _least_of(near.points, near_islands, near.lengths):
        corner, shape = int(near.points[one]), int(conductors.rim_shapes[near.rims[one]])
        hop = Hop(
            start=_place(obstacles.corners[corner]),
            end=_place(near.places[one]),
            counted=float(near.lengths[one]) * bool(near.lengths[one] > _TOUCH_MM),
            shapes=(-1, shape),
            corners=(corner, -1),
        )
        graph.join(int(node_of[corner]), int(near_islands[one]), (hop,))
    for start, end, length in _corner_lines(obstacles, active, corner_source, corner_target, slack):
        hop = Hop(
            start=_place(obstacles.corners[start]),
            end=_place(obstacles.corners[end]),
            counted=length,
            shapes=(-1, -1),
            corners=(start, end),
        )
        graph.join(int(node_of[start]), int(node_of[end]), (hop,))
    _join_conductors(plane, least, slack, graph)
    _join_touching(conductors, graph)
    if plane.uncounted_gap_mm is not None:
        drop_small_gaps(conductors.island_nets, graph, plane.uncounted_gap_mm, range(first_corner, len(graph.edges)))
    return graph


def _corner_lines(
    obstacles: Obstacles,
    active: NDArray[np.intp],
    corner_source: NDArray[np.float64],
    corner_target: NDArray[np.float64],
    slack: float,
) -> Iterator[tuple[int, int, float]]:
    """Yield the lines between two corners that a path within the bound can take."""
    count = len(active)
    places = obstacles.corners[active]
    source, target = corner_source[active], corner_target[active]
    step = max(1, _ROWS_AT_ONCE // max(1, count))
    for first in range(0, count, step):
        rows = np.arange(first, min(first + step, count))
        lengths = np.hypot(places[rows, None, 0] - places[None, :, 0], places[rows, None, 1] - places[None, :, 1])
        fits = (np.minimum(source[rows, None] + target[None], target[rows, None] + source[None]) + lengths) <= slack
        fits &= np.arange(count)[None] > rows[:, None]
        row, column = np.nonzero(fits)
        one, other = active[rows[row]], active[column]
        touching = lengths[row, column] <= _TOUCH_MM
        bent = touching | touches(obstacles, other, obstacles.corners[one])
        one, other, touching = one[bent], other[bent], touching[bent]
        bent = touching | touches(obstacles, one, obstacles.corners[other])
        one, other, touching = one[bent], other[bent], touching[bent]
        seen = touching | ~cut(obstacles, obstacles.corners[one], obstacles.corners[other])
        for start, end in zip(one[seen].tolist(), other[seen].tolist(), strict=True):
            yield start, end, math.dist(obstacles.corners[start], obstacles.corners[end])


def _join_conductors(plane: Plane, least: _Bounds, slack: float, graph: PathGraph) -> None:
    """Join the islands between which a straight line runs."""
    conductors = plane.conductors
    islands = conductors.islands
    nearer = np.minimum(least.from_source, least.from_target)
    of_tip = islands[conductors.tip_shapes]
    possible = np.flatnonzero((least.from_source + least.from_target)[of_tip] <= slack)
    points = conductors.tips[possible]
    if len(points) == 0:
        return
    found = feet(conductors, points, slack - nearer[of_tip[possible]])
    tips = possible[found.points]
    one, other = of_tip[tips], islands[conductors.rim_shapes[found.rims]]
    nets = np.unique(
        np.array([net or f"\0{index}" for index, net in enumerate(conductors.island_nets)]), return_inverse=True
    )[1]
    within = (
        np.minimum(least.from_source[one] + least.from_target[other], least.from_target[one] + least.from_source[other])
        + found.lengths
        <= slack
    ) & (nets[one] != nets[other])
    found, tips, one, other = found.only(within), tips[within], one[within], other[within]
    free = ~cut(plane.obstacles, conductors.tips[tips], found.places)
    found, tips, one, other = found.only(free), tips[free], one[free], other[free]
    low, high = np.minimum(one, other), np.maximum(one, other)
    for index in _least_of(low, high, found.lengths):
        hop = Hop(
            start=_place(conductors.tips[tips[index]]),
            end=_place(found.places[index]),
            counted=float(found.lengths[index]),
            shapes=(int(conductors.tip_shapes[tips[index]]), int(conductors.rim_shapes[found.rims[index]])),
            corners=(-1, -1),
        )
        graph.join(int(one[index]), int(other[index]), (hop,))


def _join_touching(conductors: Conductors, graph: PathGraph) -> None:
    """Join at no length the islands that touch or lie over each other."""
    areas = conductors.areas()
    if len(areas) == 0:
        return
    for one, other in shapely.STRtree(areas).query(areas, predicate="intersects").T.tolist():
        islands = int(conductors.islands[one]), int(conductors.islands[other])
        if one < other and islands[0] != islands[1]:
            shared = shapely.point_on_surface(shapely.intersection(areas[one], areas[other]))
            place = (float(shared.x), float(shared.y))
            hop = Hop(start=place, end=place, counted=0.0, shapes=(one, other), corners=(-1, -1))
            graph.join(*islands, (hop,))


def _distinct(plane: Plane, graph: PathGraph, count: int, longest: float) -> Iterator[Route]:
    """Yield the shortest path and the next ones distinct from it, each the shortest through some line."""
    ahead, reached = graph.from_nodes(graph.sources)
    behind, leads = graph.from_nodes(graph.targets)
    through: list[tuple[float, int, int]] = []
    for node, edges in enumerate(graph.edges):
        for index, (other, step, _) in enumerate(edges):
            length = ahead[node] + step + behind[other]
            if length <= longest:
                through.append((length, node, index))
    ends = {*graph.sources, *graph.targets}
    known: set[tuple[object, ...] | None] = set()
    for length, node, index in heapq.nsmallest(_TRIED, through):
        other, _, hops = graph.edges[node][index]
        onward = tuple(hop.turned() for hop in reversed(hops_to(leads, other)))
        whole = (*hops_to(reached, node), *hops, *onward)
        signature = _signature(plane, whole, ends)
        if known and (signature is None or signature in known or _runs_over_metal(plane.conductors, whole)):
            continue
        known.add(signature)
        yield Route(length=length, hops=whole)
        if len(known) >= count:
            return


def _signature(plane: Plane, hops: tuple[Hop, ...], ends: set[int]) -> tuple[object, ...] | None:
    """Return what tells a path from another: the islands it joins and the side on which it passes each obstacle.

    None where it is none of its own: where it comes back to one of its ends, or bends where nothing holds it.
    """
    islands = plane.conductors.islands
    passed: list[object] = [int(islands[hops[0].shapes[0]])]
    for hop, after in pairwise(hops):
        corner = hop.corners[1]
        if corner < 0:
            island = int(islands[hop.shapes[1]])
            if island in ends or island in passed:
                return None
            passed.append(island)
            continue
        start, here, end = (np.array(place) for place in (hop.start, hop.end, after.end))
        bend = float(turn(start, here, end))
        if abs(bend) <= TURN or min(math.dist(hop.start, hop.end), math.dist(after.start, after.end)) <= _TOUCH_MM:
            continue
        rims = (plane.obstacles.before[corner], plane.obstacles.after[corner])
        if not all(
            bend * float(turn(start, here, rim)) >= -TURN and bend * float(turn(end, here, rim)) <= TURN for rim in rims
        ):
            return None
        mark = (int(plane.obstacles.areas[corner]), bend > 0.0)
        if passed[-1] != mark:
            passed.append(mark)
    return (*passed, int(islands[hops[-1].shapes[1]]))


def _runs_over_metal(conductors: Conductors, hops: tuple[Hop, ...]) -> bool:
    """Say whether a line of a path runs across a conductor that the path does not count as crossed."""
    areas = conductors.areas()
    for hop in hops:
        line = shapely.LineString([hop.start, hop.end])
        over = shapely.length(shapely.intersection(line, areas[shapely.intersects(line, areas)]))
        if np.any(over > _OVER_METAL_MM):
            return True
    return False


def _least_of(one: NDArray[np.intp], other: NDArray[np.intp], lengths: NDArray[np.float64]) -> list[int]:
    """Return, for each pair that occurs, where its shortest line is."""
    order = np.lexsort((lengths, other, one))
    first = np.ones(len(order), dtype=bool)
    first[1:] = (np.diff(one[order]) != 0) | (np.diff(other[order]) != 0)
    return [int(index) for index in order[first]]


def _place(point: NDArray[np.float64]) -> Place:
    """Return a point as two numbers."""
    return (float(point[0]), float(point[1]))
