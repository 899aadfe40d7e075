"""Distances between conductors: through air and along surfaces, each with the path that makes it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity import Quantity
from coldpin.records.board import Face


class PathKind(StrEnum):
    """Clearance is the shortest way through air, creepage the shortest way along insulating surfaces."""

    CLEARANCE = "clearance"
    CREEPAGE = "creepage"


class Leg(StrEnum):
    """What one straight piece of a path does."""

    SURFACE = "along the surface"
    AIR = "through air"
    BRIDGE = "across a groove narrower than X"
    EDGE = "over the edge"
    CONDUCTOR = "across a floating part"


@dataclass(frozen=True, slots=True, kw_only=True)
class PathLeg:
    """One straight piece of a path, from ``start`` to ``end`` [mm]; ``counted_mm`` is 0 across a conductor.

    ``passes`` names what it ends at or crosses: "slot 2", "floating pad 7", "the rim".
    """

    leg: Leg
    start: tuple[float, float]
    end: tuple[float, float]
    counted_mm: float
    face: Face | None = None
    passes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class IsolationPath:
    """A path from a conductor of one net to one of another.

    ``between`` names the two conductors, ``nets`` their nets. ``length_mm`` is the sum of what the legs count.
    ``told`` is the path in words: "round the end of slot 2, across floating pad 7". ``reading`` is how the rule was
    read where texts differ ("a gap under X beside a floating part counts nothing"), empty where they do not.
    """

    kind: PathKind
    nets: tuple[str, str]
    between: tuple[str, str]
    length_mm: float
    legs: tuple[PathLeg, ...]
    told: str = ""
    reading: str = ""

    def points(self) -> NDArray[np.float64]:
        """Return the corners of the path, from end to end.

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, 2). [mm]
        """
        if not self.legs:
            return np.empty((0, 2))
        return np.array([self.legs[0].start, *(leg.end for leg in self.legs)])


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundDistances:
    """The paths found between two nets of a drawing, as lengths of that drawing, without uncertainty.

    A kind that has no path is None, and ``remarks`` say why. Each of ``clearance`` and ``creepage`` is the shortest by
    any reading; ``other_readings`` are the shortest by the readings that give more. ``next_clearance`` and
    ``next_creepage`` are other paths, distinct from the shortest and from each other, in order of length.
    """

    nets: tuple[str, str]
    groove_x_mm: float
    clearance: IsolationPath | None
    creepage: IsolationPath | None
    next_clearance: tuple[IsolationPath, ...] = ()
    next_creepage: tuple[IsolationPath, ...] = ()
    other_readings: tuple[IsolationPath, ...] = ()
    not_seen: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredDistance:
    """A distance with its uncertainty.

    ``length_mm.u`` is None where the uncertainty of the drawing is not known. ``dominated_by`` names the largest
    contribution, ``reduced_by`` says what would make it smaller.
    """

    path: IsolationPath
    length_mm: Quantity
    dominated_by: str = ""
    reduced_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Distances:
    """What lies between two nets of a board: the worst paths, and the next ones that are distinct from these.

    A kind that has no path (another board, a cemented joint) is None, and ``remarks`` say why. ``other_readings`` are
    the shortest by the readings of the rules that give more. ``not_seen`` names what no drawing of this face can show:
    the space under parts, inner layers, the inside of a transformer.
    """

    nets: tuple[str, str]
    clearance: MeasuredDistance | None
    creepage: MeasuredDistance | None
    next_clearance: tuple[MeasuredDistance, ...] = ()
    next_creepage: tuple[MeasuredDistance, ...] = ()
    other_readings: tuple[MeasuredDistance, ...] = ()
    groove_x_mm: float
    not_seen: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
