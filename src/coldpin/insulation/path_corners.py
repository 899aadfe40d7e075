"""The corners of a drawing that a path hangs on, and its length when they move.

A path found once is pinned to what was drawn: to corners of slots and of the rim, and to the rims of conductors. When
every corner of the drawing is moved a little, the same sequence of straight lines is measured again, for a thousand
drawings in one go; where it ends on a conductor, it ends at whatever is nearest there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.surfaces import conducts
from coldpin.records.board import BoardFeature, BoardModel, Role
from coldpin.records.distance import IsolationPath, Leg, PathLeg

PINNED_MM = 1e-3
"""Ours: a place of a path this near to a corner or a rim of the drawing hangs on it. [mm]"""

_STRAIGHT_MM = 1e-6
"""Ours: legs whose joint lies this near to the line through both are one line. [mm]"""

Moved = Mapping[tuple[str, int], NDArray[np.float64]]
"""For each shape by name, and ring (0 the outline, 1 the first opening, …): array of shape (draws, n, 2). [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """Where a line of a path hangs: on a ring of a shape, ``part`` of the way from its corner ``corner`` to the next.

    ``slides`` is true at a conductor, where the line ends wherever that is nearest.
    """

    feature: str
    ring: int
    corner: int
    part: float
    slides: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PinnedPath:
    """The straight lines of a path that count, each by its two pins.

    ``climbs`` is how far each leads through the thickness of the board, 0 where it stays on a face. [mm]
    """

    lines: tuple[tuple[Pin, Pin], ...]
    climbs: tuple[float, ...]

    def shapes(self) -> tuple[str, ...]:
        """Return the shapes it hangs on.

        Returns
        -------
        tuple of str
            Their names, each once.
        """
        return tuple(dict.fromkeys(pin.feature for line in self.lines for pin in line))


def pin_path(board: BoardModel, path: IsolationPath) -> PinnedPath:
    """Return what a path hangs on.

    Parameters
    ----------
    board : BoardModel
        The drawing in which it was found, in plan. [mm]
    path : IsolationPath
        The path.

    Returns
    -------
    PinnedPath
        Its lines; those that count nothing are left out.

    Raises
    ------
    InputError
        A corner of the path lies on nothing that was drawn: it is of another drawing.
    """
    lines = []
    climbs = []
    for start, end, at_conductors, climb in _lines(path.legs):
        first, last = at_conductors
        lines.append((pin_place(board, start, conductor=first), pin_place(board, end, conductor=last)))
        climbs.append(climb)
    return PinnedPath(lines=tuple(lines), climbs=tuple(climbs))


def remeasure(pinned: PinnedPath, moved: Moved) -> NDArray[np.float64]:
    """Return the length of a path for each of many drawings in which every corner has moved.

    Parameters
    ----------
    pinned : PinnedPath
        The path.
    moved : mapping
        For each shape that it hangs on, and ring: array of shape (draws, n, 2). [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (draws,). [mm]

    Raises
    ------
    InputError
        A ring that the path hangs on is not given.
    """
    lines = remeasure_lines(pinned, moved)
    return np.sum([line.min(axis=0) for line in lines], axis=0) if lines else np.zeros(1)


def remeasure_lines(pinned: PinnedPath, moved: Moved) -> tuple[NDArray[np.float64], ...]:
    """Return how long each straight line of a path may be taken, from every corner near its end to every rim there.

    Parameters
    ----------
    pinned : PinnedPath
        The path.
    moved : mapping
        For each shape that it hangs on, and ring: array of shape (draws, n, 2). [mm]

    Returns
    -------
    tuple of NDArray[np.float64]
        For each line an array of shape (ways, draws); the line is the shortest of its ways. [mm]

    Raises
    ------
    InputError
        A ring that the path hangs on is not given.
    """
    for pin in (pin for line in pinned.lines for pin in line):
        if (pin.feature, pin.ring) not in moved:
            raise InputError(f"ring {pin.ring} of shape {pin.feature!r} has not been moved; the path hangs on it")
    return tuple(
        np.hypot(_between(one, other, moved), climb)
        for (one, other), climb in zip(pinned.lines, pinned.climbs, strict=True)
    )


def rings_drawn(feature: BoardFeature) -> tuple[NDArray[np.float64], ...]:
    """Return the rings of a shape in the order in which pins count them.

    Parameters
    ----------
    feature : BoardFeature
        The shape.

    Returns
    -------
    tuple of NDArray[np.float64]
        Its outline, then its openings. [mm]
    """
    return (feature.outline, *feature.openings)


def _lines(
    legs: tuple[PathLeg, ...],
) -> list[tuple[tuple[float, float], tuple[float, float], tuple[bool, bool], float]]:
    """Return the straight lines that count, whether each end is at a conductor, and what each climbs beside."""
    lines: list[tuple[tuple[float, float], tuple[float, float], tuple[bool, bool], float]] = []
    for index, leg in enumerate(legs):
        if leg.leg is Leg.CONDUCTOR or leg.counted_mm <= 0.0:
            continue
        begins = index == 0 or legs[index - 1].leg is Leg.CONDUCTOR
        ends = index == len(legs) - 1 or legs[index + 1].leg is Leg.CONDUCTOR
        over_edge = leg.leg is Leg.EDGE
        goes_on = lines and not (begins or over_edge or legs[index - 1].leg is Leg.EDGE) and lines[-1][1] == leg.start
        if goes_on and _straight(lines[-1][0], leg.start, leg.end):
            lines[-1] = (lines[-1][0], leg.end, (lines[-1][2][0], ends), 0.0)
        else:
            climb = math.sqrt(max(0.0, leg.counted_mm**2 - math.dist(leg.start, leg.end) ** 2)) if over_edge else 0.0
            lines.append((leg.start, leg.end, (begins, ends), climb))
    return lines


def _straight(start: tuple[float, float], middle: tuple[float, float], end: tuple[float, float]) -> bool:
    """Say whether a place lies on the line between two."""
    along = np.subtract(end, start)
    off = np.subtract(middle, start)
    length = float(np.hypot(*along))
    return length > 0.0 and abs(float(along[0] * off[1] - along[1] * off[0])) <= _STRAIGHT_MM * length


def pin_place(board: BoardModel, place: tuple[float, float], *, conductor: bool) -> Pin:
    """Return the pin of a place: the nearest corner, else the nearest rim, of what conducts or of what does not.

    Parameters
    ----------
    board : BoardModel
        The drawing. [mm]
    place : tuple of float
        Where a path ends or bends. [mm]
    conductor : bool
        Whether it hangs on what conducts.

    Returns
    -------
    Pin
        Which slides along a conductor.

    Raises
    ------
    InputError
        Nothing was drawn there.
    """
    point = np.array(place)
    best: tuple[float, Pin] | None = None
    for feature in board.features:
        if conducts(feature) != conductor or feature.role is Role.COMPONENT:
            continue
        for ring, corners in enumerate(rings_drawn(feature)):
            along = np.roll(corners, -1, axis=0) - corners
            square = np.einsum("ij,ij->i", along, along)
            part = np.einsum("ij,ij->i", point - corners, along) / np.where(square > 0.0, square, 1.0)
            part = np.clip(part, 0.0, 1.0)
            off = np.hypot(*(corners + part[:, None] * along - point).T)
            corner = int(np.argmin(off))
            if best is None or off[corner] < best[0]:
                where, after = (
                    (corner, float(part[corner])) if part[corner] < 1.0 else ((corner + 1) % len(corners), 0.0)
                )
                best = (
                    float(off[corner]),
                    Pin(feature=feature.name, ring=ring, corner=where, part=after, slides=conductor),
                )
    if best is None or best[0] > PINNED_MM:
        raise InputError(
            f"the path passes ({place[0]:.3f}, {place[1]:.3f}) mm, where nothing is drawn: it is of another drawing"
        )
    return best[1]


def _between(one: Pin, other: Pin, moved: Moved) -> NDArray[np.float64]:
    """Return the ways between two pins, of which the line is the shortest, for each drawing."""
    if not one.slides and not other.slides:
        gap = place_of(one, moved) - place_of(other, moved)
        return np.hypot(gap[:, 0], gap[:, 1])[None]
    if one.slides and other.slides:
        first, second = _rims(one, moved), _rims(other, moved)
        return np.concatenate([_tried(_ends(first), second), _tried(_ends(second), first)])
    held, sliding = (one, other) if other.slides else (other, one)
    return _tried([place_of(held, moved)], _rims(sliding, moved))


def _tried(
    points: list[NDArray[np.float64]], rims: list[tuple[NDArray[np.float64], NDArray[np.float64]]]
) -> NDArray[np.float64]:
    """Return how far each point is from each rim, at once: array of shape (points x rims, draws). [mm]"""
    begins, ends = (np.stack(corners) for corners in zip(*rims, strict=True))
    return to_rim(np.stack(points)[:, None], (begins, ends)).reshape(len(points) * len(rims), -1)


def place_of(pin: Pin, moved: Moved) -> NDArray[np.float64]:
    """Return where a pin is in each drawing.

    Parameters
    ----------
    pin : Pin
        The pin.
    moved : mapping
        For each shape by name, and ring: array of shape (draws, n, 2). [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (draws, 2). [mm]
    """
    corners = moved[pin.feature, pin.ring]
    here, after = corners[:, pin.corner], corners[:, (pin.corner + 1) % corners.shape[1]]
    return np.asarray(here + pin.part * (after - here))


def _rims(pin: Pin, moved: Moved) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Return the rims on which a line that slides may end: its own, and its neighbours."""
    corners = moved[pin.feature, pin.ring]
    count = corners.shape[1]
    numbers = dict.fromkeys((pin.corner + step) % count for step in (-1, 0, 1))
    return [(corners[:, number], corners[:, (number + 1) % count]) for number in numbers]


def _ends(
    rims: list[tuple[NDArray[np.float64], NDArray[np.float64]]],
) -> list[NDArray[np.float64]]:
    """Return the corners between which rims that follow each other run, each once."""
    return [rims[0][0], *(end for _, end in rims)]


def to_rim(point: NDArray[np.float64], rim: tuple[NDArray[np.float64], NDArray[np.float64]]) -> NDArray[np.float64]:
    """Return how far a point is from a rim, for each drawing.

    Parameters
    ----------
    point : NDArray[np.float64]
        Array of shape (draws, 2), or several such in one, (…, draws, 2). [mm]
    rim : tuple of NDArray[np.float64]
        Where the rim begins and ends, each of shape (draws, 2), or several such in one. [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (draws,), or (…, draws). [mm]
    """
    # the two coordinates apart: along an axis of two numpy works one by one
    (x, y), (along_x, along_y) = _apart(point - rim[0]), _apart(rim[1] - rim[0])
    square = along_x * along_x + along_y * along_y
    part = np.clip((x * along_x + y * along_y) / np.where(square > 0.0, square, 1.0), 0.0, 1.0)
    return np.asarray(np.hypot(part * along_x - x, part * along_y - y))


def _apart(points: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return np.ascontiguousarray(points[..., 0]), np.ascontiguousarray(points[..., 1])
