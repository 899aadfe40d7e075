"""What a check is: one record from which plan, page, report, documentation and dispatch are made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from coldpin.records.case import UnitClass
from coldpin.records.finding import Finding
from coldpin.records.plan import Stage

if TYPE_CHECKING:
    from coldpin.checks.evidence import BenchEvidence


class Level(StrEnum):
    """How dangerous the work is, in the order in which it may be done."""

    DEAD = "dead"
    EXTRA_LOW_VOLTAGE = "extra-low voltage"
    LIVE = "live"
    DESTRUCTIVE = "destructive"


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One thing a check needs: an entry that shows something under stated conditions, or a claim of the case.

    ``conditions`` maps a condition to the values that serve; a value may be empty where leaving it out serves too.
    ``stated`` are conditions of which one at least must be stated, whatever its value. ``with_output`` asks for a
    capture whose second channel saw the output.
    """

    shows: str = ""
    conditions: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    stated: tuple[str, ...] = ()
    with_output: bool = False
    claim: str = ""

    def describe(self) -> str:
        """Say in words what is needed.

        Returns
        -------
        str
            Such as "an entry that shows 'earth resistance'".
        """
        if self.claim:
            return f"the claim '{self.claim}' in case.toml"
        stated = ", ".join(
            f"{name}: {' or '.join(v for v in values if v)}" for name, values in self.conditions.items() if any(values)
        )
        told = "; ".join(
            part for part in (stated, f"stating {' or '.join(self.stated)}" if self.stated else "") if part
        )
        beside = " with the output beside it" if self.with_output else ""
        return f"an entry that shows '{self.shows}'{beside}" + (f" ({told})" if told else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """How the evidence is obtained at the bench.

    ``transfers`` says whether a result on an opened board, or on another supply, holds for the closed unit.
    ``stop_limits`` are ids of limits at which to stop as well, told with their numbers from the tables: a temperature,
    or a rise over the air. ``stage`` is when it may be done where its level alone does not say so: see :attr:`when`.
    ``after`` are ids of findings that must be within before the first step, beside those that every test of its stage
    waits for.
    """

    level: Level
    instrument: str
    minutes: int
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    hold_points: tuple[str, ...] = ()
    stop_values: tuple[str, ...] = ()
    stop_limits: tuple[str, ...] = ()
    repeats: int = 1
    transfers: str = ""
    stage: Stage | None = None
    after: tuple[str, ...] = ()

    @property
    def when(self) -> Stage:
        """The stage of the safety order in which it may be done; the later one where the level leaves it open."""
        return self.stage or _STAGE[self.level]


_STAGE = {
    Level.DEAD: Stage.DEAD,
    Level.EXTRA_LOW_VOLTAGE: Stage.EXTRA_LOW_VOLTAGE,
    Level.LIVE: Stage.SIMULATOR,
    Level.DESTRUCTIVE: Stage.OPENED,
}
"""A test with the mains counts as one with the vehicle simulator, and one that opens the unit as no worse than that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer:
    """From which other supply an answer holds for the closed unit on its mains, by the answer's outcome.

    ``within`` and ``beyond`` are words of the vocabulary's condition "supply"; ``why`` ends the sentence that says why
    the others do not serve. What is said in words at the bench stands in :attr:`Procedure.transfers`.
    """

    within: tuple[str, ...] = ()
    beyond: tuple[str, ...] = ()
    why: str = "the closed unit may do otherwise"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """How far a finding of this check speaks for a function: the probability that it is within, either way."""

    function: str
    within_if_works: float
    within_if_not: float
    source: str = "judgement"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """A check: what it asks, what it needs, how it is done, what it is judged against, and what it bears on.

    ``applies`` returns an empty text where the check applies to a class of unit, else the reason why not.
    ``needs`` must all be met, and one of ``any_of`` where there are any; ``also`` is what its procedure writes down
    besides. ``transfer`` says which answers found on
    another supply hold for the closed unit on its mains. ``limits`` are patterns of ids in the book of
    constants. ``run`` turns evidence into findings.
    """

    id: str
    title: str
    question: str
    needs: tuple[Need, ...]
    bench: Procedure
    limits: tuple[str, ...]
    run: Callable[[BenchEvidence], tuple[Finding, ...]]
    bears: tuple[Bearing, ...]
    figures: tuple[str, ...] = ()
    transfer: Transfer = Transfer()
    any_of: tuple[Need, ...] = ()
    also: tuple[Need, ...] = ()
    applies: Callable[[UnitClass], str]


def always(unit: UnitClass) -> str:
    """Say that a check applies to every class of unit.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.

    Returns
    -------
    str
        Empty: it applies.
    """
    del unit
    return ""


def with_pilot(unit: UnitClass) -> str:
    """Say whether the unit is of a kind that has a control pilot.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.

    Returns
    -------
    str
        Empty where it applies, else why not.
    """
    return "charging mode 1 has no control pilot" if unit.charging_mode == 1 else ""
