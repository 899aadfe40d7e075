"""One place where two nets of a virtual board come near, made so that its distances are known in closed form."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A rectangle that lies along the axes of the board. [mm]"""

    left: float
    low: float
    right: float
    high: float

    def __post_init__(self) -> None:
        if not (self.left < self.right and self.low < self.high):
            raise OutsideRange(f"block from ({self.left:g}, {self.low:g}) to ({self.right:g}, {self.high:g}) is empty")

    @property
    def corners(self) -> NDArray[np.float64]:
        """Array of shape (4, 2), counter-clockwise from the lower left. [mm]"""
        across, up = (self.left, self.right, self.right, self.left), (self.low, self.low, self.high, self.high)
        return np.column_stack([across, up]).astype(np.float64)

    @property
    def middle(self) -> Point:
        """Its middle. [mm]"""
        return 0.5 * (self.left + self.right), 0.5 * (self.low + self.high)

    def gap(self, other: Block) -> float:
        """Return the straight distance to another block.

        Parameters
        ----------
        other : Block
            The other.

        Returns
        -------
        float
            Zero where they touch. [mm]

        Examples
        --------
        >>> here = Block(left=0.0, low=0.0, right=1.0, high=1.0)
        >>> here.gap(Block(left=4.0, low=5.0, right=6.0, high=7.0))
        5.0
        """
        across = max(other.left - self.right, self.left - other.right, 0.0)
        up = max(other.low - self.high, self.low - other.high, 0.0)
        return math.hypot(across, up)


@dataclass(frozen=True, slots=True, kw_only=True)
class UprightSlot:
    """A slot milled through the board, upright between two conductors, its ends round or square. [mm]"""

    middle: float
    width: float
    low: float
    high: float
    round_ends: bool = True

    def __post_init__(self) -> None:
        if not (0.0 < self.width <= self.high - self.low):
            raise OutsideRange(f"slot {self.width:g} mm wide and {self.high - self.low:g} mm long: longer than wide")

    def drawn(self, corners: int) -> NDArray[np.float64]:
        """Return its outline as a person draws it: around each round end as far as along the true curve.

        Parameters
        ----------
        corners : int
            Of each round end; they lie a little outside the curve, the lines between them a little inside. [1]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, 2), counter-clockwise. [mm]

        Examples
        --------
        >>> slot = UprightSlot(middle=0.0, width=1.0, low=0.0, high=5.0)
        >>> along = np.hypot(*np.diff(slot.drawn(5)[:5], axis=0).T).sum()
        >>> bool(abs(along - 0.5 * math.pi) < 1e-12)
        True
        """
        turn = 0.5 * math.pi / (corners - 1)
        wider = self.width * turn / math.sin(turn)
        added = 0.5 * (wider - self.width)
        return replace(self, width=wider, low=self.low - added, high=self.high + added).outline(corners=corners)

    def outline(self, *, corners: int = 24) -> NDArray[np.float64]:
        """Return its outline as a polygon that lies within it.

        Parameters
        ----------
        corners : int
            Of each round end. [1]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, 2), counter-clockwise. [mm]

        Examples
        --------
        >>> UprightSlot(middle=0.0, width=1.0, low=0.0, high=5.0, round_ends=False).outline().shape
        (4, 2)
        """
        half = 0.5 * self.width
        if not self.round_ends:
            block = Block(left=self.middle - half, low=self.low, right=self.middle + half, high=self.high)
            return block.corners
        turn = np.linspace(0.0, math.pi, corners)
        over = np.column_stack([self.middle + half * np.cos(turn), self.high - half + half * np.sin(turn)])
        under = np.column_stack([self.middle - half * np.cos(turn), self.low + half - half * np.sin(turn)])
        return np.concatenate([over, under])

    def round_the_top(self, start: Point, end: Point) -> float:
        """Return the shortest way from a point on its left to one on its right over its upper end.

        Parameters
        ----------
        start : (float, float)
            Left of the slot and below its upper end. [mm]
        end : (float, float)
            Right of it and below that end. [mm]

        Returns
        -------
        float
            Two tangents and the arc between them, or three straight pieces over a square end. [mm]

        Raises
        ------
        OutsideRange
            A point is not where it has to be.

        Examples
        --------
        >>> slot = UprightSlot(middle=2.5, width=1.0, low=-4.0, high=4.0)
        >>> round(slot.round_the_top((0.0, 0.5), (5.0, 0.5)), 6)
        8.750414
        """
        half = 0.5 * self.width
        if start[0] >= self.middle - half or end[0] <= self.middle + half or max(start[1], end[1]) >= self.high - half:
            raise OutsideRange(
                "the way round a slot is asked for points that do not lie on both its sides, below its end"
            )
        if not self.round_ends:
            left, right = (self.middle - half, self.high), (self.middle + half, self.high)
            return math.dist(start, left) + self.width + math.dist(right, end)
        about = (self.middle, self.high - half)
        reach = [math.dist(about, point) for point in (start, end)]
        tangents = sum(math.sqrt(far**2 - half**2) for far in reach)
        # angles at the middle of the end, from straight up: to the point, less that to where its tangent touches
        turned = [
            math.atan2(abs(point[0] - about[0]), point[1] - about[1]) - math.acos(half / far)
            for point, far in zip((start, end), reach, strict=True)
        ]
        return tangents + half * sum(turned)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A place where a conductor of one net faces one of another, with what lies between them.

    ``left`` and ``right`` are the conductors that face each other, ``nets`` theirs; their upper and lower edges may
    lie at different heights as long as both have some in common. ``floating`` are parts between them that belong to
    no net, from left to right. ``part`` is what joins them on the board, if anything does: "relay", "optocoupler".
    """

    name: str
    nets: tuple[str, str]
    left: Block
    right: Block
    floating: tuple[Block, ...] = ()
    slot: UprightSlot | None = None
    part: str = ""

    @property
    def gaps(self) -> tuple[float, ...]:
        """The gaps from conductor to conductor, floating parts among them. [mm]"""
        parts = (self.left, *self.floating, self.right)
        return tuple(one.gap(other) for one, other in itertools.pairwise(parts))

    @property
    def clearance_mm(self) -> float:
        """Straight through air, from part to part. [mm]"""
        return sum(self.gaps)

    def creepage_mm(self, groove_x_mm: float) -> float:
        """Return the way along the surface.

        Parameters
        ----------
        groove_x_mm : float
            Width from which a slot has to be walked around. [mm]

        Returns
        -------
        float
            The shorter way round the slot; straight where there is none, or where it is narrower than that. [mm]

        Raises
        ------
        OutsideRange
            The slot does not reach beyond what it parts.

        Examples
        --------
        >>> left = Block(left=-1.0, low=-0.5, right=0.0, high=0.5)
        >>> right = Block(left=5.0, low=-0.5, right=6.0, high=0.5)
        >>> slot = UprightSlot(middle=2.5, width=1.0, low=-4.0, high=4.0, round_ends=False)
        >>> crossing = Crossing(name="slot", nets=("mains L", "pilot"), left=left, right=right, slot=slot)
        >>> round(crossing.creepage_mm(1.0), 6), crossing.creepage_mm(1.5)
        (9.062258, 5.0)
        """
        if self.slot is None or self.slot.width < groove_x_mm:
            return self.clearance_mm
        over = self.slot.round_the_top((self.left.right, self.left.high), (self.right.left, self.right.high))
        return min(
            over,
            _mirrored(self.slot).round_the_top((self.left.right, -self.left.low), (self.right.left, -self.right.low)),
        )


def _mirrored(slot: UprightSlot) -> UprightSlot:
    """Return a slot turned over the horizontal axis."""
    return UprightSlot(middle=slot.middle, width=slot.width, low=-slot.high, high=-slot.low, round_ends=slot.round_ends)


def chain(left: float, gaps: Sequence[float], widths: Sequence[float], *, low: float, high: float) -> tuple[Block, ...]:
    """Return blocks side by side, such as the floating parts of a crossing.

    Parameters
    ----------
    left : float
        Where the first gap begins. [mm]
    gaps : sequence of float
        Before each block. [mm]
    widths : sequence of float
        Of each block. [mm]
    low : float
        Lower edge of all. [mm]
    high : float
        Upper edge of all. [mm]

    Returns
    -------
    tuple of Block
        From left to right.

    Examples
    --------
    >>> [block.left for block in chain(0.0, (1.8, 1.8), (2.0, 2.0), low=0.0, high=1.0)]
    [1.8, 5.6]
    """
    blocks = []
    for gap, width in zip(gaps, widths, strict=True):
        blocks.append(Block(left=left + gap, low=low, right=left + gap + width, high=high))
        left += gap + width
    return tuple(blocks)
