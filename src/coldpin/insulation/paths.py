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
from itertools import pairwise

import numpy as np
import shapely

from coldpin.insulation.conductors import Conductors
from coldpin.insulation.path_graph import Hop, PathGraph, Route, drop_small_gaps, hops_to
from coldpin.insulation.plane_bounds import ROUNDING, TOUCH_MM, Bounds, Plane
from coldpin.insulation.plane_lines import add_lines, graph_of_nets
from coldpin.insulation.visibility import TURN, turn

_FIRST_BOUND = 1.25
"""Ours: the first bound on a path, as a multiple of its length through obstacles. [1]"""

_GROWTH = 2.0
"""Ours: by how much the bound grows where no path lay within it. [1]"""

NEXT_REACH = 1.6
"""Ours: other paths are looked for up to this multiple of the shortest. [1]"""

_TRIED = 20_000
"""Ours: how many lines are looked at for other paths; it bounds time, and the shortest does not depend on it."""

_OVER_METAL_MM = 1e-6
"""Ours: a line that runs over a conductor for less than this touches its rim. [mm]"""


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
    direct = least_gap(plane)
    if not math.isfinite(direct):
        return ()
    bound = min(longest, max(direct * (NEXT_REACH if count > 1 else _FIRST_BOUND), direct + ROUNDING))
    while True:
        graph = _graph(plane, bound)
        shortest = graph.shortest()
        if math.isfinite(shortest) and shortest <= bound:
            wanted = min(longest, shortest * NEXT_REACH)
            if count > 1 and bound < wanted:
                graph = _graph(plane, wanted)
            return tuple(_distinct(plane, graph, count, max(shortest * NEXT_REACH, shortest + ROUNDING)))
        if bound >= longest:
            return ()
        bound = longest if graph.whole else min(longest, max(bound, _SMALL_MM) * _GROWTH)


_SMALL_MM = 0.1
"""Ours: the bound grows from no less than this, where conductors touch. [mm]"""


def least_gap(plane: Plane) -> float:
    """Return the least gap between the two ends, whatever lies between.

    Parameters
    ----------
    plane : Plane
        The plane.

    Returns
    -------
    float
        Infinite where one end is not drawn. [mm]
    """
    conductors = plane.conductors
    areas, islands = conductors.areas(), conductors.islands
    ends = [areas[np.isin(islands, conductors.islands_of(nets))] for nets in (plane.from_nets, plane.to_nets)]
    if not all(len(end) for end in ends):
        return math.inf
    _, gaps = shapely.STRtree(ends[0]).query_nearest(ends[1], all_matches=False, return_distance=True)
    return float(gaps.min())


def _graph(plane: Plane, bound: float) -> PathGraph:
    """Return the graph of all that can lie on a path within a bound.

    A line of a gap that counts nothing is as long as X at most, and the path with it by so much longer than it counts.
    """
    conductors = plane.conductors
    slack = (bound + (plane.uncounted_gap_mm or 0.0)) * (1.0 + ROUNDING) + ROUNDING
    least = Bounds.of(plane, slack)
    graph = graph_of_nets(conductors, plane.from_nets, plane.to_nets)
    first_corner = len(graph.edges)
    near = add_lines(graph, plane, least, slack)
    graph.whole = bool(
        np.all(near.from_source + near.from_target <= slack) and np.all(least.from_source + least.from_target <= slack)
    )
    if plane.uncounted_gap_mm is not None:
        corners = range(first_corner, len(graph.edges))
        drop_small_gaps(conductors.island_nets, graph, plane.uncounted_gap_mm, corners)
    return graph


def _distinct(plane: Plane, graph: PathGraph, count: int, longest: float) -> Iterator[Route]:
    """Yield the shortest path and the next ones distinct from it, each the shortest through some line."""
    ahead, reached = graph.from_nodes(graph.sources)
    behind, leads = graph.from_nodes(graph.targets)
    nearest = min(graph.targets, key=lambda node: ahead[node])
    shortest = hops_to(reached, nearest)
    ends = {*graph.sources, *graph.targets}
    known = {_signature(plane, shortest, ends)}
    yield Route(length=ahead[nearest], hops=shortest)
    if count <= 1:
        return
    through: list[tuple[float, int, int]] = []
    for node, edges in enumerate(graph.edges):
        for index, (other, step, _) in enumerate(edges):
            length = ahead[node] + step + behind[other]
            if length <= longest:
                through.append((length, node, index))
    for length, node, index in heapq.nsmallest(_TRIED, through):
        other, _, hops = graph.edges[node][index]
        onward = tuple(hop.turned() for hop in reversed(hops_to(leads, other)))
        whole = (*hops_to(reached, node), *hops, *onward)
        signature = _signature(plane, whole, ends)
        if signature is None or signature in known or _runs_over_metal(plane.conductors, whole):
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
        if abs(bend) <= TURN or min(math.dist(hop.start, hop.end), math.dist(after.start, after.end)) <= TOUCH_MM:
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
