"""Points along the edges of a board of two faces: where a path may go over, and what that can hide.

Each point stands for a piece of the edge. A path that goes over anywhere in the piece is no shorter than one over the
point, less the half piece it would walk to the point on each face and what the wall between two points gains by that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.conductors import Conductors
from coldpin.insulation.plane_bounds import Bounds

FIRST_SPACING_MM = 1.0
"""Ours: how far apart the first points along an edge stand at most. [mm]"""

_FEWEST = 4
"""Ours: no edge has fewer points than this."""

_THINNEST_MM = 1.0 / 64.0
"""Ours: no points are strewn closer than this, however thin a board is said to be. [mm]"""

DETOUR = 4.0
"""Ours: a path is followed by points on a way longer than itself by up to half a piece for each end of a line, and as
much again for what later halves ask for; lines are kept for paths longer by so many pieces. [1]"""

_ENTRIES_AT_ONCE = 2_000_000
"""Ours: how many pairs of points are measured in one step; it bounds memory."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgePoints:
    """Points: which edge, how far along it, where, and how long a piece of it each stands for. [mm]

    ``ahead`` and ``behind``: arrays of shape (2, n), for each face lengths that no path undercuts that comes from one
    end, or leads to the other, from any place of the piece; ``spare``: array of shape (n,), how much of a path over
    each may count nothing because it is a gap narrower than X; ``limits``: array of shape (n,), how long a path over
    each may be to be looked at. [mm]
    """

    edge: NDArray[np.intp]
    along: NDArray[np.float64]
    places: NDArray[np.float64]
    spacing: NDArray[np.float64]
    ahead: NDArray[np.float64]
    behind: NDArray[np.float64]
    spare: NDArray[np.float64]
    limits: NDArray[np.float64]

    @property
    def widest(self) -> float:
        """The longest piece. [mm]"""
        return float(self.spacing.max(initial=0.0))

    def some(self, kept: NDArray[np.intp]) -> EdgePoints:
        """Return some of them.

        Parameters
        ----------
        kept : NDArray[np.intp]
            Array of shape (n,), their numbers.

        Returns
        -------
        EdgePoints
            In that order.
        """
        return replace(
            self,
            edge=self.edge[kept],
            along=self.along[kept],
            places=self.places[kept],
            spacing=self.spacing[kept],
            ahead=self.ahead[:, kept],
            behind=self.behind[:, kept],
            spare=self.spare[kept],
            limits=self.limits[kept],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crossings:
    """Ways over the edges: the point on one face, that on the other, how long, and how much of it surely counts. [mm]

    ``upper``, ``lower``, ``walked`` and ``counted``: arrays of shape (p,).
    """

    upper: NDArray[np.intp]
    lower: NDArray[np.intp]
    walked: NDArray[np.float64]
    counted: NDArray[np.float64]


def strewn(
    edges: Sequence[shapely.LinearRing],
    flat: Conductors,
    least: Bounds,
    *,
    thickness_mm: float,
    longest: float,
    uncounted_gap_mm: float,
) -> EdgePoints:
    """Return the first points along the edges, where a path within a bound may pass.

    Parameters
    ----------
    edges : sequence of LinearRing
        The edges. [mm]
    flat : Conductors
        The conductors of both faces.
    least : Bounds
        For their islands.
    thickness_mm : float
        How far the faces are apart. [mm]
    longest : float
        The bound on a path. [mm]
    uncounted_gap_mm : float
        The width under which a gap beside a floating part counts nothing; 0 where every gap counts. [mm]

    Returns
    -------
    EdgePoints
        No further apart than half the thickness, so that going over again and again hides no way along the edge.
    """
    wanted = max(_THINNEST_MM, min(FIRST_SPACING_MM, 0.5 * thickness_mm))
    pieces = np.array([max(_FEWEST, math.ceil(edge.length / wanted)) for edge in edges], dtype=np.intp)
    spacing = np.array([edge.length for edge in edges]) / pieces
    number = np.repeat(np.arange(len(edges)), pieces)
    index = np.arange(len(number)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    along, piece = (index + 0.5) * spacing[number], spacing[number]
    places = _places(edges, number, along)
    count = len(number)
    source, target, floating = (np.full(count, math.inf) for _ in range(3))
    nets = np.array([not flat.island_nets[island] for island in flat.islands], dtype=bool)
    here = shapely.points(places)
    for shape, area in enumerate(flat.areas()):
        gaps = shapely.distance(here, area)
        source = np.minimum(source, gaps + least.from_source[flat.islands[shape]])
        target = np.minimum(target, gaps + least.from_target[flat.islands[shape]])
        if nets[shape]:
            floating = np.minimum(floating, gaps)
    spare = np.where(floating - piece <= uncounted_gap_mm, uncounted_gap_mm, 0.0)
    points = EdgePoints(
        edge=number,
        along=along,
        places=places,
        spacing=piece,
        ahead=np.stack([source, source]) - 0.5 * piece,
        behind=np.stack([target, target]) - 0.5 * piece,
        spare=spare,
        limits=np.full(count, longest),
    )
    return points.some(np.flatnonzero(source + target - piece - spare <= longest))


def halved(edges: Sequence[shapely.LinearRing], points: EdgePoints) -> EdgePoints:
    """Return points for each half of the pieces.

    Parameters
    ----------
    edges : sequence of LinearRing
        The edges. [mm]
    points : EdgePoints
        The points; what is known of a piece holds for its halves.

    Returns
    -------
    EdgePoints
        Twice as many.
    """
    twice = points.some(np.repeat(np.arange(len(points.edge)), 2))
    side = 0.5 * np.tile((-0.5, 0.5), len(points.edge))
    along = twice.along + side * twice.spacing
    return replace(twice, along=along, spacing=0.5 * twice.spacing, places=_places(edges, twice.edge, along))


def _places(
    edges: Sequence[shapely.LinearRing], number: NDArray[np.intp], along: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return where points lie."""
    rings = np.empty(len(edges), dtype=object)
    rings[:] = list(edges)
    if len(number) == 0:
        return np.empty((0, 2))
    return shapely.get_coordinates(shapely.line_interpolate_point(rings[number], along))


def crossings(
    edges: Sequence[shapely.LinearRing], points: EdgePoints, *, thickness_mm: float, hugging: bool
) -> Crossings:
    """Return the ways over the edges that a path within the limits can take.

    Parameters
    ----------
    edges : sequence of LinearRing
        The edges. [mm]
    points : EdgePoints
        The points.
    thickness_mm : float
        How far the faces are apart. [mm]
    hugging : bool
        Whether a path follows the wall, or may cut through air.

    Returns
    -------
    Crossings
        Between points of one edge.
    """
    uppers: list[NDArray[np.intp]] = [np.empty(0, dtype=np.intp)]
    lowers: list[NDArray[np.intp]] = [np.empty(0, dtype=np.intp)]
    walks, counts = [np.empty(0)], [np.empty(0)]
    half = 0.5 * points.spacing
    for number in np.unique(points.edge).tolist():
        on = np.flatnonzero(points.edge == number)
        detour = DETOUR * points.widest
        step = max(1, _ENTRIES_AT_ONCE // len(on))
        for rows in (on[first : first + step] for first in range(0, len(on), step)):
            if hugging:
                apart = np.abs(points.along[rows, None] - points.along[None, on])
                apart = np.minimum(apart, edges[number].length - apart)
            else:
                apart = np.hypot(*(points.places[rows, None] - points.places[None, on]).transpose(2, 0, 1))
            hidden = half[rows, None] + half[None, on]
            counted = np.maximum(0.0, np.hypot(np.maximum(0.0, apart - hidden), thickness_mm) - hidden)
            over = np.minimum(
                points.ahead[0, rows, None] + points.behind[1, on][None],
                points.behind[0, rows, None] + points.ahead[1, on][None],
            )
            spare = np.maximum(points.spare[rows, None], points.spare[None, on])
            limit = np.minimum(points.limits[rows, None], points.limits[None, on])
            row, column = np.nonzero(over + counted <= limit + detour + spare)
            uppers.append(rows[row])
            lowers.append(on[column])
            walks.append(np.hypot(apart[row, column], thickness_mm))
            counts.append(counted[row, column])
    return Crossings(
        upper=np.concatenate(uppers),
        lower=np.concatenate(lowers),
        walked=np.concatenate(walks),
        counted=np.concatenate(counts),
    )
