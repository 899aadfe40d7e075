"""The graph that paths are found in: what a straight line joins, and the shortest way along such lines."""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass, field, replace

from coldpin.records.board import Face

_ROUNDING = 1e-9
"""Ours: lengths within this part of each other are one length. [1]"""

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hop:
    """A straight line of a path that counts; ``shapes`` are the conductors at its ends, −1 for a corner.

    ``face`` is the face it runs on, None where there is one, or where it leads from one face to the other.
    """

    start: Place
    end: Place
    counted: float
    shapes: tuple[int, int]
    corners: tuple[int, int]
    face: Face | None = None
    over_edge: bool = False

    def turned(self) -> Hop:
        """Return it the other way round.

        Returns
        -------
        Hop
            The same line.
        """
        return replace(
            self,
            start=self.end,
            end=self.start,
            shapes=(self.shapes[1], self.shapes[0]),
            corners=(self.corners[1], self.corners[0]),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A path as found: its length and its straight lines, with a jump where it runs through a conductor. [mm]"""

    length: float
    hops: tuple[Hop, ...]


@dataclass(slots=True, kw_only=True, eq=False)
class PathGraph:
    """Nodes 0 to s − 1 are islands, then nets that join several, then corners; ``edges`` leads from each to others."""

    sources: list[int]
    targets: list[int]
    whole: bool
    edges: list[list[tuple[int, float, tuple[Hop, ...]]]] = field(default_factory=list)

    def join(self, one: int, other: int, hops: tuple[Hop, ...]) -> None:
        """Add an edge both ways.

        Parameters
        ----------
        one : int
            A node.
        other : int
            Another.
        hops : tuple of Hop
            The straight lines from the first to the second; none where a net joins them.
        """
        length = math.fsum(hop.counted for hop in hops)
        self.edges[one].append((other, length, hops))
        self.edges[other].append((one, length, tuple(hop.turned() for hop in reversed(hops))))

    def shortest(self) -> float:
        """Return the length of the shortest path.

        Returns
        -------
        float
            Infinite where there is none. [mm]
        """
        lengths, _ = self.from_nodes(self.sources)
        return min((lengths[node] for node in self.targets), default=math.inf)

    def from_nodes(
        self, begin: list[int], *, limit: float = math.inf, through: range | None = None
    ) -> tuple[list[float], list[tuple[int, tuple[Hop, ...]] | None]]:
        """Return the length from some nodes to each, and the edge by which each is reached.

        Parameters
        ----------
        begin : list of int
            Where paths begin.
        limit : float
            Longer ones are not followed. [mm]
        through : range or None
            The nodes that a path may run through; None is all.

        Returns
        -------
        tuple of list
            For each node its length, infinite where none leads there [mm]; and the node before it with the lines from
            there, None where a path begins or none leads.
        """
        lengths = [math.inf] * len(self.edges)
        reached: list[tuple[int, tuple[Hop, ...]] | None] = [None] * len(self.edges)
        queue = [(0.0, node) for node in begin]
        for node in begin:
            lengths[node] = 0.0
        first = set(begin)
        while queue:
            length, node = heapq.heappop(queue)
            if length > lengths[node] or (through is not None and node not in through and node not in first):
                continue
            for other, step, hops in self.edges[node]:
                ahead = length + step
                if ahead < lengths[other] and ahead <= limit:
                    lengths[other] = ahead
                    reached[other] = (node, hops)
                    heapq.heappush(queue, (ahead, other))
        return lengths, reached


def drop_small_gaps(island_nets: tuple[str, ...], graph: PathGraph, gap: float, corners: range) -> None:
    """Let a gap narrower than X beside a floating island count nothing, whatever corners it leads round.

    Parameters
    ----------
    island_nets : tuple of str
        The net of each island, empty for floating ones; islands are the first nodes of the graph.
    graph : PathGraph
        The graph, added to.
    gap : float
        The width X. [mm]
    corners : range
        The nodes that are no conductors.
    """
    uncounted: list[tuple[int, int, tuple[Hop, ...]]] = []
    floating = {index for index, net in enumerate(island_nets) if not net}
    for island in floating:
        lengths, reached = graph.from_nodes([island], limit=gap, through=corners)
        for other in range(len(island_nets)):
            if other != island and 0.0 < lengths[other] < gap * (1.0 - _ROUNDING):
                hops = hops_to(reached, other)
                uncounted.append((island, other, tuple(replace(hop, counted=0.0) for hop in hops)))
    for island, other, hops in uncounted:
        if other in floating and other < island:
            continue
        graph.join(island, other, hops)


def hops_to(reached: list[tuple[int, tuple[Hop, ...]] | None], node: int) -> tuple[Hop, ...]:
    """Return the lines by which a node is reached, from where the search began.

    Parameters
    ----------
    reached : list
        The edge by which each node is reached.
    node : int
        The node.

    Returns
    -------
    tuple of Hop
        In order.
    """
    back: list[tuple[Hop, ...]] = []
    step = reached[node]
    while step is not None:
        back.append(step[1])
        step = reached[step[0]]
    return tuple(hop for hops in reversed(back) for hop in hops)
