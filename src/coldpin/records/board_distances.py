"""What lies between two nets of a drawn board; ``coldpin distances --json`` prints it.

Distances and places are in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity import Quantity
from coldpin.records.assessment import Problem
from coldpin.records.calliper_gap import CalliperGap
from coldpin.records.distance import PathKind, PathLeg
from coldpin.records.required_distances import DistancePlacement, RequiredDistances

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class DistancePath:
    """One path: what it measures, its corners from end to end, and its legs one by one.

    ``nets`` are those of its two ends and ``between`` the names of the shapes. ``told`` is the path in words.
    ``reading`` is how the rule was read where texts differ, empty where they do not. ``dominated_by`` names what makes
    most of the uncertainty and ``reduced_by`` what would make it smaller.
    """

    kind: PathKind
    length_mm: Quantity
    nets: tuple[str, str]
    between: tuple[str, str]
    told: str
    reading: str
    path: tuple[Place, ...]
    legs: tuple[PathLeg, ...]
    dominated_by: str
    reduced_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardDistances:
    """Clearance and creepage between two nets, or groups of nets, of one drawing.

    ``clearance_mm`` and ``creepage_mm`` are those of ``clearance`` and ``creepage``, null where no path leads from one
    to the other; their ``u`` is null where that of the drawing is not known. ``path`` are the corners of the creepage,
    of the clearance where there is none. ``next`` are further paths, distinct from these: first creepages, then
    clearances, each in order of length. ``other_readings`` are the shortest by readings of the rules that give more.
    ``groove_x_mm`` is the width X by which grooves were judged, ``groove_x_from`` what it follows from. ``required`` is
    what is asked for where a voltage was given, and ``placements`` where the distances of this drawing fall: undecided,
    whatever its probability, where the drawing may hide a shorter way, as ``statements`` say, and would else be within;
    what it cannot show is ``not_seen``. ``calliper`` are gaps read on the board itself beside what the drawing has for
    them. ``board`` is the file and ``sha256`` its hash.
    ``problems`` are entries of the case that could not be used.
    """

    schema: Literal["coldpin.distances/1"]
    board: str
    sha256: str
    nets: tuple[str, str]
    groove_x_mm: float
    groove_x_from: str
    clearance_mm: Quantity | None
    creepage_mm: Quantity | None
    path: tuple[Place, ...]
    clearance: DistancePath | None
    creepage: DistancePath | None
    next: tuple[DistancePath, ...]
    other_readings: tuple[DistancePath, ...]
    required: RequiredDistances | None
    placements: tuple[DistancePlacement, ...]
    calliper: tuple[CalliperGap, ...]
    not_seen: tuple[str, ...]
    statements: tuple[str, ...]
    remarks: tuple[str, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DegreeDistances:
    """The distances of a drawing as judged in one pollution degree."""

    pollution_degree: int
    distances: BoardDistances


@dataclass(frozen=True, slots=True, kw_only=True)
class DistancesByDegree:
    """The same distances in several pollution degrees, in the order given: X and what is asked for follow from each.

    An outdoor unit is judged in degrees 2 and 3 where its sealing is not proved.
    """

    schema: Literal["coldpin.distances_by_degree/1"]
    by_degree: tuple[DegreeDistances, ...]
