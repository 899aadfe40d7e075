"""The paths of a graph that are distinct by what they join, cross and go over: the shortest of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.conductors import ConductingShape
from coldpin.insulation.line_graph import LineGraph, Tree
from coldpin.insulation.path_graph import Hop, Route
from coldpin.insulation.plane_bounds import ROUNDING

Marks = tuple[object, ...]
"""What a path passes: names of nets and floating parts, and numbers of edges."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A path of the graph: what surely counts of it, its length with all that was taken off, and its lines. [mm]"""

    counted: float
    walked: float
    hops: tuple[Hop, ...]

    def route(self) -> Route:
        """Return it as a path found.

        Returns
        -------
        Route
            With what surely counts as its length.
        """
        return Route(length=self.counted, hops=self.hops)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DistinctWays:
    """Paths, each the shortest of its kind, the shortest of all first.

    ``of_edge``: array of shape (k,), for each edge of the graph the number of the path of the same kind as the shortest
    by that edge, −1 for none; ``lengths``: array of shape (k,), of that shortest one. [mm]
    """

    ways: tuple[Way, ...]
    of_edge: NDArray[np.intp]
    lengths: NDArray[np.float64]


def distinct_ways(
    graph: LineGraph,
    ahead: Tree,
    behind: Tree,
    targets: NDArray[np.intp],
    shapes: Sequence[ConductingShape],
    *,
    count: int,
    longest: float,
) -> DistinctWays:
    """Return the shortest path and the next ones, each the shortest through some line.

    Parameters
    ----------
    graph : LineGraph
        The graph.
    ahead : Tree
        The shortest ways in it from one end.
    behind : Tree
        Those from the other.
    targets : NDArray[np.intp]
        Array of shape (n,), the nodes of the other end.
    shapes : sequence of ConductingShape
        The conductors, by the numbers the lines have of them.
    count : int
        How many at most.
    longest : float
        No next path is longer than this. [mm]

    Returns
    -------
    DistinctWays
        None where nothing leads across.
    """
    length = ahead.lengths[graph.starts] + graph.counted + behind.lengths[graph.ends]
    of_edge = np.full(len(length), -1, dtype=np.intp)
    nearest = int(targets[np.argmin(ahead.lengths[targets])])
    if not np.isfinite(ahead.lengths[nearest]):
        return DistinctWays(ways=(), of_edge=of_edge, lengths=length)
    names = tuple(shape.joined or shape.name for shape in shapes)
    first = graph.way(ahead, nearest)
    ways = [_way(graph, float(ahead.lengths[nearest]), first, [])]
    numbers: dict[Marks, int] = {_passed(names, ways[0].hops): 0}
    if count <= 1:
        return DistinctWays(ways=tuple(ways), of_edge=of_edge, lengths=length)
    within = np.flatnonzero(length <= longest * (1.0 + ROUNDING))
    before = _Passed(graph, ahead, names, graph.starts[within])
    after = _Passed(graph, behind, names, graph.ends[within])
    kind = _kinds(graph, names, within)
    keys = (before.numbers * (int(kind.max(initial=0)) + 1) + kind) * len(after.marks) + after.numbers
    order = np.lexsort((length[within], keys))
    begins = np.ones(len(order), dtype=bool)
    begins[1:] = np.diff(keys[order]) != 0
    least = order[begins]
    way_of = np.full(len(least), -1, dtype=np.intp)
    for key in np.argsort(length[within[least]], kind="stable").tolist():
        index = int(least[key])
        edge = int(within[index])
        own = [mark for hop in graph.hops(edge) for mark in _marks(names, hop)]
        onward = reversed(after.marks[int(after.numbers[index])])
        passed = _joined(before.marks[int(before.numbers[index])], [*own, *onward])
        if passed not in numbers and len(ways) < count and len(set(passed)) == len(passed):
            numbers[passed] = len(ways)
            back = graph.way(behind, int(graph.ends[edge]))
            ways.append(_way(graph, float(length[edge]), [*graph.way(ahead, int(graph.starts[edge])), edge], back))
        way_of[key] = numbers.get(passed, -1)
    of_edge[within[order]] = np.repeat(way_of, np.diff(np.append(np.flatnonzero(begins), len(order))))
    return DistinctWays(ways=tuple(ways), of_edge=of_edge, lengths=length)


def _way(graph: LineGraph, counted: float, onward: list[int], back: list[int]) -> Way:
    """Return the path by some edges, and then by others from its end backward."""
    there = [hop for edge in onward for hop in graph.hops(edge)]
    hops = (*there, *(hop.turned() for edge in reversed(back) for hop in reversed(graph.hops(edge))))
    walked = sum(graph.walked(edge) for edge in (*onward, *back))
    return Way(counted=counted, walked=walked, hops=hops)


class _Passed:
    """What the ways to some nodes of a tree pass, each such way once: ``numbers`` says which of ``marks``."""

    def __init__(self, graph: LineGraph, tree: Tree, names: tuple[str, ...], nodes: NDArray[np.intp]) -> None:
        self._graph, self._tree, self._names = graph, tree, names
        self._of_node: dict[int, Marks] = {}
        numbers: dict[Marks, int] = {}
        every, which = np.unique(nodes, return_inverse=True)
        found = [numbers.setdefault(self._of(node), len(numbers)) for node in every.tolist()]
        self.numbers = np.array(found, dtype=np.intp)[which]
        self.marks = list(numbers)

    def _of(self, node: int) -> Marks:
        chain = [node]
        while chain[-1] not in self._of_node and (before := int(self._tree.before[chain[-1]])) >= 0:
            chain.append(before)
        marks = self._of_node.setdefault(chain[-1], ())
        for before, after in zip(chain[:0:-1], chain[-2::-1], strict=True):
            hops = self._graph.hops(self._graph.edge(before, after))
            marks = _joined(marks, [mark for hop in hops for mark in _marks(self._names, hop)])
            self._of_node[after] = marks
        return marks


def _kinds(graph: LineGraph, names: tuple[str, ...], edges: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return a number for each of some edges, one for all that pass the same in the same direction."""
    every = graph.lines
    line, backward = graph.edges[edges] % len(every.nodes), graph.edges[edges] >= len(every.nodes)
    of_name = {name: number for number, name in enumerate(dict.fromkeys(names))}
    of_shape = np.array([of_name[name] for name in names] + [-1], dtype=np.intp)
    one, other = of_shape[every.lines.shapes[line]].T
    number = np.where(every.kinds[line] > 0, every.lines.corners[line, 0], -1)
    columns = (np.where(backward, other, one), np.where(backward, one, other), every.kinds[line], number)
    whole = np.zeros(len(edges), dtype=np.intp)
    for column in columns:
        whole = whole * (int(column.max(initial=0)) + 2) + column + 1
    return np.asarray(np.unique(whole, return_inverse=True)[1], dtype=np.intp)


def _marks(names: tuple[str, ...], hop: Hop) -> list[object]:
    """Return what a line joins, and the edge it goes over."""
    one, other = hop.shapes
    over: list[object] = [hop.corners[0]] if hop.over_edge else []
    return [*([names[one]] if one >= 0 else []), *over, *([names[other]] if other >= 0 else [])]


def _joined(marks: Marks, more: list[object]) -> Marks:
    """Return marks followed by others, those alike in turn once."""
    whole = list(marks)
    for mark in more:
        if not whole or whole[-1] != mark:
            whole.append(mark)
    return tuple(whole)


def _passed(names: tuple[str, ...], hops: tuple[Hop, ...]) -> Marks:
    """Return the nets, floating parts and edges that a path joins, crosses and goes over."""
    return _joined((), [mark for hop in hops for mark in _marks(names, hop)])
