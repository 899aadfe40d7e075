"""What was found inside a unit: distances with what is asked for, and drawings of boards with their worst ways."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.quantity.model import Quantity
from coldpin.records.board import Role
from coldpin.records.calliper_gap import CalliperGap
from coldpin.records.distance import PathKind
from coldpin.records.finding import Limit, Outcome, Reach
from coldpin.records.required_distances import InsulationKind


@dataclass(frozen=True, slots=True, kw_only=True)
class DegreeAsked:
    """What is asked for at one pollution degree, by basic insulation too, and where the distance falls. [mm]"""

    pollution_degree: int
    required_mm: float
    basic_mm: float
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class InsideDistance:
    """One clearance or creepage found inside, as judged.

    ``across`` is a word of the vocabulary. ``told`` names the two ends, or says the way. ``over_range`` holds what the
    instrument named where it was beyond its range. ``at_least`` is true of a straight gap told for the way along the
    surface, ``at_most`` of a way along the surface told for the air. ``degrees`` are those the unit is judged by, the
    mildest first. ``why`` says why it stays open where its number alone would have decided. ``drawn`` is true where it
    was found in a drawing. ``dominated_by`` and ``reduced_by`` are what its uncertainty comes from most and what would
    make it smaller. ``corners_mm`` is the way in the drawing; ``counts`` says of each of its pieces whether it counts:
    across what conducts none does.
    """

    across: str
    kind: PathKind
    entry: str
    told: str
    beside: tuple[str, ...]
    measured_mm: Quantity | None
    over_range: str
    at_least: bool
    at_most: bool
    insulation: InsulationKind
    degrees: tuple[DegreeAsked, ...]
    outcome: Outcome
    reach: Reach
    probability: float | None
    statement: str
    why: str
    limit: Limit | None
    drawn: bool
    dominated_by: str = ""
    reduced_by: str = ""
    corners_mm: tuple[tuple[float, float], ...] = ()
    counts: tuple[bool, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnShape:
    """One shape of a drawing in millimetres, y up. ``group`` is what its net belongs to, empty where it has none."""

    name: str
    role: Role
    group: str
    outline_mm: tuple[tuple[float, float], ...]
    openings_mm: tuple[tuple[tuple[float, float], ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPhotograph:
    """The photograph that a drawing was made over, laid flat: a JPEG in base 64, and where its corners lie. [mm]"""

    entry: str
    jpeg: str
    low_mm: tuple[float, float]
    high_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnBoard:
    """A drawing of a board, with the shortest way of each kind across each barrier.

    ``calliper`` are the gaps that were read beside it. ``undecided`` says why the drawing decides nothing, empty where
    it does. ``photograph`` is what it was made over, where that can be shown.
    """

    entry: str
    part: str
    file: str
    sha256: str
    drawn_from: str
    shapes: tuple[DrawnShape, ...]
    ways: tuple[InsideDistance, ...]
    calliper: tuple[CalliperGap, ...] = ()
    undecided: str = ""
    photograph: BoardPhotograph | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InsideEvidence:
    """All distances inside: by calliper, and in drawings."""

    distances: tuple[InsideDistance, ...] = ()
    boards: tuple[DrawnBoard, ...] = ()

    @property
    def limits(self) -> tuple[Limit, ...]:
        """Every limit that a distance was placed against."""
        return tuple(one.limit for one in self.distances if one.limit is not None)

    def __bool__(self) -> bool:
        return bool(self.distances or self.boards)
