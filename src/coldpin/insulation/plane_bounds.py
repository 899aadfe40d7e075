"""Lengths that no path of a plane can undercut: what keeps the search for its straight lines small."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.insulation.conductors import Conductors
from coldpin.insulation.visibility import Obstacles

ROUNDING = 1e-9
"""Ours: lengths within this part of each other are one length. [1]"""

TOUCH_MM = 1e-6
"""Ours: two places nearer than this touch: no direction is made of what rounding left between them. [mm]"""


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
