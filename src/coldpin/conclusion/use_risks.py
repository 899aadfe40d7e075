"""The levels of the injury scenarios under the circumstances of a use, with and without what was not shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace

from coldpin.conclusion.rating import tree_level
from coldpin.conclusion.scenario_chances import best_chances
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.scenario_steps import ScenarioPlan, StepKind
from coldpin.conclusion.scenarios import Known, arises, check_estimate, check_own_severity, set_scenario
from coldpin.records.function import FunctionState
from coldpin.records.scenario import (
    Circumstances,
    OwnEstimate,
    OwnSeverity,
    RiskLevel,
    ShockZones,
    Upstream,
    Weather,
)
from coldpin.standards.book import Book
from coldpin.standards.risk import LEVELS


@dataclass(frozen=True, slots=True, kw_only=True)
class UseRisk:
    """One scenario under circumstances.

    ``worst`` is its level with none of the functions working that were not shown, ``mildest`` with all of them.
    ``open`` are those functions, ``lost`` those that are faulty or absent, ``sure`` the findings that make a step
    certain.
    """

    plan: ScenarioPlan
    worst: RiskLevel
    mildest: RiskLevel
    open: tuple[str, ...]
    lost: tuple[str, ...]
    sure: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskGrounds:
    """What scenarios are judged by, whatever the circumstances; levels are kept once they were found.

    ``own`` and ``severities`` are the case's own estimates and severities, which were looked at.
    """

    book: Book
    known: Known
    zones: Mapping[Weather, ShockZones]
    own: tuple[OwnEstimate, ...] = ()
    severities: tuple[OwnSeverity, ...] = ()
    _held: dict[Circumstances, tuple[UseRisk, ...]] = field(init=False, repr=False, compare=False, default_factory=dict)
    _each: dict[object, UseRisk] = field(repr=False, compare=False, default_factory=dict)

    def supposing(self, own: Iterable[OwnEstimate], severities: Iterable[OwnSeverity]) -> RiskGrounds:
        """Return the same with other estimates and severities; scenarios that they do not touch are not rated again.

        Parameters
        ----------
        own : iterable of OwnEstimate
            All own estimates.
        severities : iterable of OwnSeverity
            All own severities.

        Returns
        -------
        RiskGrounds
            The grounds.

        Raises
        ------
        CaseError
            One of them names no scenario or step.
        OutsideRange
            An estimate is no span, a severity none of the four.
        """
        estimates, ends = tuple(own), tuple(severities)
        for estimate in estimates:
            check_estimate(estimate)
        for end in ends:
            check_own_severity(end)
        return replace(self, own=estimates, severities=ends)

    def under(self, circumstances: Circumstances) -> tuple[UseRisk, ...]:
        """Return the scenarios that arise under circumstances.

        Parameters
        ----------
        circumstances : Circumstances
            Place, weather, person and supply.

        Returns
        -------
        tuple of UseRisk
            Worst first; those that contradict the circumstances are left out.

        Raises
        ------
        InputError
            An own constant leaves out a number that is needed.
        """
        if circumstances not in self._held:
            self._held[circumstances] = tuple(_levels(self, circumstances))
        return self._held[circumstances]


def _levels(grounds: RiskGrounds, circumstances: Circumstances) -> Iterable[UseRisk]:
    found = [
        _kept(grounds, plan, circumstances)
        for plan in SCENARIOS
        if arises(plan, grounds.known, circumstances) and not _contradicts(plan, circumstances)
    ]
    return sorted(found, key=lambda risk: (LEVELS.index(risk.worst), LEVELS.index(risk.mildest)), reverse=True)


def _kept(grounds: RiskGrounds, plan: ScenarioPlan, circumstances: Circumstances) -> UseRisk:
    """Return a scenario's levels, found once for all circumstances and estimates that are alike for it."""
    given = plan.under(circumstances)
    key = (
        plan.id,
        tuple(getattr(given, name) for name in _BEARING[plan.id]),
        tuple(one for one in grounds.own if one.scenario in ("", plan.id) and one.step in _STEPS[plan.id]),
        tuple(one for one in grounds.severities if one.scenario == plan.id),
    )
    if key not in grounds._each:
        grounds._each[key] = _rated(grounds, plan, circumstances)
    return grounds._each[key]


def _rated(grounds: RiskGrounds, plan: ScenarioPlan, circumstances: Circumstances) -> UseRisk:
    book, known = grounds.book, grounds.known
    scenario = set_scenario(
        book,
        plan,
        known,
        zones=grounds.zones,
        circumstances=circumstances,
        own=grounds.own,
        severities=grounds.severities,
    )
    named = dict.fromkeys(name for step in plan.steps for name in step.functions)
    worst = tree_level(book, scenario.tree, best_chances(scenario))
    open_ = scenario.open_functions
    return UseRisk(
        plan=scenario.plan,
        worst=worst,
        mildest=tree_level(book, scenario.tree, best_chances(scenario, lambda _: True)) if open_ else worst,
        open=open_,
        lost=tuple(name for name in named if known.state(name) in LOST),
        sure=tuple(dict.fromkeys(name for step in scenario.steps for name in step.findings if name in step.plan.sure)),
    )


def bearing(plan: ScenarioPlan) -> tuple[str, ...]:
    """Return which circumstances a scenario's estimates may follow.

    Parameters
    ----------
    plan : ScenarioPlan
        The scenario.

    Returns
    -------
    tuple of str
        Names of fields of :class:`~coldpin.records.scenario.Circumstances`, in their order; the weather always, for a
        shock follows the skin.
    """
    named = {"weather"}.union(*(step.by for step in plan.steps))
    if any(step.kind is StepKind.UPSTREAM for step in plan.steps):
        named |= {"upstream", "residual_type"}
    return tuple(one.name for one in fields(Circumstances) if one.name in named)


_BEARING = {plan.id: bearing(plan) for plan in SCENARIOS}
_STEPS = {plan.id: frozenset(step.id for step in plan.steps) for plan in SCENARIOS}


LOST = (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)
"""States in which a function does not protect."""


def _contradicts(plan: ScenarioPlan, circumstances: Circumstances) -> bool:
    """Say whether a scenario presumes what the circumstances say otherwise."""
    if plan.given.get("weather") is Weather.WET and circumstances.weather is Weather.DRY:
        return True
    upstream, presumed = circumstances.upstream, plan.given.get("upstream")
    if presumed is Upstream.NONE:
        return upstream in (Upstream.TESTED, Upstream.FITTED)
    return presumed is not None and upstream is Upstream.NONE
