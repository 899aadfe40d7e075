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
