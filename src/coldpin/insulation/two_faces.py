"""A board of two faces, and what of the graph of its paths holds wherever they go over its edges."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from coldpin.insulation.conductors import ConductingShape, Conductors, conductors_from
from coldpin.insulation.edge_points import DETOUR, FIRST_SPACING_MM, EdgePoints, strewn
from coldpin.insulation.line_graph import GraphLines, Kind
from coldpin.insulation.plane_bounds import ROUNDING, Bounds, Plane
from coldpin.insulation.plane_lines import Lines, graph_of_nets, lines_in
from coldpin.insulation.visibility import obstacles_from, polygons_of, rings_of
from coldpin.records.board import Face


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FacePlane:
    """A face as paths meet it: its conductors, their number among all, and its obstacles."""

    plane: Plane
    numbers: NDArray[np.intp]

    @classmethod
    def of(cls, board: TwoFaces, surface: FaceSurface) -> FacePlane:
        """Return it.

        Parameters
        ----------
        board : TwoFaces
            The board. [mm]
        surface : FaceSurface
            The face. [mm]

        Returns
        -------
        FacePlane
            With the nets at both ends.
        """
        return cls(
            plane=Plane(
                conductors=conductors_from([board.shapes[number] for number in surface.shapes]),
                obstacles=obstacles_from(surface.walked, within=surface.frame),
                from_nets=board.from_nets,
                to_nets=board.to_nets,
                uncounted_gap_mm=board.uncounted_gap_mm,
            ),
            numbers=np.array(surface.shapes, dtype=np.intp),
        )

    def least(self, flat: Conductors, whole: Bounds) -> Bounds:
        """Return the bounds of all conductors as those of this face.

        Parameters
        ----------
        flat : Conductors
            All conductors.
        whole : Bounds
            For their islands.

        Returns
        -------
        Bounds
            For the islands of this face.
        """
        conductors = self.plane.conductors
        nodes = np.zeros(len(conductors.island_nets), dtype=np.intp)
        nodes[conductors.islands] = flat.islands[self.numbers]
        local = np.full(len(flat.shapes), -1, dtype=np.intp)
        local[self.numbers] = np.arange(len(self.numbers))
        pairs = local[whole.pairs]
        here = (pairs >= 0).all(axis=1)
        return Bounds(
            from_source=whole.from_source[nodes],
            from_target=whole.from_target[nodes],
            pairs=pairs[here],
            gaps=whole.gaps[here],
        )

    def numbered(self, lines: Lines) -> Lines:
        """Return lines with their conductors numbered as the board does.

        Parameters
        ----------
        lines : Lines
            Lines of this face.

        Returns
        -------
        Lines
            The same.
        """
        if len(self.numbers) == 0:
            return lines
        return replace(lines, shapes=np.where(lines.shapes >= 0, self.numbers[lines.shapes], -1))

    def with_corners(self, places: NDArray[np.float64]) -> Plane:
        """Return the plane with other corners: points of edges, round which a path bends as it likes.

        Parameters
        ----------
        places : NDArray[np.float64]
            Array of shape (n, 2), the points. [mm]

        Returns
        -------
        Plane
            With the same conductors, and the same walls.
        """
        obstacles = replace(
            self.plane.obstacles,
            corners=places,
            before=places,
            after=places,
            areas=np.full(len(places), -1, dtype=np.intp),
        )
        return replace(self.plane, obstacles=obstacles)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """What of the graph of both faces holds whatever points are strewn: conductors, corners, and the lines between.

    ``corners``: for each face the corners that a path within the bound can reach; their nodes follow those of the
    conductors, face by face. ``ahead`` and ``behind``: arrays of shape (count,), lengths that no path from one end to
    a node, or from there to the other end, undercuts. [mm]
    """

    board: TwoFaces
    flat: Conductors
    faces: tuple[FacePlane, FacePlane]
    least: Bounds
    bound: float
    lines: GraphLines
    corners: tuple[NDArray[np.intp], NDArray[np.intp]]
    first_corner: int
    count: int
    sources: NDArray[np.intp]
    targets: NDArray[np.intp]
    ahead: NDArray[np.float64]
    behind: NDArray[np.float64]

    @classmethod
    def of(cls, board: TwoFaces, whole: Plane, faces: tuple[FacePlane, FacePlane], bound: float) -> Ground:
        """Build it for paths within a bound.

        Parameters
        ----------
        board : TwoFaces
            The board. [mm]
        whole : Plane
            All conductors as if on one face without walls.
        faces : tuple of FacePlane
            The two faces.
        bound : float
            The bound. [mm]

        Returns
        -------
        Ground
            With all lines that such a path can take.
        """
        flat = whole.conductors
        slack = (bound + DETOUR * FIRST_SPACING_MM + (board.uncounted_gap_mm or 0.0)) * (1.0 + ROUNDING) + ROUNDING
        least = Bounds.of(whole, slack)
        nets = graph_of_nets(flat, board.from_nets, board.to_nets)
        first_corner, islands = len(nets.edges), len(flat.island_nets)
        joined = np.array(
            [(node, other) for node in range(islands, first_corner) for other, _, _ in nets.edges[node]], dtype=np.intp
        ).reshape(-1, 2)
        parts = [GraphLines.made(Kind.ONE_NET, -1, joined, no_lines(len(joined)), np.zeros(len(joined)))]
        ahead = [least.from_source, np.zeros(first_corner - islands)]
        behind = [least.from_target, np.zeros(first_corner - islands)]
        corners, count = [], first_corner
        for number, face in enumerate(faces):
            found = lines_in(face.plane, face.least(flat, least), slack, beside=(flat, least))
            nodes = found.nodes(count, flat.islands[face.numbers])
            parts.append(GraphLines.on(number, nodes, face.numbered(found.lines)))
            corners.append(found.active)
            ahead.append(found.near.from_source[found.active])
            behind.append(found.near.from_target[found.active])
            count += len(found.active)
        return cls(
            board=board,
            flat=flat,
            faces=faces,
            least=least,
            bound=bound,
            lines=GraphLines.of(parts),
            corners=(corners[0], corners[1]),
            first_corner=first_corner,
            count=count,
            sources=np.array(nets.sources, dtype=np.intp),
            targets=np.array(nets.targets, dtype=np.intp),
            ahead=np.concatenate(ahead),
            behind=np.concatenate(behind),
        )

    def strewn(self) -> EdgePoints:
        """Return the first points along the edges.

        Returns
        -------
        EdgePoints
            Where a path within the bound may go over.
        """
        return strewn(
            self.board.edges,
            self.flat,
            self.least,
            thickness_mm=self.board.thickness_mm,
            longest=self.bound,
            uncounted_gap_mm=self.board.uncounted_gap_mm or 0.0,
        )


def no_lines(count: int) -> Lines:
    """Return lines of no length and no place, such as join the copper of a net.

    Parameters
    ----------
    count : int
        How many.

    Returns
    -------
    Lines
        With neither a conductor nor a corner at their ends.
    """
    return Lines(
        starts=np.zeros((count, 2)),
        ends=np.zeros((count, 2)),
        counted=np.zeros(count),
        shapes=np.full((count, 2), -1, dtype=np.intp),
        corners=np.full((count, 2), -1, dtype=np.intp),
    )


def straight(starts: NDArray[np.float64], ends: NDArray[np.float64]) -> Lines:
    """Return straight lines between corners.

    Parameters
    ----------
    starts : NDArray[np.float64]
        Array of shape (n, 2). [mm]
    ends : NDArray[np.float64]
        Array of shape (n, 2). [mm]

    Returns
    -------
    Lines
        Each as long as it is.
    """
    return replace(no_lines(len(starts)), starts=starts, ends=ends, counted=np.hypot(*(ends - starts).T))
