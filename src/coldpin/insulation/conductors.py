"""Conductors of a drawing as a path meets them: islands that cost nothing to cross, joined where one net joins them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.visibility import TURN, polygons_of, rings_of, turn

_ONE_POINT_MM = 1e-9
"""Ours: corners nearer to each other than this are one. [mm]"""

_PAIRS_AT_ONCE = 2_000_000
"""Ours: how many points times rims are measured in one step; it bounds memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductingShape:
    """One shape that conducts: ``joined`` is the net that joins it to others, empty for a floating part."""

    name: str
    area: shapely.Polygon
    joined: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Conductors:
    """All conductors of a drawing.

    ``islands``: array of shape (s,), the island of each shape; shapes of one net that touch, and each floating part,
    are an island. ``island_nets`` has the net of each island, empty for floating ones. ``tips``: array of shape
    (t, 2), the corners that stand out; ``tip_shapes``: array of shape (t,). ``rim_starts`` and ``rim_ends``: arrays of
    shape (k, 2), the rims with the conductor on their left; ``rim_shapes``: array of shape (k,); ``rim_next``: array
    of shape (k,), the rim that follows. Tips and rims come shape by shape. ``tree`` finds shapes by place. [mm]
    """

    shapes: tuple[ConductingShape, ...]
    islands: NDArray[np.intp]
    island_nets: tuple[str, ...]
    tips: NDArray[np.float64]
    tip_shapes: NDArray[np.intp]
    rim_starts: NDArray[np.float64]
    rim_ends: NDArray[np.float64]
    rim_shapes: NDArray[np.intp]
    rim_next: NDArray[np.intp]
    tree: shapely.STRtree

    def areas(self) -> NDArray[np.object_]:
        """Return the areas of the shapes.

        Returns
        -------
        NDArray[np.object_]
            Array of shape (s,) of polygons. [mm]
        """
        areas = np.empty(len(self.shapes), dtype=object)
        areas[:] = [shape.area for shape in self.shapes]
        return areas

    def islands_of(self, nets: Sequence[str]) -> NDArray[np.intp]:
        """Return the islands of some nets.

        Parameters
        ----------
        nets : sequence of str
            Names of nets.

        Returns
        -------
        NDArray[np.intp]
            Their numbers.
        """
        return np.array([index for index, net in enumerate(self.island_nets) if net and net in nets], dtype=np.intp)


def conductors_from(shapes: Sequence[ConductingShape]) -> Conductors:
    """Return the conductors that shapes make.

    Parameters
    ----------
    shapes : sequence of ConductingShape
        In the order of the drawing.

    Returns
    -------
    Conductors
        With their islands, tips and rims.
    """
    starts: list[NDArray[np.float64]] = []
    ends: list[NDArray[np.float64]] = []
    owners: list[NDArray[np.intp]] = []
    following: list[NDArray[np.intp]] = []
    tips: list[NDArray[np.float64]] = []
    tip_owners: list[NDArray[np.intp]] = []
    rims = 0
    for index, shape in enumerate(shapes):
        for polygon in polygons_of(shapely.remove_repeated_points(shape.area, _ONE_POINT_MM)):
            for ring in rings_of(polygon):
                corners = shapely.get_coordinates(ring)[:-1]
                count = len(corners)
                after = np.roll(corners, -1, axis=0)
                starts.append(corners)
                ends.append(after)
                owners.append(np.full(count, index, dtype=np.intp))
                following.append(rims + np.roll(np.arange(count), -1))
                out = turn(np.roll(corners, 1, axis=0), corners, after) > TURN
                tips.append(corners[out])
                tip_owners.append(np.full(int(out.sum()), index, dtype=np.intp))
                rims += count
    islands = _islands(shapes)
    nets = [""] * (int(islands.max()) + 1 if len(islands) else 0)
    for island, shape in zip(islands, shapes, strict=True):
        nets[island] = shape.joined
    nothing = np.empty((0, 2))
    none = np.empty(0, dtype=np.intp)
    return Conductors(
        shapes=tuple(shapes),
        islands=islands,
        island_nets=tuple(nets),
        tips=np.concatenate([nothing, *tips]),
        tip_shapes=np.concatenate([none, *tip_owners]),
        rim_starts=np.concatenate([nothing, *starts]),
        rim_ends=np.concatenate([nothing, *ends]),
        rim_shapes=np.concatenate([none, *owners]),
        rim_next=np.concatenate([none, *following]),
        tree=shapely.STRtree([shape.area for shape in shapes]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feet:
    """Where points come nearest to rims: which point, which rim, where on it, how far. Arrays of shape (n,), (n, 2)."""

    points: NDArray[np.intp]
    rims: NDArray[np.intp]
    places: NDArray[np.float64]
    lengths: NDArray[np.float64]


def feet(
    conductors: Conductors, points: NDArray[np.float64], which: NDArray[np.intp], shapes: NDArray[np.intp]
) -> Feet:
    """Return every place where a straight line from a point to a conductor is shorter than its neighbours are.

    A tight path ends on a conductor at such a place: at the foot of a perpendicular, or at a corner that stands out
    toward the point. Where one is hidden the next may not be, so all of them are given.

    Parameters
    ----------
    conductors : Conductors
        The conductors.
    points : NDArray[np.float64]
        Array of shape (n, 2), none inside a conductor. [mm]
    which : NDArray[np.intp]
        Array of shape (p,), a point of each pair.
    shapes : NDArray[np.intp]
        Array of shape (p,), a shape of each pair.

    Returns
    -------
    Feet
        All of them.
    """
    first = np.searchsorted(conductors.rim_shapes, np.arange(len(conductors.shapes) + 1))
    found = [_NO_FEET]
    rims = np.diff(first)[shapes]
    last = np.cumsum(rims)
    begin = 0
    while begin < len(which):
        done = last[begin - 1] if begin else 0
        end = max(begin + 1, int(np.searchsorted(last, done + _PAIRS_AT_ONCE)))
        some = slice(begin, end)
        counts = rims[some]
        within = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)
        rim = np.repeat(first[shapes[some]], counts) + within
        found.append(_feet(conductors, points, np.repeat(which[some], counts), rim))
        begin = end
    return Feet(
        points=np.concatenate([one.points for one in found]),
        rims=np.concatenate([one.rims for one in found]),
        places=np.concatenate([one.places for one in found]),
        lengths=np.concatenate([one.lengths for one in found]),
    )


_NO_FEET = Feet(
    points=np.empty(0, dtype=np.intp),
    rims=np.empty(0, dtype=np.intp),
    places=np.empty((0, 2)),
    lengths=np.empty(0),
)


def _feet(
    conductors: Conductors,
    points: NDArray[np.float64],
    which: NDArray[np.intp],
    rim: NDArray[np.intp],
) -> Feet:
    """Return which pairs of a point and a rim are such a place."""
    here = points[which]
    start, end = conductors.rim_starts[rim], conductors.rim_ends[rim]
    along = end - start
    square = np.einsum("ij,ij->i", along, along)
    part = np.einsum("ij,ij->i", here - start, along) / square
    inside = (part > 0.0) & (part < 1.0)
    left = along[:, 0] * (here[:, 1] - start[:, 1]) - along[:, 1] * (here[:, 0] - start[:, 0])
    foot = inside & (left <= TURN * square)
    corner = np.flatnonzero(part >= 1.0)
    after = conductors.rim_next[rim[corner]]
    onward = conductors.rim_ends[after] - conductors.rim_starts[after]
    away = np.einsum("ij,ij->i", here[corner] - conductors.rim_starts[after], onward) <= 0.0
    kept = foot
    kept[corner[away]] = True
    which, rim, here, part = which[kept], rim[kept], here[kept], np.minimum(part[kept], 1.0)
    places = np.where((part >= 1.0)[:, None], end[kept], start[kept] + part[:, None] * along[kept])
    lengths = np.hypot(*(places - here).T)
    return Feet(points=which, rims=rim, places=places, lengths=lengths)


def _islands(shapes: Sequence[ConductingShape]) -> NDArray[np.intp]:
    """Return the island of each shape, numbered in the order of the drawing."""
    parents = list(range(len(shapes)))

    def root(index: int) -> int:
        while parents[index] != index:
            parents[index] = parents[parents[index]]
            index = parents[index]
        return index

    areas = [shape.area for shape in shapes]
    for one, other in shapely.STRtree(areas).query(areas, predicate="intersects").T if shapes else ():
        if shapes[one].joined and shapes[one].joined == shapes[other].joined:
            low, high = sorted((root(int(one)), root(int(other))))
            parents[high] = low
    numbers: dict[int, int] = {}
    return np.array([numbers.setdefault(root(index), len(numbers)) for index in range(len(shapes))], dtype=np.intp)
