"""Injury scenarios: conditional steps that end in an injury, their bands, and what moves them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar, Literal

from pydantic import ConfigDict

from coldpin.records.finding import Limit
from coldpin.records.plain import STRICT


class RiskLevel(StrEnum):
    """The level of a risk, mildest first."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"
    SERIOUS = "serious"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What is thought of one conditional probability: low and high are the ends of a 95 % interval. [1]"""

    low: float
    best: float
    high: float

    @property
    def certain(self) -> bool:
        """Whether nothing is left open."""
        return self.low == self.best == self.high


class Weather(StrEnum):
    """Whether skin, ground and connector are dry or wet; milder first, as in all these lists."""

    DRY = "dry"
    WET = "wet"


class Place(StrEnum):
    """Where it charges."""

    INDOORS = "indoors"
    OUTDOORS = "outdoors"


class Person(StrEnum):
    """Who comes near: skilled persons only, a household, or anybody."""

    SKILLED = "skilled"
    HOUSEHOLD = "household"
    ANYONE = "anyone"


class Upstream(StrEnum):
    """Residual-current protection before the socket."""

    TESTED = "tested"
    FITTED = "fitted"
    UNKNOWN = "unknown"
    NONE = "none"


class ResidualType(StrEnum):
    """Type of the residual-current device before the socket: which direct current it bears."""

    B = "B"
    F = "F"
    A = "A"
    UNKNOWN = "unknown"
    AC = "AC"


class Earthing(StrEnum):
    """Whether earth and neutral of the supply are one conductor."""

    SEPARATE = "separate"
    UNKNOWN = "unknown"
    PEN = "pen"


class Circuit(StrEnum):
    """Whether the circuit is made for the plug and carries nothing else."""

    OWN = "own"
    UNKNOWN = "unknown"
    SHARED = "shared"


class Watch(StrEnum):
    """Whether somebody is there and awake while it charges."""

    ATTENDED = "attended"
    UNATTENDED = "unattended"


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """Under what a scenario is followed; as it stands, a household outdoors with nothing known of its supply."""

    weather: Weather = Weather.DRY
    place: Place = Place.OUTDOORS
    person: Person = Person.HOUSEHOLD
    upstream: Upstream = Upstream.UNKNOWN
    residual_type: ResidualType = ResidualType.UNKNOWN
    earthing: Earthing = Earthing.UNKNOWN
    circuit: Circuit = Circuit.UNKNOWN
    watch: Watch = Watch.UNATTENDED


@dataclass(frozen=True, slots=True, kw_only=True)
class ShockZones:
    """In which zones a shock lies: where a device before the socket, or the unit, cuts it off, and where nothing does.

    ``own`` is that where the unit cuts it off, after the time it was measured to take; empty where none was measured.
    ``because`` says what they were computed from.
    """

    cut: str
    lasting: str
    because: str
    own: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnEstimate:
    """A step's estimate from the user's own source, in place of ours.

    ``scenario`` and ``step`` are ids as the report prints them; ``scenario`` is empty for every scenario that has the
    step. ``state`` says for which state of its function the step is estimated, "works" or "does not work"; it is empty
    for a step that rests on no function.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    step: str
    low: float
    best: float
    high: float
    source: str
    scenario: str = ""
    state: Literal["", "works", "does not work"] = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSeverity:
    """How grave a scenario ends by the user's own reckoning, in place of ours.

    ``scenario`` is an id as the report prints it; ``severity`` is 1 (first aid) to 4 (fatal), of the injury that comes
    where every step happens. ``source`` says where it is from, or why.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    scenario: str
    severity: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSensitivity:
    """What becomes of the level when one step alone is ten times as likely (one at most), or a tenth."""

    step: str
    ten_times: RiskLevel
    tenth: RiskLevel
    moves: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskSensitivity:
    """How far the level hangs on single guesses.

    ``ten_times`` and ``tenth`` are the levels with the probability as a whole ten times as large (one at most), or a
    tenth; ``milder`` and ``graver`` those with the severity one lower and one higher, None where there is none.
    ``robust`` is true where none of all these moves the level. ``moved_by`` names the steps that move it.
    """

    steps: tuple[StepSensitivity, ...]
    ten_times: RiskLevel
    tenth: RiskLevel
    milder: RiskLevel | None
    graver: RiskLevel | None
    robust: bool
    moved_by: tuple[str, ...]
    statement: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskStep:
    """One step of a chain as given: its name, its span, and the probability of the chain up to and with it."""

    id: str
    span: Span
    so_far: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskReading:
    """A chain of steps rated by the published matrix, in the form that ``coldpin risk --steps --json`` prints.

    ``probability`` is the product of the best estimates, ``fraction`` the same as one reads it. ``interval`` holds 95 %
    of the draws and is None where no step is uncertain; ``bands`` are the rows from the unlikeliest to the likeliest
    that the interval reaches, ``levels`` the mildest and the gravest level in it. ``limits`` are the rows of the matrix
    that were read.
    """

    schema: Literal["coldpin.risk/1"]
    probability: float
    fraction: str
    severity: int
    severity_means: str
    band: str
    level: RiskLevel
    interval: tuple[float, float] | None
    bands: tuple[str, str]
    levels: tuple[RiskLevel, RiskLevel]
    steps: tuple[RiskStep, ...]
    sensitivity: RiskSensitivity
    statement: str
    limits: tuple[Limit, ...]


class Ground(StrEnum):
    """What the estimate of a step rests on."""

    FINDING = "a finding of these tests"
    FUNCTION = "how its function stood in these tests"
    OPEN = "both bounds, as its function was not shown"
    PUBLISHED = "a published figure"
    PHYSICS = "the current through the body"
    STATED = "the supply as stated"
    JUDGEMENT = "judgement"
    OWN = "an estimate of this case"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioStep:
    """One step of a scenario, given all the steps before it.

    ``span`` is what is thought of it; where functions it rests on were not shown it is that with none of them working,
    and ``if_works`` that with all of them. ``findings`` are those that decide it. ``limits`` are ids of the rows it is
    from; ``source`` says where these are from. ``otherwise`` is the severity where the step does not happen (the
    gravest of the likely ones), 0 where nobody is hurt then. ``level_at_low`` and ``level_at_high`` are the levels with
    this step alone at its ends; where it is open its low end is that with its functions working.
    """

    id: str
    text: str
    span: Span
    if_works: Span | None
    ground: Ground
    functions: tuple[str, ...]
    findings: tuple[str, ...]
    source: str
    limits: tuple[str, ...]
    otherwise: int
    so_far: float
    level_at_low: RiskLevel
    level_at_high: RiskLevel


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioBand:
    """How likely an injury at least so grave is, and the level that makes.

    ``severity`` is that whose level is the worst of the scenario's. ``probability`` is by the best estimates, ``low``
    and ``high`` hold 95 % of the draws. [1] ``levels`` are those at both ends, the worst over the severities at each.
    """

    severity: int
    probability: float
    low: float
    high: float
    band: str
    bands: tuple[str, str]
    level: RiskLevel
    levels: tuple[RiskLevel, RiskLevel]


@dataclass(frozen=True, slots=True, kw_only=True)
class InjuryScenario:
    """A conditional chain that ends in an injury, judged for one specimen under stated circumstances.

    ``worst`` is the band with none of the functions working that were not shown, ``mildest`` that with all of them; the
    two are one where none is open. ``level`` is that of the worst. ``decisive`` are findings that conclude before any
    of this. ``mover`` is the step, or the function it rests on, that moves the level; empty where none does.
    ``severity`` is that of the injury at its end, ``own_severity`` why the case puts its own there; empty where it is
    ours.
    """

    id: str
    title: str
    injury: str
    circumstances: tuple[tuple[str, str], ...]
    steps: tuple[ScenarioStep, ...]
    worst: ScenarioBand
    mildest: ScenarioBand
    level: RiskLevel
    open_functions: tuple[str, ...]
    decisive: tuple[str, ...]
    sensitivity: RiskSensitivity
    mover: str
    statement: str
    plain: str
    severity: int
    own_severity: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MatrixRow:
    """One row of the published matrix, as it is printed; ``levels`` are those of severity 1 to 4."""

    label: str
    lower: float
    levels: tuple[RiskLevel, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepAssumption:
    """What was taken for a step, wherever it stands: its row, how well it is known, and where a case puts its own.

    ``state`` is "works" or "does not work" for a row that rests on a function. ``own`` is true for an estimate of the
    case, which stands in place of ours.
    """

    step: str
    state: str
    limit: str
    title: str
    span: Span
    source: str
    standing: str
    scenarios: tuple[str, ...]
    own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecimenRisk:
    """The risk of a specimen: that of its worst scenario, with all that was assumed for it.

    ``level`` holds where nothing works that was not shown, ``mildest`` where all of it does. ``worst`` names the
    scenarios with that level. ``decisive`` are the findings that conclude before any of this. ``limits`` are the
    published rows used; estimates that are judgement stand among the assumptions.
    """

    level: RiskLevel
    mildest: RiskLevel
    worst: tuple[str, ...]
    decisive: tuple[str, ...]
    statement: str
    matrix: tuple[MatrixRow, ...]
    severities: tuple[str, ...]
    assumptions: tuple[StepAssumption, ...]
    shock: tuple[str, ...]
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRisk:
    """The scenarios of a case, worst first, in the form that ``coldpin risk CASE --json`` prints."""

    schema: Literal["coldpin.case_risk/1"]
    title: str
    risk: SpecimenRisk
    scenarios: tuple[InjuryScenario, ...]
