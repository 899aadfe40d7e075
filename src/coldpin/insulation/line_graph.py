"""The graph of many lines kept as arrays, for searches that are made again and again.

`PathGraph` holds each line as an object; over the two faces of a board there are hundreds of thousands of them, tried
anew at every spacing of the points along the edges. Here they are columns, and become objects only on a path told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.path_graph import Hop
from coldpin.insulation.plane_bounds import ROUNDING
from coldpin.insulation.plane_lines import Lines
from coldpin.records.board import Face


class Kind(IntEnum):
    """What an edge of the graph is."""

    LINE = 0
    OVER_EDGE = 1
    ONE_NET = 2
    SMALL_GAP = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GraphLines:
    """Edges of a graph, as arrays of one length.

    ``nodes``: array of shape (m, 2); ``lines`` as they lie in the drawing, and of `Kind.SMALL_GAP` the number of the
    gap in place of a corner; ``walked``: array of shape (m,), their length, of which ``lines.counted`` is what surely
    counts [mm]; ``kinds`` and ``faces``: arrays of shape (m,), of `Kind`, and which of two faces, −1 for none.
    """

    nodes: NDArray[np.intp]
    lines: Lines
    walked: NDArray[np.float64]
    kinds: NDArray[np.intp]
    faces: NDArray[np.intp]

    @classmethod
    def on(cls, face: int, nodes: NDArray[np.intp], lines: Lines) -> GraphLines:
        """Return straight lines on a face.

        Parameters
        ----------
        face : int
            Which of two, −1 for none.
        nodes : NDArray[np.intp]
            Array of shape (m, 2), what they join.
        lines : Lines
            The lines, which count whole.

        Returns
        -------
        GraphLines
            Their edges.
        """
        return cls.made(Kind.LINE, face, nodes, lines, lines.counted)

    @classmethod
    def made(
        cls, kind: Kind, face: int, nodes: NDArray[np.intp], lines: Lines, walked: NDArray[np.float64]
    ) -> GraphLines:
        """Return edges of one kind.

        Parameters
        ----------
        kind : Kind
            What they are.
        face : int
            Which of two faces, −1 for none.
        nodes : NDArray[np.intp]
            Array of shape (m, 2), what they join.
        lines : Lines
            As they lie in the drawing.
        walked : NDArray[np.float64]
            Array of shape (m,), their length. [mm]

        Returns
        -------
        GraphLines
            The edges.
        """
        count = len(nodes)
        return cls(
            nodes=nodes,
            lines=lines,
            walked=walked,
            kinds=np.full(count, int(kind), dtype=np.intp),
            faces=np.full(count, face, dtype=np.intp),
        )

    @classmethod
    def of(cls, parts: Sequence[GraphLines]) -> GraphLines:
        """Return several as one, in order.

        Parameters
        ----------
        parts : sequence of GraphLines
            At least one.

        Returns
        -------
        GraphLines
            All of them.
        """
        return cls(
            nodes=np.concatenate([part.nodes for part in parts]),
            lines=Lines.of([part.lines for part in parts]),
            walked=np.concatenate([part.walked for part in parts]),
            kinds=np.concatenate([part.kinds for part in parts]),
            faces=np.concatenate([part.faces for part in parts]),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tree:
    """The shortest way from some nodes to each: ``lengths`` and ``before``, arrays of shape (nodes,), −1 for none."""

    lengths: NDArray[np.float64]
    before: NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineGraph:
    """A graph of lines: both ways along each edge, of several between two nodes the shortest.

    ``starts``, ``ends``, ``counted`` and ``edges``: arrays of shape (k,), in the order of starts and ends; ``edges``
    is the number of the line, with those that are followed backward counted on from the number of lines.
    """

    count: int
    lines: GraphLines
    gaps: tuple[tuple[Hop, ...], ...]
    starts: NDArray[np.intp]
    ends: NDArray[np.intp]
    counted: NDArray[np.float64]
    edges: NDArray[np.intp]

    @classmethod
    def of(cls, count: int, lines: GraphLines, gaps: tuple[tuple[Hop, ...], ...] = ()) -> LineGraph:
        """Return the graph that lines make.

        Parameters
        ----------
        count : int
            How many nodes.
        lines : GraphLines
            The edges.
        gaps : tuple
            The lines of each small gap that counts nothing.

        Returns
        -------
        LineGraph
            The graph.
        """
        starts = np.concatenate([lines.nodes[:, 0], lines.nodes[:, 1]])
        ends = np.concatenate([lines.nodes[:, 1], lines.nodes[:, 0]])
        counted = np.tile(lines.lines.counted, 2)
        order = np.lexsort((counted, ends, starts))
        starts, ends = starts[order], ends[order]
        first = np.ones(len(order), dtype=bool)
        first[1:] = (np.diff(starts) != 0) | (np.diff(ends) != 0)
        kept = order[first]
        return cls(
            count=count,
            lines=lines,
            gaps=gaps,
            starts=starts[first],
            ends=ends[first],
            counted=counted[kept],
            edges=kept,
        )

    def from_nodes(self, begin: NDArray[np.intp]) -> Tree:
        """Return the shortest way from some nodes to each.

        Parameters
        ----------
        begin : NDArray[np.intp]
            Array of shape (n,), where it begins.

        Returns
        -------
        Tree
            For each node.
        """
        from scipy.sparse import csr_matrix
        from scipy.sparse.csgraph import dijkstra

        matrix = csr_matrix((self.counted, (self.starts, self.ends)), shape=(self.count, self.count))
        lengths, before, _ = dijkstra(matrix, indices=begin, min_only=True, return_predecessors=True)
        return Tree(lengths=lengths, before=np.where(before >= 0, before, -1))

    def shortest_walked(self, begin: NDArray[np.intp], end: NDArray[np.intp]) -> float:
        """Return the length of the shortest path of which nothing is taken off.

        Parameters
        ----------
        begin : NDArray[np.intp]
            Array of shape (n,), where it begins.
        end : NDArray[np.intp]
            Array of shape (n,), where it may end.

        Returns
        -------
        float
            Infinite where there is none. [mm]
        """
        from scipy.sparse import csr_matrix
        from scipy.sparse.csgraph import dijkstra

        walked = self.lines.walked[self.edges % len(self.lines.nodes)]
        matrix = csr_matrix((walked, (self.starts, self.ends)), shape=(self.count, self.count))
        return float(dijkstra(matrix, indices=begin, min_only=True)[end].min(initial=np.inf))

    def edge(self, start: int, end: int) -> int:
        """Return the edge from one node to another, as a place in ``starts``.

        Parameters
        ----------
        start : int
            A node.
        end : int
            A node that an edge leads to from there.

        Returns
        -------
        int
            Its place.
        """
        low, high = np.searchsorted(self.starts, (start, start + 1))
        return int(low + np.searchsorted(self.ends[low:high], end))

    def way(self, tree: Tree, node: int) -> list[int]:
        """Return the edges that lead to a node, from where the search began.

        Parameters
        ----------
        tree : Tree
            What the search found.
        node : int
            The node.

        Returns
        -------
        list of int
            Places in ``starts``.
        """
        back: list[int] = []
        while (before := int(tree.before[node])) >= 0:
            back.append(self.edge(before, node))
            node = before
        return back[::-1]

    def hops(self, edge: int) -> tuple[Hop, ...]:
        """Return the lines of an edge in the direction it is followed.

        Parameters
        ----------
        edge : int
            Its place in ``starts``.

        Returns
        -------
        tuple of Hop
            None where a net joins its nodes.
        """
        line, backward = self._line(edge)
        kind = int(self.lines.kinds[line])
        if kind == Kind.ONE_NET:
            return ()
        gap = int(self.lines.lines.corners[line, 0])
        found = self.gaps[gap] if kind == Kind.SMALL_GAP else (self._hop(line),)
        return tuple(hop.turned() for hop in reversed(found)) if backward else found

    def walked(self, edge: int) -> float:
        """Return the length of an edge with all that was taken off.

        Parameters
        ----------
        edge : int
            Its place in ``starts``.

        Returns
        -------
        float
            No less than what it counts. [mm]
        """
        return float(self.lines.walked[self._line(edge)[0]])

    def _line(self, edge: int) -> tuple[int, bool]:
        """Return the number of the line of an edge, and whether it is followed backward."""
        number, total = int(self.edges[edge]), len(self.lines.nodes)
        return number % total, number >= total

    def _hop(self, line: int) -> Hop:
        """Return a line."""
        lines, face = self.lines.lines, int(self.lines.faces[line])
        one, other = lines.shapes[line].tolist()
        first, last = lines.corners[line].tolist()
        start, end = lines.starts[line].tolist(), lines.ends[line].tolist()
        return Hop(
            start=(start[0], start[1]),
            end=(end[0], end[1]),
            counted=float(lines.counted[line]),
            shapes=(one, other),
            corners=(first, last),
            face=tuple(Face)[face] if face >= 0 else None,
            over_edge=int(self.lines.kinds[line]) == Kind.OVER_EDGE,
        )

    def with_small_gaps(self, island_nets: tuple[str, ...], gap: float, corners: range) -> LineGraph:
        """Return the graph in which a gap narrower than X beside a floating island counts nothing.

        Parameters
        ----------
        island_nets : tuple of str
            The net of each island, empty for floating ones; islands are the first nodes.
        gap : float
            The width X. [mm]
        corners : range
            The nodes that are no conductors: whatever of them a gap leads round.

        Returns
        -------
        LineGraph
            With an edge more for each such gap, which counts nothing.
        """
        floating = [index for index, net in enumerate(island_nets) if not net]
        if not floating:
            return self
        found = list(self._small_gaps(floating, len(island_nets), gap, corners))
        if not found:
            return self
        none = np.empty((len(found), 0))
        places = np.zeros((len(found), 2))
        numbers = np.arange(len(found))
        added = GraphLines.made(
            Kind.SMALL_GAP,
            -1,
            np.array([(one, other) for one, other, _, _ in found], dtype=np.intp),
            Lines(
                starts=places,
                ends=places,
                counted=none.sum(axis=1),
                shapes=np.full((len(found), 2), -1, dtype=np.intp),
                corners=np.stack([numbers, numbers], axis=1).astype(np.intp),
            ),
            np.array([walked for _, _, walked, _ in found]),
        )
        return LineGraph.of(self.count, GraphLines.of([self.lines, added]), tuple(hops for _, _, _, hops in found))

    def _small_gaps(
        self, floating: list[int], islands: int, gap: float, corners: range
    ) -> Iterator[tuple[int, int, float, tuple[Hop, ...]]]:
        """Yield two islands, how much of the gap between them may count all the same, and its lines."""
        from scipy.sparse import csr_matrix
        from scipy.sparse.csgraph import dijkstra

        onward = (self.starts >= corners.start) & (self.starts < corners.stop)
        reach = gap * (1.0 - ROUNDING)
        for island in floating:
            kept = onward | (self.starts == island)
            entries = self.counted[kept], (self.starts[kept], self.ends[kept])
            matrix = csr_matrix(entries, shape=(self.count, self.count))
            begin = np.array([island])
            lengths, before, _ = dijkstra(matrix, indices=begin, limit=gap, min_only=True, return_predecessors=True)
            tree = Tree(lengths=lengths, before=np.where(before >= 0, before, -1))
            for other in np.flatnonzero((lengths[:islands] > 0.0) & (lengths[:islands] < reach)).tolist():
                if other in floating and other < island:
                    continue
                way = self.way(tree, other)
                walked = sum(self.walked(edge) for edge in way)
                hops = tuple(replace(hop, counted=0.0) for edge in way for hop in self.hops(edge))
                yield island, other, walked if walked >= reach else 0.0, hops
