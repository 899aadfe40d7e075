"""What if: another chance, another severity, another use, held beside what is recorded; nothing is written.

A case is opened once and kept by who asks: then an answer rates again only the scenarios that an assumption touches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from coldpin.casefile import open_case
from coldpin.checks import BenchEvidence
from coldpin.conclusion.conditions import judge_use
from coldpin.conclusion.scenario_chances import none_acts
from coldpin.conclusion.scenario_judging import judge_scenario
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.scenario_steps import StepKind
from coldpin.conclusion.scenarios import SetStep, Taken, arises, set_scenario
from coldpin.conclusion.use_grounds import UseGrounds
from coldpin.conclusion.uses import read_use
from coldpin.errors import UnknownName
from coldpin.quantity import format_value
from coldpin.records.assessment import Assessment
from coldpin.records.case import ConditionOfUse, OwnConstant
from coldpin.records.finding import Limit, Outcome
from coldpin.records.scenario import (
    Circuit,
    Circumstances,
    Earthing,
    Ground,
    OwnEstimate,
    OwnSeverity,
    Person,
    ResidualType,
    ScenarioStep,
    Span,
    Upstream,
    Watch,
)
from coldpin.records.supposed import (
    AssumedStep,
    FindingMove,
    FunctionMove,
    ScenarioMove,
    StepEstimate,
    SupposedConstant,
    SupposedRisk,
    SupposedUse,
    UseMove,
)
from coldpin.records.use import Coiled, Use
from coldpin.standards.book import Book, load_book
from coldpin.standards.risk import worst
from coldpin.standards.wording import limit_value
from coldpin.workbench.assessing import assess, evidence_of, open_to_assess
from coldpin.workbench.drafting import keeping
from coldpin.workbench.injury import usable_estimates, usable_severities
from coldpin.workbench.uses import bounds_of, use_grounds


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


def assumed_steps(known: Supposing, scenario: str) -> tuple[AssumedStep, ...]:
    """Return the steps of a scenario with what was assumed for each.

    Parameters
    ----------
    known : Supposing
        The case.
    scenario : str
        Id of the scenario.

    Returns
    -------
    tuple of AssumedStep
        In the order of the chain.

    Raises
    ------
    UnknownName
        No scenario of that name was judged for this case.
    """
    recorded = {one.id: one for one in known.assessment.scenarios}
    if scenario not in recorded:
        raise UnknownName.among("scenario", scenario, recorded)
    risks = known.grounds.risks
    made = set_scenario(
        known.book,
        next(plan for plan in SCENARIOS if plan.id == scenario),
        risks.known,
        zones=risks.zones,
        circumstances=Circumstances(),
        own=tuple(one for one in risks.own if one.scenario in ("", scenario)),
        severities=risks.severities,
    )
    return tuple(_assumed(set_, step) for set_, step in zip(made.steps, recorded[scenario].steps, strict=True))


def _assumed(set_: SetStep, step: ScenarioStep) -> AssumedStep:
    (first, *_) = set_.pieces
    if set_.plan.kind is StepKind.ZONE:
        fixed = "It follows from the zone of the current through the body: another body current moves it."
        return AssumedStep(step=step, estimates=(), fixed=fixed)
    if not first.rows:
        return AssumedStep(step=step, estimates=(), fixed="It was found in these tests, and is no assumption.")
    if set_.ground is Ground.STATED:
        return AssumedStep(step=step, estimates=(), fixed="The scenario says so, and it is no assumption.")
    if set_.plan.kind is StepKind.UPSTREAM:
        return AssumedStep(step=step, estimates=(_upstream(set_),))
    if not set_.plan.functions:
        return AssumedStep(step=step, estimates=(_estimate("", first.lost, first.rows[:1], first.own[0]),))
    both = (
        _estimate("works", first.works, first.rows[:1], first.own[0]),
        _estimate("does not work", first.lost, first.rows[1:], first.own[1]),
    )
    return AssumedStep(step=step, estimates=both if set_.taken is not Taken.LOST else both[1:])


def _upstream(set_: SetStep) -> StepEstimate:
    """Return what was taken of devices before the socket as a whole, before any cause shared with the unit's own."""
    ends = [
        none_acts({piece.name: getattr(piece.lost, end) for piece in set_.pieces}, set_.plan.blind)
        for end in ("low", "best", "high")
    ]
    rows = tuple(row for piece in set_.pieces if piece.name != "beta" for row in piece.rows)
    return _estimate("", Span(low=ends[0], best=ends[1], high=ends[2]), rows, set_.pieces[0].own[0])


def _estimate(state: str, span: Span, rows: tuple[Limit, ...], own: OwnEstimate | None) -> StepEstimate:
    return StepEstimate(
        state=state,
        span=span,
        source=own.source if own else "; ".join(dict.fromkeys(row.source for row in rows)),
        standing="this case" if own else "; ".join(dict.fromkeys(row.standing.value for row in rows)),
        limits=tuple(row.id for row in rows),
        own=own,
    )


def suppose_use(known: Supposing, condition: ConditionOfUse, *, beside: str = "") -> SupposedUse:
    """Judge a condition of use that a person tries.

    Parameters
    ----------
    known : Supposing
        The case.
    condition : ConditionOfUse
        As it would stand in the case.
    beside : str
        Name of a recorded use that it is held beside; none where empty.

    Returns
    -------
    SupposedUse
        Its answer with measures and grounds, and what is decided outside the case.

    Raises
    ------
    CaseError
        A word or number of it cannot be read.
    UnknownName
        No recorded use has that name.
    InputError
        An own constant leaves out a number that is needed.
    """
    by_name = {one.name: one for one in known.assessment.conditions_of_use}
    if beside and beside not in by_name:
        raise UnknownName.among("condition of use", beside, by_name)
    recorded = by_name.get(beside)
    use = read_use(known.book, condition, country=known.assessment.case.claims.country)
    supposed = judge_use(use, bounds_of(known.bench, use), known.grounds)
    return SupposedUse(
        condition=condition,
        supposed=supposed,
        recorded=recorded,
        outside=_outside(supposed.local_codes, use, None if recorded is None else recorded.use),
    )


def _outside(local_codes: str, use: Use, base: Use | None) -> tuple[str, ...]:
    """Say what no test of this case decides: the supply as stated, sockets, local codes."""
    stated = [
        words
        for words, known in (
            ("a residual-current device before the socket", use.circumstances.upstream),
            ("its type", use.circumstances.residual_type),
            ("the earthing of the supply", use.circumstances.earthing),
            ("the circuit", use.circumstances.circuit),
        )
        if known.value != "unknown"
    ]
    said = [f"Taken as stated, and not looked at in these tests: {', '.join(stated)}."] if stated else []
    if use.circumstances.upstream is Upstream.TESTED:
        said.append("That the device before the socket was tried is the user's own record, and wants trying again.")
    if base is not None and base.sockets and not use.sockets:
        said.append("Which sockets fit there is not asked of a use of the case's own.")
    return (*said, local_codes)


_PEOPLE = {Person.SKILLED: "electricians", Person.HOUSEHOLD: "a household", Person.ANYONE: "anybody"}
_CIRCUITS = {Circuit.OWN: "yes", Circuit.SHARED: "no", Circuit.UNKNOWN: ""}
_COILS = {Coiled.YES: "yes", Coiled.NO: "no", Coiled.UNKNOWN: ""}


def condition_of(use: Use, *, name: str) -> ConditionOfUse:
    """Write a use that is understood, such as a usual place, in the words of a case, to be varied.

    Parameters
    ----------
    use : Use
        As understood.
    name : str
        What it is to be called.

    Returns
    -------
    ConditionOfUse
        Read again it gives the same circumstances, supply, air, hours and cable.

    Examples
    --------
    >>> condition_of(Use(id="", name="x", circumstances=Circumstances(), supply_a=16.0), name="shed").supply_rating
    '16 A'
    """
    given = use.circumstances
    return ConditionOfUse(
        name=name,
        place=given.place.value,
        weather=given.weather.value,
        person=_PEOPLE[given.person],
        supply_rating="" if use.supply_a is None else format_value(use.supply_a, "A"),
        device=use.device,
        residual_device="" if given.upstream is Upstream.UNKNOWN else given.upstream.value,
        residual_type="" if given.residual_type is ResidualType.UNKNOWN else given.residual_type.value,
        residual_current=use.residual_current,
        earthing="" if given.earthing is Earthing.UNKNOWN else given.earthing.value,
        own_circuit=_CIRCUITS[given.circuit],
        ambient="" if use.ambient is None else format_value(use.ambient, "°C"),
        coiled=_COILS[use.coiled],
        hours="" if use.hours is None else format_value(use.hours, "h"),
        country=use.country,
        attended="yes" if given.watch is Watch.ATTENDED else "no",
    )


def suppose_constant(
    folder: Path | str,
    own: OwnConstant,
    recorded: Assessment,
    *,
    progress: Callable[[float], None] | None = None,
) -> SupposedConstant:
    """Assess a case with another value of a constant, and say what comes out otherwise.

    Parameters
    ----------
    folder : Path or str
        The case.
    own : OwnConstant
        The value that is tried.
    recorded : Assessment
        What it is held beside.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    SupposedConstant
        What moves.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    UnknownName
        There is no such constant or standing.
    InputError
        The value has no number, numbers out of order, or no source.
    """
    case = open_case(folder)
    held = case.description()
    constants = (*(one for one in held.constants if one.id != own.id), own)
    book = load_book()
    before, after = book.with_own(recorded.case.constants).limit(own.id), book.with_own(constants).limit(own.id)
    made = assess(folder, progress=progress, keep=keeping(case), description=replace(held, constants=constants))
    headlines = (recorded.conclusion.headline.text, made.conclusion.headline.text)
    return SupposedConstant(
        id=own.id,
        recorded=limit_value(before),
        supposed=limit_value(after),
        rest=tuple(
            dict.fromkeys(
                one.title
                for one in (*recorded.findings, *made.findings)
                if one.limit is not None and one.limit.id == own.id
            )
        ),
        findings=_finding_moves(recorded, made),
        functions=_function_moves(recorded, made),
        headline=tuple(dict.fromkeys(headlines)),
    )


def _finding_moves(recorded: Assessment, made: Assessment) -> tuple[FindingMove, ...]:
    before = {one.id: one for one in recorded.findings}
    after = {one.id: one for one in made.findings}
    moves = []
    for name in dict.fromkeys((*before, *after)):
        one, other = before.get(name), after.get(name)
        outcomes = (None if one is None else one.outcome, None if other is None else other.outcome)
        if outcomes[0] is outcomes[1]:
            continue
        shown = other or one
        assert shown is not None, "a name is of one of the two"
        moves.append(
            FindingMove(
                id=name, title=shown.title, recorded=outcomes[0], supposed=outcomes[1], statement=shown.statement
            )
        )
    return tuple(moves)


def _function_moves(recorded: Assessment, made: Assessment) -> tuple[FunctionMove, ...]:
    after = {one.id: one for one in made.functions}
    return tuple(
        FunctionMove(id=one.id, title=one.title, recorded=one.state, supposed=after[one.id].state)
        for one in recorded.functions
        if one.id in after and after[one.id].state is not one.state
    )
