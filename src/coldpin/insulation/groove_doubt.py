"""Which ways exist only while something is narrower than X: a groove that is crossed, a gap beside a floating part."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.path_corners import Moved, Pin, PinnedPath, pin_path, pin_place, place_of, remeasure, to_rim
from coldpin.records.board import BoardModel
from coldpin.records.distance import IsolationPath, Leg

Array = NDArray[np.float64]
Wall = tuple[Array, Array]
"""Where a rim begins and ends, each an array of shape (draws, 2). [mm]"""

PARALLEL = math.sin(math.radians(20.0))
"""Ours: walls under less than 20° are those of a groove, which is as wide as they are apart; in a wider recess a link
crosses, which is as long as it is. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrow:
    """Something that a way needs to be narrower than X: the two walls of a groove, or a gap that counts nothing.

    ``walls`` are pins on both sides of a groove; ``gap`` is the way across a gap, from conductor to conductor.
    """

    what: str
    walls: tuple[Pin, Pin] | None = None
    gap: PinnedPath | None = None

    def pins(self) -> tuple[Pin, ...]:
        """Return what it hangs on.

        Returns
        -------
        tuple of Pin
            Two for each line.
        """
        lines = [self.walls] if self.walls is not None else []
        lines += self.gap.lines if self.gap is not None else ()
        return tuple(pin for line in lines for pin in line)

    def width(self, moved: Moved) -> Array:
        """Return how wide it is in each drawing.

        Parameters
        ----------
        moved : mapping
            For each shape by name, and ring: array of shape (draws, n, 2). [mm]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (draws,). [mm]
        """
        if self.gap is not None:
            return remeasure(self.gap, moved)
        assert self.walls is not None
        one, other = self.walls
        here, there = place_of(one, moved), place_of(other, moved)
        wall, opposite = _most_parallel(_walls(one, moved), _walls(other, moved))
        if abs(_sine(wall, opposite)) > PARALLEL:
            return np.asarray(np.hypot(*(there - here).T))
        return np.minimum(to_rim(there, wall), to_rim(here, opposite))


def narrow_places(board: BoardModel, path: IsolationPath) -> tuple[Narrow, ...]:
    """Return what has to be narrower than X for a way to count as it does.

    Parameters
    ----------
    board : BoardModel
        The drawing in which it was found. [mm]
    path : IsolationPath
        The way.

    Returns
    -------
    tuple of Narrow
        The grooves it crosses, and the gaps it does not count.

    Raises
    ------
    InputError
        The way is of another drawing.
    """
    found = []
    for leg in path.legs:
        if leg.leg is Leg.BRIDGE:
            walls = tuple(pin_place(board, place, conductor=False) for place in (leg.start, leg.end))
            found.append(Narrow(what=f"{leg.passes or 'a groove'} is narrower than X", walls=(walls[0], walls[1])))
    stretches: list[list[int]] = [[]]
    for index, leg in enumerate(path.legs):
        if leg.leg is Leg.CONDUCTOR:
            stretches.append([])
        else:
            stretches[-1].append(index)
    for stretch in stretches:
        legs = [path.legs[index] for index in stretch]
        lengths = [math.dist(leg.start, leg.end) for leg in legs]
        if legs and sum(lengths) > 0.0 and not any(leg.counted_mm for leg in legs):
            counted = tuple(replace(leg, counted_mm=length) for leg, length in zip(legs, lengths, strict=True))
            gap = IsolationPath(
                kind=path.kind, nets=path.nets, between=path.between, length_mm=sum(lengths), legs=counted
            )
            beside = _beside(path, stretch)
            found.append(Narrow(what=f"the gap beside {beside} is narrower than X", gap=pin_path(board, gap)))
    return tuple(found)


def _beside(path: IsolationPath, stretch: list[int]) -> str:
    """Return the floating part at one end of a stretch of legs."""
    around = [index for index in (stretch[0] - 1, stretch[-1] + 1) if 0 <= index < len(path.legs)]
    return next((path.legs[index].passes for index in around if path.legs[index].passes), "a floating part")


def _walls(pin: Pin, moved: Moved) -> list[Wall]:
    """Return the rim that a pin hangs on: at a corner both that meet there."""
    corners = moved[pin.feature, pin.ring]
    count = corners.shape[1]
    numbers = (pin.corner,) if pin.part > 0.0 else (pin.corner, (pin.corner - 1) % count)
    return [(corners[:, number], corners[:, (number + 1) % count]) for number in numbers]


def _most_parallel(walls: list[Wall], opposite: list[Wall]) -> tuple[Wall, Wall]:
    return min(product(walls, opposite), key=lambda pair: abs(_sine(*pair)))


def _sine(wall: Wall, other: Wall) -> float:
    """Return the sine of the angle between two walls, as they lie on average."""
    one, two = (np.mean(rim[1] - rim[0], axis=0) for rim in (wall, other))
    lengths = float(np.hypot(*one) * np.hypot(*two))
    return float(one[0] * two[1] - one[1] * two[0]) / lengths if lengths > 0.0 else 0.0
