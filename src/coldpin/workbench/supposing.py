"""What if: another chance, another severity, another use, held beside what is recorded; nothing is written.

A case is opened once and kept by who asks: then an answer rates again only the scenarios that an assumption touches.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from coldpin.casefile import open_case
from coldpin.checks import BenchEvidence
from coldpin.conclusion.conditions import judge_use
from coldpin.conclusion.scenario_judging import judge_scenario
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.scenarios import arises, set_scenario
from coldpin.conclusion.use_grounds import UseGrounds
from coldpin.records.assessment import Assessment
from coldpin.records.finding import Outcome
from coldpin.records.scenario import (
    Circumstances,
    OwnEstimate,
    OwnSeverity,
)
from coldpin.records.supposed import (
    ScenarioMove,
    SupposedRisk,
    UseMove,
)
from coldpin.standards.book import Book, load_book
from coldpin.standards.risk import worst
from coldpin.workbench.assessing import evidence_of
from coldpin.workbench.drafting import keeping
from coldpin.workbench.injury import usable_estimates, usable_severities
from coldpin.workbench.opening import open_to_assess
from coldpin.workbench.uses import use_grounds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supposing:
    """A case opened to try assumptions on it: its last assessment, and what conditions of use are judged by."""

    assessment: Assessment
    bench: BenchEvidence
    grounds: UseGrounds

    @property
    def book(self) -> Book:
        """The constants, with the case's own."""
        return self.bench.book

    @property
    def nbytes(self) -> int:
        """What its logs take in memory, by far the most of it. [bytes]"""
        return sum(filed.log.nbytes for filed in self.bench.logs)


def open_supposing(folder: Path | str, assessment: Assessment) -> Supposing:
    """Open a case to try assumptions on it.

    Parameters
    ----------
    folder : Path or str
        The case.
    assessment : Assessment
        The last of it, which answers are held beside.

    Returns
    -------
    Supposing
        To be kept as long as that assessment holds.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    InputError
        An own constant leaves out a number that is needed.
    """
    case = open_case(folder)
    opened = replace(
        open_to_assess(folder, keeping(case)),
        description=assessment.case,
        book=load_book().with_own(assessment.case.constants),
    )
    bench = evidence_of(opened)
    grounds = use_grounds(bench, assessment.functions, assessment.findings)
    for one in assessment.conditions_of_use:
        if one.use is not None:
            judge_use(one.use, one.bounds, grounds)  # so that its scenarios are rated, and later only what moves
    return Supposing(assessment=assessment, bench=bench, grounds=grounds)


def suppose_risk(
    known: Supposing, *, estimates: Iterable[OwnEstimate] = (), severities: Iterable[OwnSeverity] = ()
) -> SupposedRisk:
    """Say what becomes of scenarios, level and conditions of use with other assumptions.

    Parameters
    ----------
    known : Supposing
        The case.
    estimates : iterable of OwnEstimate
        What is tried of steps; each takes the place of the case's own of the same step, state and scenario.
    severities : iterable of OwnSeverity
        What is tried of how scenarios end.

    Returns
    -------
    SupposedRisk
        What is recorded beside what is supposed.

    Raises
    ------
    CaseError
        One of them names no scenario or step, or has no source.
    OutsideRange
        An estimate is no span, a severity none of the four.
    """
    tried, ends = tuple(estimates), tuple(severities)
    held, _ = usable_estimates(known.assessment.case)
    graded, _ = usable_severities(known.assessment.case)
    own = (*(one for one in held if not any(_same_step(one, other) for other in tried)), *tried)
    grave = (*(one for one in graded if one.scenario not in {other.scenario for other in ends}), *ends)
    risks = known.grounds.risks.supposing(own, grave)
    scenarios = _scenarios(known, own, grave, _touched(tried, ends))
    recorded = worst(one.level for one in known.assessment.scenarios)
    moved = {move.recorded.id: move.supposed for move in scenarios}
    supposed = worst(moved.get(one.id, one).level for one in known.assessment.scenarios)
    grounds = replace(known.grounds, risks=risks)
    uses = tuple(
        UseMove(recorded=one, supposed=judged)
        for one in known.assessment.conditions_of_use
        if one.use is not None
        for judged in (judge_use(one.use, one.bounds, grounds),)
        if judged != one
    )
    made = SupposedRisk(
        estimates=tried,
        severities=ends,
        scenarios=scenarios,
        recorded=recorded,
        supposed=supposed,
        uses=uses,
        statement="",
    )
    return replace(made, statement=_told(made))


def _same_step(one: OwnEstimate, other: OwnEstimate) -> bool:
    return (one.scenario, one.step, one.state) == (other.scenario, other.step, other.state)


def _touched(estimates: Iterable[OwnEstimate], severities: Iterable[OwnSeverity]) -> frozenset[str]:
    """Name the scenarios in which something tried stands."""
    by_step = {
        plan.id
        for plan in SCENARIOS
        for one in estimates
        if one.scenario in ("", plan.id) and any(step.id == one.step for step in plan.steps)
    }
    return frozenset(by_step | {one.scenario for one in severities})


def _scenarios(
    known: Supposing, own: tuple[OwnEstimate, ...], severities: tuple[OwnSeverity, ...], touched: frozenset[str]
) -> tuple[ScenarioMove, ...]:
    plans = {plan.id: plan for plan in SCENARIOS}
    risks = known.grounds.risks
    titles = {function.id: function.title for function in known.assessment.functions}
    decisive = {one.id: one for one in known.assessment.findings if one.decisive and one.outcome is Outcome.BEYOND}
    moves = []
    for recorded in known.assessment.scenarios:
        if recorded.id not in touched:
            continue
        plan = plans[recorded.id]
        assert arises(plan, risks.known, Circumstances()), "what is recorded arises, and no assumption changes that"
        made = set_scenario(
            known.book,
            plan,
            risks.known,
            zones=risks.zones,
            circumstances=Circumstances(),
            own=tuple(one for one in own if one.scenario in ("", plan.id)),
            severities=severities,
        )
        moves.append(
            ScenarioMove(recorded=recorded, supposed=judge_scenario(known.book, made, titles=titles, decisive=decisive))
        )
    return tuple(moves)


def _told(made: SupposedRisk) -> str:
    levels = [move for move in made.scenarios if move.recorded.level is not move.supposed.level]
    answers = [move for move in made.uses if move.recorded.answer is not move.supposed.answer]
    if made.recorded is made.supposed:
        told = f"The level of this specimen stays {made.recorded.value}"
    else:
        told = f"The level of this specimen moves from {made.recorded.value} to {made.supposed.value}"
    return (
        f"{told}. Scenarios with this assumption: {len(made.scenarios)}, of which {len(levels) or 'none'} on another "
        f"level. Conditions of use with another answer: {len(answers) or 'none'}."
    )
