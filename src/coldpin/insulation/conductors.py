"""Conductors of a drawing as a path meets them: islands that cost nothing to cross, joined where one net joins them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.visibility import TURN, lines_between, polygons_of, rings_of, turn

_ONE_POINT_MM = 1e-9
"""Ours: corners nearer to each other than this are one. [mm]"""

_PAIRS_AT_ONCE = 2_000_000
"""Ours: how many points times rims are measured in one step; it bounds memory."""

_FEW_PAIRS = 20_000_000
"""Ours: up to so many points times rims, measuring each is faster than looking up which are near."""


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
    of shape (k,), the rim that follows. [mm]
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
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feet:
    """Where points come nearest to rims: which point, which rim, where on it, how far. Arrays of shape (n,), (n, 2)."""

    points: NDArray[np.intp]
    rims: NDArray[np.intp]
    places: NDArray[np.float64]
    lengths: NDArray[np.float64]

    def only(self, kept: NDArray[np.bool_]) -> Feet:
        """Return some of them.

        Parameters
        ----------
        kept : NDArray[np.bool_]
            Array of shape (n,).

        Returns
        -------
        Feet
            Those.
        """
        return Feet(
            points=self.points[kept], rims=self.rims[kept], places=self.places[kept], lengths=self.lengths[kept]
        )


def feet(conductors: Conductors, points: NDArray[np.float64], reach: NDArray[np.float64]) -> Feet:
    """Return every place where a straight line from a point to a conductor is shorter than its neighbours are.

    A tight path ends on a conductor at such a place: at the foot of a perpendicular, or at a corner that stands out
    toward the point. Where one is hidden the next may not be, so all of them are given.

    Parameters
    ----------
    conductors : Conductors
        The conductors.
    points : NDArray[np.float64]
        Array of shape (n, 2), none inside a conductor. [mm]
    reach : NDArray[np.float64]
        Array of shape (n,), how far from each point is looked. [mm]

    Returns
    -------
    Feet
        All of them.
    """
    count, rims = len(points), len(conductors.rim_starts)
    found: list[Feet] = []
    if count * rims > _FEW_PAIRS:
        lines = lines_between(conductors.rim_starts, conductors.rim_ends)
        longest = float(np.max(reach))
        far = reach if np.isfinite(longest) else np.full(count, _diagonal(conductors, points))
        which, rim = shapely.STRtree(lines).query(shapely.points(points), predicate="dwithin", distance=far)
        for first in range(0, len(which), _PAIRS_AT_ONCE):
            part = slice(first, first + _PAIRS_AT_ONCE)
            found.append(_feet(conductors, points, reach, which[part], rim[part]))
    else:
        step = max(1, _PAIRS_AT_ONCE // max(1, rims))
        every = np.arange(rims)
        for first in range(0, count, step):
            some = np.arange(first, min(first + step, count))
            found.append(_feet(conductors, points, reach, np.repeat(some, rims), np.tile(every, len(some))))
    if not found:
        none = np.empty(0, dtype=np.intp)
        return Feet(points=none, rims=none, places=np.empty((0, 2)), lengths=np.empty(0))
    return Feet(
        points=np.concatenate([one.points for one in found]),
        rims=np.concatenate([one.rims for one in found]),
        places=np.concatenate([one.places for one in found]),
        lengths=np.concatenate([one.lengths for one in found]),
    )


def _feet(
    conductors: Conductors,
    points: NDArray[np.float64],
    reach: NDArray[np.float64],
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
    near = lengths <= reach[which]
    return Feet(points=which[near], rims=rim[near], places=places[near], lengths=lengths[near])


def _diagonal(conductors: Conductors, points: NDArray[np.float64]) -> float:
    """Return a length that nothing in the drawing exceeds."""
    everything = np.concatenate([conductors.rim_starts, points])
    return float(np.hypot(*np.ptp(everything, axis=0))) + 1.0


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
