"""What lies between two nets of a drawing while it is being made: ways to be shown over it, and how they are judged.

Places of ways and bands are in the unit of the drawing, as its corners are; lengths are in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity import Quantity
from coldpin.records.calliper_gap import CalliperGap
from coldpin.records.distance import PathKind
from coldpin.records.finding import Outcome
from coldpin.records.inside import InsideDistance
from coldpin.records.required_distances import InsulationKind

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnWay:
    """One way.

    ``rank`` is 1 for the shortest of its kind and counts on to those that come next. ``told`` is the way in words,
    ``between`` names the two shapes. ``counts`` says of each piece whether it counts: across what conducts none does.
    ``band`` are the rims of the band that is as wide as the expanded uncertainty, none where that is not known.
    ``beside`` names the part that hides the place, where only what lies under one was asked for.
    """

    kind: PathKind
    rank: int
    length_mm: Quantity
    between: tuple[str, str]
    told: str
    path: tuple[Place, ...]
    counts: tuple[bool, ...]
    band: tuple[tuple[Place, ...], ...]
    beside: tuple[str, ...] = ()
    dominated_by: str = ""
    reduced_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedDistance:
    """What is asked for of one kind of way at one pollution degree, by basic insulation too. [mm]"""

    kind: PathKind
    insulation: InsulationKind
    pollution_degree: int
    required_mm: float
    basic_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnBarrier:
    """What lies between two nets, or groups of nets, of a drawing.

    ``provisional`` says what is left out while a corner is dragged, empty where all was reckoned; nothing is judged
    then. ``judged`` are the ways as the report judges them, ``asked`` what is asked for and ``conditions`` from what
    that follows. ``outcome`` is the worst of these, null where nothing is judged. ``undecided`` says why the drawing
    decides nothing, empty where it does.
    """

    schema: Literal["coldpin.drawn_barrier/1"]
    nets: tuple[str, str]
    across: str
    groove_x_mm: float
    ways: tuple[DrawnWay, ...]
    asked: tuple[AskedDistance, ...]
    conditions: tuple[str, ...]
    outcome: Outcome | None = None
    judged: tuple[InsideDistance, ...] = ()
    undecided: str = ""
    provisional: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PairOfNets:
    """Two nets, or groups of nets, of which something is asked, and between what they lie."""

    nets: tuple[str, str]
    across: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingLook:
    """A drawing as it stands: the pairs of nets of which something is asked, gaps by calliper beside it, questions."""

    schema: Literal["coldpin.drawing_look/1"]
    pairs: tuple[PairOfNets, ...]
    calliper: tuple[CalliperGap, ...]
    undecided: str
    remarks: tuple[str, ...]
