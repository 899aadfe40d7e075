"""The straight lines that a path between conductors can take in a plane with obstacles, within a bound on its length.

What cannot lie on a path within the bound, by a length that ignores the obstacles, is not looked at (with one conductor
on each side and none between, that is an ellipse). Of the lines that are left, those an obstacle cuts are dropped.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.conductors import Conductors, feet
from coldpin.insulation.path_graph import Hop, PathGraph
from coldpin.insulation.plane_bounds import TOUCH_MM, Bounds, Near, Plane
from coldpin.insulation.visibility import Obstacles, cut, touches

_ROWS_AT_ONCE = 2_000_000
"""Ours: how many pairs of corners are measured in one step; it bounds memory."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines:
    """Straight lines, as arrays: a search over many makes a `Hop` of those alone that lie on a path.

    ``starts`` and ``ends``: arrays of shape (n, 2) [mm]; ``counted``: array of shape (n,) [mm]; ``shapes`` and
    ``corners``: arrays of shape (n, 2), the conductor or corner at each end, −1 for none.
    """

    starts: NDArray[np.float64]
    ends: NDArray[np.float64]
    counted: NDArray[np.float64]
    shapes: NDArray[np.intp]
    corners: NDArray[np.intp]

    @classmethod
    def of(cls, parts: Sequence[Lines]) -> Lines:
        """Return several as one, in order.

        Parameters
        ----------
        parts : sequence of Lines
            The parts.

        Returns
        -------
        Lines
            All of them.
        """
        none = np.empty((0, 2), dtype=np.intp)
        return cls(
            starts=np.concatenate([np.empty((0, 2)), *(part.starts for part in parts)]),
            ends=np.concatenate([np.empty((0, 2)), *(part.ends for part in parts)]),
            counted=np.concatenate([np.empty(0), *(part.counted for part in parts)]),
            shapes=np.concatenate([none, *(part.shapes for part in parts)]),
            corners=np.concatenate([none, *(part.corners for part in parts)]),
        )

    def hops(self) -> Iterator[Hop]:
        """Yield them as lines of a path.

        Yields
        ------
        Hop
            In order.
        """
        columns = (self.starts, self.ends, self.counted, self.shapes, self.corners)
        for start, end, counted, shapes, corners in zip(*(column.tolist() for column in columns), strict=True):
            yield Hop(
                start=(start[0], start[1]),
                end=(end[0], end[1]),
                counted=counted,
                shapes=(shapes[0], shapes[1]),
                corners=(corners[0], corners[1]),
            )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneLines:
    """The lines of a plane that a path within the bound can take, and the corners that such a path can reach."""

    near: Near
    active: NDArray[np.intp]
    lines: Lines

    def nodes(self, first_corner: int, island_of: NDArray[np.intp]) -> NDArray[np.intp]:
        """Return the nodes that the lines join, where corners are numbered from the first on.

        Parameters
        ----------
        first_corner : int
            The node of the first corner that can be reached.
        island_of : NDArray[np.intp]
            Array of shape (shapes,), the node of each shape.

        Returns
        -------
        NDArray[np.intp]
            Array of shape (lines, 2).
        """
        of_corner = np.full(len(self.near.from_source) + 1, -1, dtype=np.intp)
        of_corner[self.active] = first_corner + np.arange(len(self.active))
        of_shape = np.append(island_of, -1)
        return np.asarray(np.maximum(of_shape[self.lines.shapes], of_corner[self.lines.corners]), dtype=np.intp)


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


def add_lines(graph: PathGraph, plane: Plane, least: Bounds, slack: float) -> Near:
    """Add the lines of a plane to a graph, and its corners as nodes.

    Parameters
    ----------
    graph : PathGraph
        Added to; its first nodes are the islands of the plane.
    plane : Plane
        The plane.
    least : Bounds
        For its islands.
    slack : float
        The bound on a path. [mm]

    Returns
    -------
    Near
        What its corners are near to.
    """
    found = lines_in(plane, least, slack)
    nodes = found.nodes(len(graph.edges), plane.conductors.islands)
    graph.edges.extend([] for _ in found.active)
    for (one, other), line in zip(nodes.tolist(), found.lines.hops(), strict=True):
        graph.join(one, other, (line,))
    return found.near


def lines_in(
    plane: Plane, least: Bounds, slack: float, *, beside: tuple[Conductors, Bounds] | None = None
) -> PlaneLines:
    """Return the lines of a plane that a path within a bound can take.

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
    PlaneLines
        From corners to conductors, between corners, and between conductors.
    """
    near = Near.of(plane, least, slack, beside)
    active = np.flatnonzero(near.from_source + near.from_target <= slack)
    parts = [
        to_conductors(plane, near),
        *_corner_lines(plane.obstacles, active, near.from_source, near.from_target, slack),
        _between_conductors(plane, least, slack),
        _touching(plane.conductors),
    ]
    return PlaneLines(near=near, active=active, lines=Lines.of(parts))


def to_conductors(plane: Plane, near: Near) -> Lines:
    """Return the straight lines from corners to conductors: the shortest, or where it is cut those that are not.

    Parameters
    ----------
    plane : Plane
        The plane.
    near : Near
        Which corners and which conductors.

    Returns
    -------
    Lines
        At most one for each corner and island.
    """
    conductors, obstacles = plane.conductors, plane.obstacles
    if len(near.corners) == 0:
        return Lines.of(())
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
    least = _least_of(corners, conductors.islands[shapes], lengths)
    none = np.full(len(least), -1, dtype=np.intp)
    return Lines(
        starts=obstacles.corners[corners[least]],
        ends=places[least],
        counted=np.where(lengths[least] > TOUCH_MM, lengths[least], 0.0),
        shapes=np.stack([none, shapes[least]], axis=1),
        corners=np.stack([corners[least], none], axis=1),
    )


def _between_conductors(plane: Plane, least: Bounds, slack: float) -> Lines:
    """Return the straight lines between conductors: the shortest, or where it is cut those that are not."""
    conductors, obstacles = plane.conductors, plane.obstacles
    apart = least.gaps > 0.0
    pairs = least.pairs[apart]
    if len(pairs) == 0:
        return Lines.of(())
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
    first = _least_of(islands.min(axis=0), islands.max(axis=0), lengths)
    return Lines(
        starts=starts[first],
        ends=stops[first],
        counted=lengths[first],
        shapes=np.stack([one[first], other[first]], axis=1),
        corners=np.full((len(first), 2), -1, dtype=np.intp),
    )


def _corner_lines(
    obstacles: Obstacles,
    active: NDArray[np.intp],
    corner_source: NDArray[np.float64],
    corner_target: NDArray[np.float64],
    slack: float,
) -> Iterator[Lines]:
    """Yield the lines between two corners that a path within the bound can take, some at a time."""
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
        touching = lengths[row, column] <= TOUCH_MM
        bent = touching | touches(obstacles, other, obstacles.corners[one])
        one, other, touching = one[bent], other[bent], touching[bent]
        bent = touching | touches(obstacles, one, obstacles.corners[other])
        one, other, touching = one[bent], other[bent], touching[bent]
        seen = touching | ~cut(obstacles, obstacles.corners[one], obstacles.corners[other])
        starts, ends = obstacles.corners[one[seen]], obstacles.corners[other[seen]]
        yield Lines(
            starts=starts,
            ends=ends,
            counted=np.hypot(*(ends - starts).T),
            shapes=np.full((len(starts), 2), -1, dtype=np.intp),
            corners=np.stack([one[seen], other[seen]], axis=1),
        )


def _touching(conductors: Conductors) -> Lines:
    """Return a line of no length where two islands touch or lie over each other."""
    areas = conductors.areas()
    one, other = conductors.tree.query(areas, predicate="intersects")
    apart = (one < other) & (conductors.islands[one] != conductors.islands[other])
    one, other = one[apart], other[apart]
    places = shapely.get_coordinates(shapely.point_on_surface(shapely.intersection(areas[one], areas[other])))
    return Lines(
        starts=places,
        ends=places,
        counted=np.zeros(len(one)),
        shapes=np.stack([one, other], axis=1),
        corners=np.full((len(one), 2), -1, dtype=np.intp),
    )


def _least_of(one: NDArray[np.intp], other: NDArray[np.intp], lengths: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return, for each pair that occurs, where its shortest line is."""
    order = np.lexsort((lengths, other, one))
    first = np.ones(len(order), dtype=bool)
    first[1:] = (np.diff(one[order]) != 0) | (np.diff(other[order]) != 0)
    return np.asarray(order[first])
