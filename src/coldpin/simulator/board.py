"""A virtual board with a mains side, a pilot and low-voltage side and a band between, of known distances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.board import BoardFeature, BoardModel, Role
from coldpin.simulator.board_crossing import Block, Crossing, UprightSlot
from coldpin.simulator.board_part import Group

PATCH = 26.0
"""Width of a patch. [mm]"""

THICKNESS = 1.6
"""Of the board. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VirtualBoard:
    """A board, what is on it, and where its nets come near.

    ``features`` are its shapes [mm], with (0, 0) in its lower left corner; ``groups`` are parts as they look. ``patch``
    is the width of the patches on either side [mm].
    """

    width: float
    height: float
    features: tuple[BoardFeature, ...]
    crossings: tuple[Crossing, ...]
    groups: tuple[Group, ...] = ()
    thickness: float = THICKNESS
    patch: float = PATCH

    @property
    def slots(self) -> dict[str, UprightSlot]:
        """Its slots, by the names of their shapes."""
        numbered = {crossing.name.removeprefix("crossing "): crossing.slot for crossing in self.crossings}
        return {f"slot {number}": slot for number, slot in numbered.items() if slot is not None}

    def between(self, one: str, other: str) -> tuple[Crossing, ...]:
        """Return the crossings between two nets or groups of nets.

        Parameters
        ----------
        one : str
            "mains", or "mains L".
        other : str
            The other.

        Returns
        -------
        tuple of Crossing
            In the order of the board.

        Raises
        ------
        UnknownName
            They come near nowhere that is known.
        """
        wanted = tuple(crossing for crossing in self.crossings if _joins(crossing, one, other))
        if not wanted:
            known = sorted({f"{a} to {b}" for a, b in (crossing.nets for crossing in self.crossings)})
            raise UnknownName.among("pair of nets of the board", f"{one} to {other}", known)
        return wanted

    def clearance_mm(self, one: str, other: str) -> float:
        """Return the true clearance between two nets.

        Parameters
        ----------
        one : str
            A net or a group of nets.
        other : str
            The other.

        Returns
        -------
        float
            Through air; floating parts, and what belongs to other nets, count nothing. [mm]

        Raises
        ------
        UnknownName
            They come near nowhere that is known.
        """
        self.between(one, other)
        return self._shortest(one, other, [crossing.clearance_mm for crossing in self.crossings])

    def creepage_mm(self, one: str, other: str, *, groove_x_mm: float) -> float:
        """Return the true creepage distance between two nets.

        Parameters
        ----------
        one : str
            A net or a group of nets.
        other : str
            The other.
        groove_x_mm : float
            Width from which a slot has to be walked around. [mm]

        Returns
        -------
        float
            Along the face; floating parts, and what belongs to other nets, count nothing. [mm]

        Raises
        ------
        UnknownName
            They come near nowhere that is known.
        OutsideRange
            A slot does not reach beyond what it parts.
        """
        self.between(one, other)
        return self._shortest(one, other, [crossing.creepage_mm(groove_x_mm) for crossing in self.crossings])

    def _shortest(self, one: str, other: str, lengths: Sequence[float]) -> float:
        """Return the shortest way from net to net, perhaps by way of others, where each crossing is so long."""
        nets = sorted({net for crossing in self.crossings for net in crossing.nets})
        reached = {net: 0.0 if _in(net, one) else math.inf for net in nets}
        for _ in nets:
            for crossing, length in zip(self.crossings, lengths, strict=True):
                here, there = crossing.nets
                reached[there] = min(reached[there], reached[here] + length)
                reached[here] = min(reached[here], reached[there] + length)
        return min(length for net, length in reached.items() if _in(net, other))

    def shape_of(self, block: Block) -> BoardFeature:
        """Return the shape that one side of a crossing is a part of.

        Parameters
        ----------
        block : Block
            A conductor or floating part of a crossing.

        Returns
        -------
        BoardFeature
            The shape that has most of its corners.
        """
        corners = {(float(across), float(up)) for across, up in block.corners}
        metal = [shape for shape in self.features if shape.role in (Role.CONDUCTOR, Role.FLOATING)]
        return max(metal, key=lambda shape: len(corners & {(float(a), float(b)) for a, b in shape.outline}))

    def model(self, *, pick_u_mm: float | None = None) -> BoardModel:
        """Return the board as a perfect hand would draw it.

        Parameters
        ----------
        pick_u_mm : float, optional
            What is said of the standard uncertainty of each coordinate. [mm]

        Returns
        -------
        BoardModel
            In millimetres, one face.
        """
        return BoardModel(features=self.features, pick_u_mm=pick_u_mm)


def _joins(crossing: Crossing, one: str, other: str) -> bool:
    here, there = crossing.nets
    return any(_in(a, one) and _in(b, other) for a, b in ((here, there), (there, here)))


def _in(net: str, wanted: str) -> bool:
    return wanted in (net, net.partition(" ")[0])
