"""One check's answer, and the words it is given in."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.quantity.model import Quantity
from coldpin.records.boundary import BoundaryChart
from coldpin.records.metal import MetalEstimate


class Outcome(StrEnum):
    """What a finding says of its limit or question."""

    WITHIN = "within"
    BEYOND = "beyond"
    UNDECIDED = "undecided"
    NOT_TESTED = "not_tested"
    NOT_APPLICABLE = "not_applicable"


class Reach(StrEnum):
    """How far a finding reaches: any unit built like this one, or this specimen."""

    CONSTRUCTION = "by construction"
    SPECIMEN = "this specimen"


class Standing(StrEnum):
    """How well a constant from outside is known."""

    STANDARD = "standard"
    READ = "read"
    MEMORY = "memory"
    COMMON_PRACTICE = "common practice"
    JUDGEMENT = "judgement"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit as known, with where it is from and how well it is known.

    ``id`` is what ``coldpin sources`` prints. ``other`` holds the value of a second text that differs, with its source,
    where the value is disputed. ``asserted_by`` is empty for a value of a standard, else names who set it (the plate of
    the specimen, the tester).
    """

    id: str
    title: str
    unit: str
    minimum: float | None = None
    nominal: float | None = None
    maximum: float | None = None
    source: str
    edition: str = ""
    place: str = ""
    standing: Standing
    read_in: tuple[str, ...] = ()
    other: str = ""
    note: str = ""
    asserted_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetLine:
    """One line of an uncertainty budget: what it is, its share in the unit of the result, and in per cent of u².

    Lines stand largest first.
    """

    label: str
    contribution: float
    dof: float | None
    shape: str
    percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One pair of the dead wiring map: what was found and what should be there."""

    plug_pin: str
    connector_pin: str
    found: str
    wanted: str
    right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotLevels:
    """The run of the pilot a finding rests on: evidence id, state, and when in the capture. [s]"""

    evidence: str
    state: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One answer of one check.

    ``statement`` says it with its numbers, ``plain`` in one sentence for a lay viewer where that is another.
    ``quantity`` is compared with ``limit`` by ``rule``; ``probability`` is that of conforming, None where nothing was
    measured or the uncertainty is unknown. ``answer`` is "yes", "no" or "cannot tell" for a question without a number.
    ``absence`` is true where being beyond shows that the function is not there at all, ``decisive`` where the finding
    concludes alone. ``evidence`` are ids of the entries it rests on. ``worst_of`` says from how many readings the worst
    was taken. ``boundary`` holds what a chart of boundary resistances shows, ``metal`` the estimate of a core's metal
    and area. ``supply`` is empty where everything was taken on the mains, else names what fed the specimen; where
    ``transfers`` is false the answer holds there and not for the closed unit on its mains. ``duty`` is false for what
    is good practice and no duty: its answer says "has" or "has not". ``reckoned`` is true where
    the answer was looked up in a table or computed for a case that was not tried, however it was known what from.
    ``early`` is true where being beyond shows only that something acts too soon, or where it should hold: a nuisance,
    and no failure to protect.
    """

    id: str
    check: str
    title: str
    statement: str
    outcome: Outcome
    reach: Reach
    functions: tuple[str, ...]
    quantity: Quantity | None = None
    plain: str = ""
    answer: str = ""
    limit: Limit | None = None
    probability: float | None = None
    rule: str = ""
    absence: bool = False
    decisive: bool = False
    evidence: tuple[str, ...] = ()
    worst_of: int = 1
    budget: tuple[BudgetLine, ...] = ()
    joints: tuple[Joint, ...] = ()
    levels: tuple[PilotLevels, ...] = ()
    boundary: BoundaryChart | None = None
    metal: MetalEstimate | None = None
    remarks: tuple[str, ...] = ()
    supply: str = ""
    transfers: bool = True
    duty: bool = True
    reckoned: bool = False
    early: bool = False
