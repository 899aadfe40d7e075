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
    direct = _direct(plane)
    if not math.isfinite(direct):
        return ()
    bound = min(longest, max(direct * (NEXT_REACH if count > 1 else _FIRST_BOUND), direct + _ROUNDING))
    while True:
        graph = _graph(plane, bound)
        shortest = graph.shortest()
        if math.isfinite(shortest) and shortest <= bound:
            wanted = min(longest, shortest * NEXT_REACH)
            if count > 1 and bound < wanted:
                graph = _graph(plane, wanted)
            return tuple(_distinct(plane, graph, count, max(shortest * NEXT_REACH, shortest + _ROUNDING)))
        if bound >= longest:
            return ()
        bound = longest if graph.whole else min(longest, max(bound, _SMALL_MM) * _GROWTH)


_SMALL_MM = 0.1
"""Ours: the bound grows from no less than this, where conductors touch. [mm]"""


def _direct(plane: Plane) -> float:
    """Return the least gap between the two ends, infinite where one of them is not drawn."""
    conductors = plane.conductors
    areas, islands = conductors.areas(), conductors.islands
    ends = [areas[np.isin(islands, conductors.islands_of(nets))] for nets in (plane.from_nets, plane.to_nets)]
    if not all(len(end) for end in ends):
        return math.inf
    _, gaps = shapely.STRtree(ends[0]).query_nearest(ends[1], all_matches=False, return_distance=True)
    return float(gaps.min())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Bounds:
    """Lengths that no path can undercut, because they ignore all obstacles. [mm]

    ``from_source`` and ``from_target``: arrays of shape (islands,), infinite beyond the bound. ``pairs``: array of
    shape (p, 2), the shapes between which a line may lie on a path; ``gaps``: array of shape (p,), the gap of each.
    """

    from_source: NDArray[np.float64]
    from_target: NDArray[np.float64]
    pairs: NDArray[np.intp]
    gaps: NDArray[np.float64]

    @classmethod
    def of(cls, plane: Plane, bound: float) -> _Bounds:
        """Return them."""
        conductors = plane.conductors
        nothing = np.zeros(len(conductors.island_nets))
        source, pairs, gaps = _spread(plane, conductors.islands_of(plane.from_nets), nothing, bound)
        target, _, _ = _spread(plane, conductors.islands_of(plane.to_nets), source, bound)
        one, other = conductors.islands[pairs].T
        kept = np.minimum(source[one] + target[other], source[other] + target[one]) + gaps <= bound
        nets = _net_numbers(conductors)
        kept &= nets[one] != nets[other]
        return cls(from_source=source, from_target=target, pairs=pairs[kept], gaps=gaps[kept])


def _net_numbers(conductors: Conductors) -> NDArray[np.intp]:
    """Return a number for each island, one for all of a net."""
    names = [net or f"\0{index}" for index, net in enumerate(conductors.island_nets)]
    return np.unique(np.array(names), return_inverse=True)[1]


def _spread(
    plane: Plane, begin: NDArray[np.intp], onward: NDArray[np.float64], bound: float
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.float64]]:
    """Return the shortest way from some islands to each, and the pairs of shapes looked at with their gaps.

    ``onward`` is a length that follows each island; where both together exceed the bound nothing is looked for.
    """
    conductors = plane.conductors
    areas, islands = conductors.areas(), conductors.islands
    nets = _net_numbers(conductors)
    floating = np.array([not net for net in conductors.island_nets])
    dropped = plane.uncounted_gap_mm or 0.0
    lengths = np.full(len(floating), math.inf)
    lengths[begin] = 0.0
    left = np.ones(len(floating), dtype=bool)
    pairs: list[NDArray[np.intp]] = [np.empty((0, 2), dtype=np.intp)]
    gaps: list[NDArray[np.float64]] = [np.empty(0)]
    while True:
        ahead = np.where(left, lengths, math.inf)
        island = int(np.argmin(ahead))
        if not ahead[island] <= bound or math.isinf(ahead[island]):
            break
        left[island] = False
        if lengths[island] + onward[island] > bound:
            continue
        joined = nets == nets[island]
        lengths[joined] = np.minimum(lengths[joined], lengths[island])
        for shape in np.flatnonzero(islands == island):
            near = np.arange(len(areas))
            if math.isfinite(bound):
                reach = max(bound - lengths[island], dropped)
                near = conductors.tree.query(areas[shape], predicate="dwithin", distance=reach)
            gap = shapely.distance(areas[shape], areas[near])
            counted = np.where((floating[island] | floating[islands[near]]) & (gap < dropped), 0.0, gap)
            np.minimum.at(lengths, islands[near], lengths[island] + counted)
            pairs.append(np.stack([np.minimum(shape, near), np.maximum(shape, near)], axis=1))
            gaps.append(gap)
    every, first = np.unique(np.concatenate(pairs), axis=0, return_index=True)
    return lengths, every, np.concatenate(gaps)[first]


def _graph(plane: Plane, bound: float) -> PathGraph:
    """Return the graph of all that can lie on a path within a bound."""
    conductors, obstacles = plane.conductors, plane.obstacles
    slack = bound * (1.0 + _ROUNDING) + _ROUNDING
    least = _Bounds.of(plane, slack)
    near = _Near.of(plane, least, slack)
    joined = [net for net in dict.fromkeys(conductors.island_nets) if net and len(conductors.islands_of([net])) > 1]
    first_net = len(conductors.island_nets)
    first_corner = first_net + len(joined)
    active = np.flatnonzero(near.from_source + near.from_target <= slack)
    node_of = np.full(len(obstacles.corners), -1, dtype=np.intp)
    node_of[active] = first_corner + np.arange(len(active))
    graph = PathGraph(
        sources=[int(island) for island in conductors.islands_of(plane.from_nets)],
        targets=[int(island) for island in conductors.islands_of(plane.to_nets)],
        whole=len(active) == len(obstacles.corners) and bool(np.all(least.from_source + least.from_target <= slack)),
        edges=[[] for _ in range(first_corner + len(active))],
    )
    for index, net in enumerate(joined):
        for island in conductors.islands_of([net]):
            graph.join(int(island), first_net + index, ())
    for corner, line in _to_conductors(plane, near):
        graph.join(int(node_of[corner]), int(conductors.islands[line.shapes[1]]), (line,))
    for start, end, length in _corner_lines(obstacles, active, near.from_source, near.from_target, slack):
        hop = Hop(
            start=_place(obstacles.corners[start]),
            end=_place(obstacles.corners[end]),
            counted=length,
            shapes=(-1, -1),
            corners=(start, end),
        )
        graph.join(int(node_of[start]), int(node_of[end]), (hop,))
    for line in _between_conductors(plane, least, slack):
        one, other = (int(conductors.islands[shape]) for shape in line.shapes)
        graph.join(one, other, (line,))
    _join_touching(conductors, graph)
    if plane.uncounted_gap_mm is not None:
        corners = range(first_corner, len(graph.edges))
        drop_small_gaps(conductors.island_nets, graph, plane.uncounted_gap_mm, corners)
    return graph


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Near:
    """For each corner, lengths that no path to or from it can undercut, and the shapes a line may lead to. [mm]

    ``corners`` and ``shapes``: arrays of shape (p,), the pairs; ``gaps``: array of shape (p,).
    """

    from_source: NDArray[np.float64]
    from_target: NDArray[np.float64]
    corners: NDArray[np.intp]
    shapes: NDArray[np.intp]
    gaps: NDArray[np.float64]

    @classmethod
    def of(cls, plane: Plane, least: _Bounds, slack: float) -> _Near:
        """Return them."""
        conductors, places = plane.conductors, plane.obstacles.corners
        islands = conductors.islands
        reached = np.isfinite(least.from_source + least.from_target)[islands]
        if math.isfinite(slack):
            corners, shapes = conductors.tree.query(shapely.points(places), predicate="dwithin", distance=slack)
        else:
            corners, shapes = (axis.ravel() for axis in np.indices((len(places), len(islands))))
        corners, shapes = corners[reached[shapes]], shapes[reached[shapes]]
        gaps = shapely.distance(shapely.points(places[corners]), conductors.areas()[shapes])
        source, target = least.from_source[islands[shapes]], least.from_target[islands[shapes]]
        corner_source = np.full(len(places), math.inf)
        corner_target = np.full(len(places), math.inf)
        np.minimum.at(corner_source, corners, gaps + source)
        np.minimum.at(corner_target, corners, gaps + target)
        kept = corner_source[corners] + corner_target[corners] <= slack
        kept &= np.minimum(corner_source[corners] + target, corner_target[corners] + source) + gaps <= slack
        return cls(
            from_source=corner_source,
            from_target=corner_target,
            corners=corners[kept],
            shapes=shapes[kept],
            gaps=gaps[kept],
        )


def _to_conductors(plane: Plane, near: _Near) -> Iterator[tuple[int, Hop]]:
    """Yield the straight lines from corners to conductors: the shortest, or where it is cut those that are not."""
    conductors, obstacles = plane.conductors, plane.obstacles
    if len(near.corners) == 0:
        return
    here = obstacles.corners[near.corners]
    lines = shapely.shortest_line(shapely.points(here), conductors.areas()[near.shapes])
    ends = shapely.get_coordinates(lines)[1::2]
    touching = near.gaps <= _TOUCH_MM
    hidden = ~touching & cut(obstacles, here, ends)
    other = feet(conductors, obstacles.corners, near.corners[hidden], near.shapes[hidden])
    corners = np.concatenate([near.corners[~hidden], other.points])
    shapes = np.concatenate([near.shapes[~hidden], conductors.rim_shapes[other.rims]])
    places = np.concatenate([ends[~hidden], other.places])
    lengths = np.concatenate([near.gaps[~hidden], other.lengths])
    touching = lengths <= _TOUCH_MM
    bent = touching | touches(obstacles, corners, places)
    corners, shapes, places, lengths = corners[bent], shapes[bent], places[bent], lengths[bent]
    touching = lengths <= _TOUCH_MM
    seen = touching | ~cut(obstacles, obstacles.corners[corners], places)
    corners, shapes, places, lengths = corners[seen], shapes[seen], places[seen], lengths[seen]
    for one in _least_of(corners, conductors.islands[shapes], lengths):
        yield (
            int(corners[one]),
            Hop(
                start=_place(obstacles.corners[corners[one]]),
                end=_place(places[one]),
                counted=float(lengths[one]) if lengths[one] > _TOUCH_MM else 0.0,
                shapes=(-1, int(shapes[one])),
                corners=(int(corners[one]), -1),
            ),
        )


def _between_conductors(plane: Plane, least: _Bounds, slack: float) -> Iterator[Hop]:
    """Yield the straight lines between conductors: the shortest, or where it is cut those that are not."""
    conductors, obstacles = plane.conductors, plane.obstacles
    apart = least.gaps > 0.0
    pairs = least.pairs[apart]
    if len(pairs) == 0:
        return
    areas = conductors.areas()
    ends = shapely.get_coordinates(shapely.shortest_line(areas[pairs[:, 0]], areas[pairs[:, 1]])).reshape(-1, 2, 2)
    lengths = least.gaps[apart]
    hidden = cut(obstacles, ends[:, 0], ends[:, 1])
    first_tip = np.searchsorted(conductors.tip_shapes, np.arange(len(areas) + 1))
    tips, toward = [np.empty(0, dtype=np.intp)], [np.empty(0, dtype=np.intp)]
    for one, other in (*pairs[hidden].tolist(), *pairs[hidden][:, ::-1].tolist()):
        tips.append(np.arange(first_tip[one], first_tip[one + 1]))
        toward.append(np.full(first_tip[one + 1] - first_tip[one], other))
    found = feet(conductors, conductors.tips, np.concatenate(tips), np.concatenate(toward))
    begins, finishes = conductors.tip_shapes[found.points], conductors.rim_shapes[found.rims]
    source, target = least.from_source[conductors.islands], least.from_target[conductors.islands]
    within = np.minimum(source[begins] + target[finishes], source[finishes] + target[begins]) + found.lengths <= slack
    within[within] = ~cut(obstacles, conductors.tips[found.points[within]], found.places[within])
    starts = np.concatenate([ends[~hidden, 0], conductors.tips[found.points[within]]])
    stops = np.concatenate([ends[~hidden, 1], found.places[within]])
    lengths = np.concatenate([lengths[~hidden], found.lengths[within]])
    one = np.concatenate([pairs[~hidden, 0], begins[within]])
    other = np.concatenate([pairs[~hidden, 1], finishes[within]])
    islands = conductors.islands[np.stack([one, other])]
    for index in _least_of(islands.min(axis=0), islands.max(axis=0), lengths):
        yield Hop(
            start=_place(starts[index]),
            end=_place(stops[index]),
            counted=float(lengths[index]),
            shapes=(int(one[index]), int(other[index])),
            corners=(-1, -1),
        )


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


def _join_touching(conductors: Conductors, graph: PathGraph) -> None:
    """Join at no length the islands that touch or lie over each other."""
    areas = conductors.areas()
    if len(areas) == 0:
        return
    for one, other in conductors.tree.query(areas, predicate="intersects").T.tolist():
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
