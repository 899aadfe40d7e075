"""Injury scenarios judged: each step set by what was found, both bounds kept where a function was not shown.

The chain of a scenario is walked twice, once as if every function that was not shown worked and once as if none did.
What was shown, or shown absent, is the same in both. A finding that concludes alone does so before any of this.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from coldpin.conclusion.event_tree import (
    Ending,
    Fork,
    Tree,
    check_span,
)
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.scenario_steps import Ends, ScenarioPlan, StepKind, StepPlan
from coldpin.errors import CaseError, UnknownName
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.scenario import (
    Circumstances,
    Ground,
    OwnEstimate,
    OwnSeverity,
    ShockZones,
    Span,
    Upstream,
    Weather,
)
from coldpin.standards.book import Book
from coldpin.standards.injury_steps import ZoneHarm, step_span, zone_harm
from coldpin.standards.risk import check_severity

CERTAIN = Span(low=1.0, best=1.0, high=1.0)
BETA = "injury.beta"
ABSENT, IDLE = "injury.upstream-absent", "injury.upstream-idle"
AFTER_CUT = "heart-stops-though-cut-off"
AFTER_OWN_CUT = "heart-stops-though-unit-cut-off"
"""Names of the step that a shock which is cut off ends with all the same, where its zone allows it: by a device before
the socket, by the unit."""


class Taken(StrEnum):
    """Which estimate of a step holds: with its functions working, without, or both as they were not shown."""

    WORKS = "works"
    LOST = "lost"
    OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One estimate that a step is made of: its name for the draws, and its span with and without what it rests on.

    ``rows`` are those of the two, one where they are one; ``own`` the case's estimates in their place, None for ours.
    """

    name: str
    works: Span
    lost: Span
    rows: tuple[Limit, ...]
    own: tuple[OwnEstimate | None, ...] = (None,)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetStep:
    """A step as set by what was found: its pieces, which of their estimates hold, and what decided it.

    ``open`` are the functions it rests on that were not shown.
    """

    plan: StepPlan
    pieces: tuple[Piece, ...]
    ground: Ground
    taken: Taken = Taken.LOST
    open: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SetScenario:
    """A scenario with its steps set, under its circumstances, with the tree of its endings.

    ``own_severity`` says why the case puts a severity of its own at the end of its plan; empty where it is ours.
    """

    plan: ScenarioPlan
    circumstances: Circumstances
    steps: tuple[SetStep, ...]
    tree: Tree
    harms: tuple[ZoneHarm, ...]
    own_severity: str = ""

    @property
    def open_functions(self) -> tuple[str, ...]:
        """The functions whose state is open and matters here."""
        return tuple(dict.fromkeys(name for step in self.steps for name in step.open))


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the scenarios are set by: functions and findings by id, and the class of unit.

    ``without_pilot`` is true for mode 1, ``fixed`` for a unit on a wall, ``outlet`` where a cable is plugged into it.
    """

    functions: Mapping[str, ProtectiveFunction]
    findings: Mapping[str, Finding]
    without_pilot: bool = False
    fixed: bool = False
    outlet: bool = False

    def state(self, name: str) -> FunctionState:
        """Return how a function stands for what it protects from; what a lead without a control unit has not is absent.

        Parameters
        ----------
        name : str
            Id of the function.

        Returns
        -------
        FunctionState
            Its state.
        """
        found = self.functions.get(name)
        if found is not None:
            return found.protecting
        return FunctionState.SHOWN_ABSENT if self.without_pilot else FunctionState.NOT_SHOWN

    def beyond(self, names: Iterable[str]) -> tuple[str, ...]:
        """Return which findings conclude alone, or show that a thing is not there.

        Parameters
        ----------
        names : iterable of str
            Ids of findings.

        Returns
        -------
        tuple of str
            Those of them.
        """
        found = (self.findings[name] for name in names if name in self.findings)
        return tuple(
            one.id for one in found if one.outcome is Outcome.BEYOND and one.transfers and (one.decisive or one.absence)
        )

    def within(self, names: Iterable[str]) -> bool:
        """Say whether findings are all there, and as they should be on the closed unit.

        Parameters
        ----------
        names : iterable of str
            Ids of findings.

        Returns
        -------
        bool
            Whether every one of them is.
        """
        found = [self.findings.get(name) for name in names]
        return bool(found) and all(one is not None and one.outcome is Outcome.WITHIN and one.transfers for one in found)


def known(
    functions: Iterable[ProtectiveFunction],
    findings: Iterable[Finding],
    *,
    without_pilot: bool = False,
    fixed: bool = False,
    outlet: bool = False,
) -> Known:
    """Gather what scenarios are set by.

    Parameters
    ----------
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.
    without_pilot : bool
        Whether the unit is of mode 1, which has no pilot and none of its functions.
    fixed : bool
        Whether the unit is fixed to the wall, and has no plug for a socket.
    outlet : bool
        Whether a cable is plugged into it that leads to the vehicle.

    Returns
    -------
    Known
        By id.
    """
    return Known(
        functions={function.id: function for function in functions},
        findings={finding.id: finding for finding in findings},
        without_pilot=without_pilot,
        fixed=fixed,
        outlet=outlet,
    )


def set_scenarios(
    book: Book,
    what: Known,
    *,
    zones: Mapping[Weather, ShockZones],
    circumstances: Circumstances | None = None,
    own: Iterable[OwnEstimate] = (),
    severities: Iterable[OwnSeverity] = (),
) -> tuple[SetScenario, ...]:
    """Set the steps of every scenario that arises by what was found.

    Parameters
    ----------
    book : Book
        The constants.
    what : Known
        Functions and findings.
    zones : mapping
        In which zones a shock lies, dry and wet.
    circumstances : Circumstances, optional
        Place, weather, person and supply; where left out a household outdoors with nothing known of its supply.
    own : iterable of OwnEstimate
        The case's own estimates.
    severities : iterable of OwnSeverity
        How grave scenarios end by the case's own reckoning.

    Returns
    -------
    tuple of SetScenario
        In the order of :data:`~coldpin.conclusion.scenario_plans.SCENARIOS`.

    Raises
    ------
    CaseError
        An own estimate names no scenario or step, or does not say for which state of a function it holds; an own
        severity names no scenario.
    OutsideRange
        An own estimate is no span, an own severity none of the four.
    UnknownName
        A zone does not exist.
    """
    given = circumstances or Circumstances()
    estimates, ends = tuple(own), tuple(severities)
    for estimate in estimates:
        check_estimate(estimate)
    for end in ends:
        check_own_severity(end)
    return tuple(
        set_scenario(book, plan, what, zones=zones, circumstances=given, own=estimates, severities=ends)
        for plan in SCENARIOS
        if arises(plan, what, given)
    )


def set_scenario(
    book: Book,
    plan: ScenarioPlan,
    what: Known,
    *,
    zones: Mapping[Weather, ShockZones],
    circumstances: Circumstances,
    own: Iterable[OwnEstimate] = (),
    severities: Iterable[OwnSeverity] = (),
) -> SetScenario:
    """Set the steps of one scenario by what was found.

    Parameters
    ----------
    book : Book
        The constants.
    plan : ScenarioPlan
        The scenario.
    what : Known
        Functions and findings.
    zones : mapping
        In which zones a shock lies, dry and wet.
    circumstances : Circumstances
        Place, weather, person and supply; those that the scenario fixes are put in place.
    own : iterable of OwnEstimate
        Own estimates that were looked at (:func:`check_estimate`), of any scenario.
    severities : iterable of OwnSeverity
        Own severities that were looked at (:func:`check_own_severity`), of any scenario.

    Returns
    -------
    SetScenario
        The scenario.

    Raises
    ------
    UnknownName
        A zone does not exist.
    """
    end = next((one for one in severities if one.scenario == plan.id), None)
    if end is not None:
        plan = replace(plan, severity=end.severity)
    plan = plan.worded(fixed=what.fixed)
    made = _set(book, plan, what, zones, plan.under(circumstances), tuple(own))
    return made if end is None else replace(made, own_severity=end.source)


def check_estimate(estimate: OwnEstimate) -> None:
    """Refuse an own estimate that would have no effect or cannot be.

    Parameters
    ----------
    estimate : OwnEstimate
        Of the case.

    Raises
    ------
    CaseError
        It names no scenario or step, or does not say for which state of a function it holds; or it has no source.
    OutsideRange
        It is no span.
    """
    where = f"case.toml, [[estimates]] {estimate.scenario or 'every scenario'} / {estimate.step}"
    plans = {plan.id: plan for plan in SCENARIOS}
    if estimate.scenario and estimate.scenario not in plans:
        raise CaseError(str(UnknownName.among(f"scenario in {where}:", estimate.scenario, plans)))
    chosen = [plans[estimate.scenario]] if estimate.scenario else list(SCENARIOS)
    steps = {step.id: step for plan in chosen for step in plan.steps}
    if estimate.step not in steps:
        raise CaseError(str(UnknownName.among(f"step in {where}:", estimate.step, steps)))
    step = steps[estimate.step]
    if step.kind is StepKind.ZONE:
        raise CaseError(f"{where}: this step follows from the zone of the current; give another body current instead")
    if step.functions and not estimate.state:
        raise CaseError(
            f'{where}: this step rests on {" and ".join(step.functions)}: say state = "works" or "does not work"'
        )
    if not step.functions and estimate.state:
        raise CaseError(f"{where}: this step rests on no function: leave state out")
    if not estimate.source.strip():
        raise CaseError(f'{where}: no source: say where the estimate is from, or "judgement"')
    check_span(Span(low=estimate.low, best=estimate.best, high=estimate.high), where)


def check_own_severity(severity: OwnSeverity) -> None:
    """Refuse an own severity that would have no effect or cannot be.

    Parameters
    ----------
    severity : OwnSeverity
        Of the case.

    Raises
    ------
    CaseError
        It names no scenario, or has no source.
    OutsideRange
        It is none of the four.
    """
    where = f"case.toml, [[severities]] {severity.scenario}"
    plans = {plan.id for plan in SCENARIOS}
    if severity.scenario not in plans:
        raise CaseError(str(UnknownName.among("scenario in case.toml, [[severities]]:", severity.scenario, plans)))
    if not severity.source.strip():
        raise CaseError(f"{where}: no source: say where the severity is from, or why it is another than ours")
    check_severity(severity.severity)


def arises(plan: ScenarioPlan, what: Known, circumstances: Circumstances) -> bool:
    """Say whether a scenario can come about at all.

    Parameters
    ----------
    plan : ScenarioPlan
        The scenario.
    what : Known
        Functions, and the class of unit.
    circumstances : Circumstances
        Place, weather, person and supply; those that the scenario fixes are put in place.

    Returns
    -------
    bool
        Whether it can.
    """
    if plan.needs_device and plan.under(circumstances).upstream is Upstream.NONE:
        return False
    if not plan.suits(fixed=what.fixed, outlet=what.outlet):
        return False
    return all(what.state(name) is not FunctionState.SHOWN_ABSENT for name in plan.needs)


def _set(
    book: Book,
    plan: ScenarioPlan,
    what: Known,
    zones: Mapping[Weather, ShockZones],
    given: Circumstances,
    own: tuple[OwnEstimate, ...],
) -> SetScenario:
    shock = zones[given.weather]
    harms = tuple(zone_harm(book, zone) for zone in (shock.cut, shock.lasting, shock.own or shock.cut))
    lasting = harms[1]
    steps = tuple(
        _set_step(book, step, what, given, lasting, tuple(one for one in own if one.scenario in ("", plan.id)))
        for step in plan.steps
    )
    return SetScenario(
        plan=plan,
        circumstances=given,
        steps=steps,
        tree=_tree(plan, *harms),
        harms=harms if any(step.kind is StepKind.ZONE for step in plan.steps) else (),
    )


FIRST_AID, HOSPITAL, GRAVEST = 1, 3, 4


def _tree(plan: ScenarioPlan, cut: ZoneHarm, lasting: ZoneHarm, own: ZoneHarm) -> Tree:
    ends: dict[Ends, Tree] = {
        Ends.UNHURT: Ending(severity=0),
        Ends.STARTLED: Ending(severity=FIRST_AID),
        Ends.JOLTED: _cut_off(cut, AFTER_CUT),
        Ends.CUT_BY_UNIT: _cut_off(own, AFTER_OWN_CUT),
        Ends.SHOCKED: Ending(severity=lasting.severity),
        Ends.CHOKED: Ending(severity=HOSPITAL),
    }
    tree: Tree = Ending(severity=plan.severity)
    for step in reversed(plan.steps):
        tree = Fork(step=step.id, happens=tree, otherwise=ends[step.otherwise])
    return tree


def _cut_off(harm: ZoneHarm, step: str) -> Tree:
    jolt = Ending(severity=harm.severity_brief)
    if harm.fibrillation.best > 0.0:
        return Fork(step=step, happens=Ending(severity=GRAVEST), otherwise=jolt)
    return jolt


def _set_step(
    book: Book, plan: StepPlan, what: Known, given: Circumstances, lasting: ZoneHarm, own: tuple[OwnEstimate, ...]
) -> SetStep:
    if plan.kind is StepKind.UPSTREAM:
        return _upstream(book, plan, given, own)
    if plan.kind is StepKind.ZONE:
        held = lasting.fibrillation
        piece = Piece(name=plan.id, works=held, lost=held, rows=(lasting.limit,))
        return SetStep(plan=plan, pieces=(piece,), ground=Ground.PHYSICS)
    sure = what.beyond(plan.sure)
    if sure:
        piece = Piece(name=plan.id, works=CERTAIN, lost=CERTAIN, rows=(), own=())
        return SetStep(plan=plan, pieces=(piece,), ground=Ground.FINDING, findings=sure)
    if plan.functions:
        set_step = _by_functions(book, plan, what, given, own)
        form = what.findings.get(plan.form)
        if form is not None and form.outcome is Outcome.WITHIN and form.transfers:
            taken = Taken.WORKS if form.reach is Reach.CONSTRUCTION else Taken.LOST
            return replace(set_step, taken=taken, ground=Ground.FINDING, open=(), findings=(form.id,))
        if set_step.taken is Taken.OPEN and what.within(plan.kept):
            return replace(set_step, taken=Taken.WORKS, ground=Ground.FINDING, open=(), findings=plan.kept)
        return set_step
    span, row = step_span(book, _row_id(plan, given))
    mine = _own(own, plan.id, "")
    if mine is not None:
        span = _span_of(mine)
    piece = Piece(name=plan.id, works=span, lost=span, rows=(row,), own=(mine,))
    return SetStep(plan=plan, pieces=(piece,), ground=_ground(row) if mine is None else Ground.OWN)


def _row_id(plan: StepPlan, given: Circumstances) -> str:
    return ".".join(("injury", plan.id, *(getattr(given, name).value for name in plan.by)))


def _by_functions(
    book: Book, plan: StepPlan, what: Known, given: Circumstances, own: tuple[OwnEstimate, ...]
) -> SetStep:
    spans, rows, mine = [], [], []
    for state, word in ((Taken.WORKS, "works"), (Taken.LOST, "does not work")):
        span, row = step_span(book, f"{_row_id(plan, given)}.{state.value}")
        mine.append(_own(own, plan.id, word))
        spans.append(span if mine[-1] is None else _span_of(mine[-1]))
        rows.append(row)
    states = {name: _state_here(plan, what, name) for name in plan.functions}
    lost = [name for name, state in states.items() if state in (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)]
    if lost:
        taken, ground = Taken.LOST, Ground.FUNCTION
    elif all(state is FunctionState.SHOWN for state in states.values()):
        taken, ground = Taken.WORKS, Ground.FUNCTION
    else:
        taken, ground = Taken.OPEN, Ground.OPEN
    return SetStep(
        plan=plan,
        pieces=(Piece(name=plan.id, works=spans[0], lost=spans[1], rows=tuple(rows), own=tuple(mine)),),
        taken=taken,
        ground=ground,
        open=tuple(name for name, state in states.items() if state is FunctionState.NOT_SHOWN and not lost),
        findings=() if taken is Taken.OPEN else _deciding(what, lost or list(states), beyond=bool(lost)),
    )


def _state_here(plan: StepPlan, what: Known, name: str) -> FunctionState:
    """Return how a function stands where the step is: open where only findings of another place speak against it."""
    state = what.state(name)
    if plan.elsewhere and state in (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT):
        against = _deciding(what, (name,), beyond=True)
        if against and set(against) <= set(plan.elsewhere):
            return FunctionState.NOT_SHOWN
    return state


def _deciding(what: Known, functions: Iterable[str], *, beyond: bool) -> tuple[str, ...]:
    """Return the findings behind functions' states: those beyond where they are lost, else all of them."""
    named = dict.fromkeys(one for name in functions if name in what.functions for one in what.functions[name].findings)
    if not beyond:
        return tuple(named)
    return tuple(one for one in named if one in what.findings and what.findings[one].outcome is Outcome.BEYOND)


def _upstream(book: Book, plan: StepPlan, given: Circumstances, own: tuple[OwnEstimate, ...]) -> SetStep:
    fails_row = f"{IDLE}.tested" if given.upstream is Upstream.TESTED else IDLE
    (absent, absent_limit), (fails, fails_limit) = (
        step_span(book, f"{ABSENT}.{given.upstream.value}"),
        step_span(book, fails_row),
    )
    mine = None if given.upstream is Upstream.NONE else _own(own, plan.id, "")
    if mine is not None:  # of the step as a whole: none there, or it does not act
        absent, fails = _span_of(mine), Span(low=0.0, best=0.0, high=0.0)
    pieces = [
        Piece(name="upstream-absent", works=absent, lost=absent, rows=(absent_limit,), own=(mine,)),
        Piece(name="upstream-idle", works=fails, lost=fails, rows=(fails_limit,), own=(mine,)),
    ]
    if plan.common_with:
        beta, beta_limit = step_span(book, BETA)
        pieces.append(Piece(name="beta", works=beta, lost=beta, rows=(beta_limit,)))
    if plan.blind and mine is None:
        unseen, unseen_limit = step_span(book, f"injury.{plan.blind}.{given.residual_type.value}")
        pieces.append(Piece(name=plan.blind, works=unseen, lost=unseen, rows=(unseen_limit,)))
    if mine is not None:
        ground = Ground.OWN
    elif given.upstream is Upstream.NONE:
        ground = Ground.STATED
    else:
        ground = Ground.PUBLISHED if given.upstream is Upstream.FITTED else Ground.JUDGEMENT
    return SetStep(plan=plan, pieces=tuple(pieces), ground=ground)


def _ground(row: Limit) -> Ground:
    if row.asserted_by:
        return Ground.OWN
    return Ground.JUDGEMENT if row.standing is Standing.JUDGEMENT else Ground.PUBLISHED


def _own(own: tuple[OwnEstimate, ...], step: str, state: str) -> OwnEstimate | None:
    """Return the case's own estimate of a step: that for the scenario before that for every one."""
    fitting = [one for one in own if one.step == step and one.state == state]
    return max(fitting, key=lambda one: bool(one.scenario), default=None)


def _span_of(own: OwnEstimate) -> Span:
    return Span(low=own.low, best=own.best, high=own.high)
