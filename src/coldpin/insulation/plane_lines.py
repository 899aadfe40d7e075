"""The straight lines that a path between conductors can take in a plane with obstacles, within a bound on its length.

What cannot lie on a path within the bound, by a length that ignores the obstacles, is not looked at (with one conductor
on each side and none between, that is an ellipse). Of the lines that are left, those an obstacle cuts are dropped.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.conductors import Conductors, feet
from coldpin.insulation.path_graph import Hop, PathGraph, Place
from coldpin.insulation.visibility import Obstacles, cut, touches

ROUNDING = 1e-9
"""Ours: lengths within this part of each other are one length. [1]"""

TOUCH_MM = 1e-6
"""Ours: two places nearer than this touch: no direction is made of what rounding left between them. [mm]"""

_ROWS_AT_ONCE = 2_000_000
"""Ours: how many pairs of corners are measured in one step; it bounds memory."""


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bounds:
    """Lengths that no path can undercut, because they ignore all obstacles. [mm]

    ``from_source`` and ``from_target``: arrays of shape (islands,), infinite beyond the bound. ``pairs``: array of
    shape (p, 2), the shapes between which a line may lie on a path; ``gaps``: array of shape (p,), the gap of each.
    """

    from_source: NDArray[np.float64]
    from_target: NDArray[np.float64]
    pairs: NDArray[np.intp]
    gaps: NDArray[np.float64]

    @classmethod
    def of(cls, plane: Plane, bound: float) -> Bounds:
        """Return them.

        Parameters
        ----------
        plane : Plane
            The plane.
        bound : float
            The bound on a path. [mm]

        Returns
        -------
        Bounds
            For each island of its conductors.
        """
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Near:
    """For each corner, lengths that no path to or from it can undercut, and the shapes a line may lead to. [mm]

    ``corners`` and ``shapes``: arrays of shape (p,), the pairs; ``gaps``: array of shape (p,).
    """

    from_source: NDArray[np.float64]
    from_target: NDArray[np.float64]
    corners: NDArray[np.intp]
    shapes: NDArray[np.intp]
    gaps: NDArray[np.float64]

    @classmethod
    def of(cls, plane: Plane, least: Bounds, slack: float, beside: tuple[Conductors, Bounds] | None = None) -> Near:
        """Return them.

        Parameters
        ----------
        plane : Plane
            The plane.
        least : Bounds
            For its islands.
        slack : float
            The bound on a path. [mm]
        beside : tuple of Conductors and Bounds, or None
            All conductors, where a path may leave the plane for those of another; None where it may not.

        Returns
        -------
        Near
            For each corner of its obstacles.
        """
        conductors, places = plane.conductors, plane.obstacles.corners
        corners, shapes, gaps = _within(conductors, least, places, slack)
        whole, bounds = beside or (conductors, least)
        every = (corners, shapes, gaps) if beside is None else _within(whole, bounds, places, slack)
        island = whole.islands[every[1]]
        corner_source = np.full(len(places), math.inf)
        corner_target = np.full(len(places), math.inf)
        np.minimum.at(corner_source, every[0], every[2] + bounds.from_source[island])
        np.minimum.at(corner_target, every[0], every[2] + bounds.from_target[island])
        source, target = (lengths[conductors.islands[shapes]] for lengths in (least.from_source, least.from_target))
        kept = corner_source[corners] + corner_target[corners] <= slack
        kept &= np.minimum(corner_source[corners] + target, corner_target[corners] + source) + gaps <= slack
        return cls(
            from_source=corner_source,
            from_target=corner_target,
            corners=corners[kept],
            shapes=shapes[kept],
            gaps=gaps[kept],
        )


def _within(
    conductors: Conductors, least: Bounds, places: NDArray[np.float64], slack: float
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    """Return the places and shapes that are no further apart than the bound, and their gaps."""
    islands = conductors.islands
    reached = np.isfinite(least.from_source + least.from_target)[islands]
    if math.isfinite(slack):
        corners, shapes = conductors.tree.query(shapely.points(places), predicate="dwithin", distance=slack)
    else:
        corners, shapes = (axis.ravel() for axis in np.indices((len(places), len(islands))))
    corners, shapes = corners[reached[shapes]], shapes[reached[shapes]]
    return corners, shapes, shapely.distance(shapely.points(places[corners]), conductors.areas()[shapes])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneNodes:
    """Where the corners of a plane are in the graph: ``nodes`` is −1 for a corner that no path can reach."""

    near: Near
    nodes: NDArray[np.intp]


def graph_of_nets(conductors: Conductors, from_nets: tuple[str, ...], to_nets: tuple[str, ...]) -> PathGraph:
    """Return a graph of islands, the first nodes, and of nets that join several of them, the next.

    Parameters
    ----------
    conductors : Conductors
        The conductors.
    from_nets : tuple of str
        The nets at one end.
    to_nets : tuple of str
        The nets at the other.

    Returns
    -------
    PathGraph
        Without any line between conductors.
    """
    joined = [net for net in dict.fromkeys(conductors.island_nets) if net and len(conductors.islands_of([net])) > 1]
    first_net = len(conductors.island_nets)
    graph = PathGraph(
        sources=[int(island) for island in conductors.islands_of(from_nets)],
        targets=[int(island) for island in conductors.islands_of(to_nets)],
        whole=True,
        edges=[[] for _ in range(first_net + len(joined))],
    )
    for index, net in enumerate(joined):
        for island in conductors.islands_of([net]):
            graph.join(int(island), first_net + index, ())
    return graph


def add_lines(
    graph: PathGraph,
    plane: Plane,
    least: Bounds,
    slack: float,
    *,
    islands: NDArray[np.intp],
    beside: tuple[Conductors, Bounds] | None = None,
) -> PlaneNodes:
    """Add the lines of a plane to a graph, and its corners as nodes.

    Parameters
    ----------
    graph : PathGraph
        Added to.
    plane : Plane
        The plane.
    least : Bounds
        For its islands.
    slack : float
        The bound on a path. [mm]
    islands : NDArray[np.intp]
        Array of shape (islands,), the node of each.
    beside : tuple of Conductors and Bounds, or None
        All conductors, where a path may leave the plane for those of another; None where it may not.

    Returns
    -------
    PlaneNodes
        Where its corners are in the graph.
    """
    conductors, obstacles = plane.conductors, plane.obstacles
    near = Near.of(plane, least, slack, beside)
    active = np.flatnonzero(near.from_source + near.from_target <= slack)
    nodes = np.full(len(obstacles.corners), -1, dtype=np.intp)
    nodes[active] = len(graph.edges) + np.arange(len(active))
    graph.edges.extend([] for _ in active)
    island_of = islands[conductors.islands]
    for corner, line in _to_conductors(plane, near):
        graph.join(int(nodes[corner]), int(island_of[line.shapes[1]]), (line,))
    for line in _corner_lines(obstacles, active, near.from_source, near.from_target, slack):
        graph.join(int(nodes[line.corners[0]]), int(nodes[line.corners[1]]), (line,))
    for line in (*_between_conductors(plane, least, slack), *_touching(conductors)):
        graph.join(int(island_of[line.shapes[0]]), int(island_of[line.shapes[1]]), (line,))
    return PlaneNodes(near=near, nodes=nodes)


def _to_conductors(plane: Plane, near: Near) -> Iterator[tuple[int, Hop]]:
    """Yield the straight lines from corners to conductors: the shortest, or where it is cut those that are not."""
    conductors, obstacles = plane.conductors, plane.obstacles
    if len(near.corners) == 0:
        return
    here = obstacles.corners[near.corners]
    lines = shapely.shortest_line(shapely.points(here), conductors.areas()[near.shapes])
    ends = shapely.get_coordinates(lines)[1::2]
    touching = near.gaps <= TOUCH_MM
    hidden = ~touching & cut(obstacles, here, ends)
    other = feet(conductors, obstacles.corners, near.corners[hidden], near.shapes[hidden])
    corners = np.concatenate([near.corners[~hidden], other.points])
    shapes = np.concatenate([near.shapes[~hidden], conductors.rim_shapes[other.rims]])
    places = np.concatenate([ends[~hidden], other.places])
    lengths = np.concatenate([near.gaps[~hidden], other.lengths])
    touching = lengths <= TOUCH_MM
    bent = touching | touches(obstacles, corners, places)
    corners, shapes, places, lengths = corners[bent], shapes[bent], places[bent], lengths[bent]
    touching = lengths <= TOUCH_MM
    seen = touching | ~cut(obstacles, obstacles.corners[corners], places)
    corners, shapes, places, lengths = corners[seen], shapes[seen], places[seen], lengths[seen]
    for one in _least_of(corners, conductors.islands[shapes], lengths):
        yield (
            int(corners[one]),
            Hop(
                start=_place(obstacles.corners[corners[one]]),
                end=_place(places[one]),
                counted=float(lengths[one]) if lengths[one] > TOUCH_MM else 0.0,
                shapes=(-1, int(shapes[one])),
                corners=(int(corners[one]), -1),
            ),
        )


def _between_conductors(plane: Plane, least: Bounds, slack: float) -> Iterator[Hop]:
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
) -> Iterator[Hop]:
    """Yield the lines between two corners that a path within the bound can take."""
    count = len(active)
    places = obstacles.corners[active]
    areas = obstacles.areas[active]
    source, target = corner_source[active], corner_target[active]
    step = max(1, _ROWS_AT_ONCE // max(1, count))
    for first in range(0, count, step):
        rows = np.arange(first, min(first + step, count))
        lengths = np.hypot(places[rows, None, 0] - places[None, :, 0], places[rows, None, 1] - places[None, :, 1])
        fits = (np.minimum(source[rows, None] + target[None], target[rows, None] + source[None]) + lengths) <= slack
        fits &= np.arange(count)[None] > rows[:, None]
        fits &= (areas[rows, None] != areas[None]) | (areas[None] >= 0)
        row, column = np.nonzero(fits)
        one, other = active[rows[row]], active[column]
        touching = lengths[row, column] <= TOUCH_MM
        bent = touching | touches(obstacles, other, obstacles.corners[one])
        one, other, touching = one[bent], other[bent], touching[bent]
        bent = touching | touches(obstacles, one, obstacles.corners[other])
        one, other, touching = one[bent], other[bent], touching[bent]
        seen = touching | ~cut(obstacles, obstacles.corners[one], obstacles.corners[other])
        for start, end in zip(one[seen].tolist(), other[seen].tolist(), strict=True):
            line = _place(obstacles.corners[start]), _place(obstacles.corners[end])
            yield Hop(start=line[0], end=line[1], counted=math.dist(*line), shapes=(-1, -1), corners=(start, end))


def _touching(conductors: Conductors) -> Iterator[Hop]:
    """Yield a line of no length where two islands touch or lie over each other."""
    areas = conductors.areas()
    for one, other in conductors.tree.query(areas, predicate="intersects").T.tolist():
        if one < other and conductors.islands[one] != conductors.islands[other]:
            shared = shapely.point_on_surface(shapely.intersection(areas[one], areas[other]))
            place = (float(shared.x), float(shared.y))
            yield Hop(start=place, end=place, counted=0.0, shapes=(one, other), corners=(-1, -1))


def _least_of(one: NDArray[np.intp], other: NDArray[np.intp], lengths: NDArray[np.float64]) -> list[int]:
    """Return, for each pair that occurs, where its shortest line is."""
    order = np.lexsort((lengths, other, one))
    first = np.ones(len(order), dtype=bool)
    first[1:] = (np.diff(one[order]) != 0) | (np.diff(other[order]) != 0)
    return [int(index) for index in order[first]]


def _place(point: NDArray[np.float64]) -> Place:
    """Return a point as two numbers."""
    return (float(point[0]), float(point[1]))
