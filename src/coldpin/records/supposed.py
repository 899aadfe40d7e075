"""What would become of risk and uses with other assumptions, beside what is recorded; nothing of it is kept."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.case import ConditionOfUse
from coldpin.records.finding import Outcome
from coldpin.records.function import FunctionState
from coldpin.records.scenario import InjuryScenario, OwnEstimate, OwnSeverity, RiskLevel, ScenarioStep, Span
from coldpin.records.use import UseJudgement


@dataclass(frozen=True, slots=True, kw_only=True)
class StepEstimate:
    """One estimate of a step as the record has it.

    Parameters
    ----------
    state : str
        "works" or "does not work", where the step rests on a function; else empty.
    span : Span
        What was taken.
    source : str
        Where it is from.
    standing : str
        How well it is known; "this case" for the case's own.
    limits : tuple of str
        Ids of the rows it is from.
    own : OwnEstimate or None
        The case's own in its place.
    """

    state: str
    span: Span
    source: str
    standing: str
    limits: tuple[str, ...]
    own: OwnEstimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedEstimate:
    """What a person typed for an estimate of a step: three probabilities, as text."""

    step: str
    state: str
    low: str
    best: str
    high: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AssumedStep:
    """A step of a scenario with what was assumed for it, to be tried otherwise.

    Parameters
    ----------
    step : ScenarioStep
        As recorded.
    estimates : tuple of StepEstimate
        What can be estimated otherwise; empty where nothing can.
    fixed : str
        Why nothing can; empty where something can.
    """

    step: ScenarioStep
    estimates: tuple[StepEstimate, ...]
    fixed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioMove:
    """A scenario as recorded, and with other assumptions."""

    recorded: InjuryScenario
    supposed: InjuryScenario


@dataclass(frozen=True, slots=True, kw_only=True)
class UseMove:
    """A condition of use as recorded, and with other assumptions."""

    recorded: UseJudgement
    supposed: UseJudgement


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposedRisk:
    """The effect of assumptions that a person tries.

    Parameters
    ----------
    estimates : tuple of OwnEstimate
        What is tried of steps.
    severities : tuple of OwnSeverity
        What is tried of how scenarios end.
    scenarios : tuple of ScenarioMove
        Every scenario in which something tried stands, moved or not, as the record orders them.
    recorded : RiskLevel
        The specimen's level as recorded.
    supposed : RiskLevel
        Its level with what is tried.
    uses : tuple of UseMove
        The conditions of use whose answer, reasons or gravest scenario move.
    statement : str
        All of it in a sentence or two.
    """

    estimates: tuple[OwnEstimate, ...]
    severities: tuple[OwnSeverity, ...]
    scenarios: tuple[ScenarioMove, ...]
    recorded: RiskLevel
    supposed: RiskLevel
    uses: tuple[UseMove, ...]
    statement: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposedUse:
    """A condition of use that a person tries, judged.

    Parameters
    ----------
    condition : ConditionOfUse
        As it would stand in the case.
    supposed : UseJudgement
        Its answer.
    recorded : UseJudgement or None
        The use that it is held beside; None where it is held beside none.
    outside : tuple of str
        What no test of this case decides.
    """

    condition: ConditionOfUse
    supposed: UseJudgement
    recorded: UseJudgement | None
    outside: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingMove:
    """A finding as recorded and with another constant; an outcome is empty where there is no such finding."""

    id: str
    title: str
    recorded: Outcome | None
    supposed: Outcome | None
    statement: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionMove:
    """A protective function as recorded and with another constant."""

    id: str
    title: str
    recorded: FunctionState
    supposed: FunctionState


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposedConstant:
    """What moves with another value of a constant: the case assessed with it, beside the case as recorded.

    Parameters
    ----------
    id : str
        The constant.
    recorded : str
        Its value as recorded, in words.
    supposed : str
        The value tried, in words.
    rest : tuple of str
        Titles of the findings that are placed against it.
    findings : tuple of FindingMove
        Findings that come out otherwise.
    functions : tuple of FunctionMove
        Functions whose state is another.
    headline : tuple of str
        The public sentence as recorded and with the value tried; one where it is the same.
    """

    id: str
    recorded: str
    supposed: str
    rest: tuple[str, ...]
    findings: tuple[FindingMove, ...]
    functions: tuple[FunctionMove, ...]
    headline: tuple[str, ...]
