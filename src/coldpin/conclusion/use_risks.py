"""The levels of the injury scenarios under the circumstances of a use, with and without what was not shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from coldpin.conclusion.rating import tree_level
from coldpin.conclusion.scenario_chances import best_chances
from coldpin.conclusion.scenario_steps import ScenarioPlan
from coldpin.conclusion.scenarios import Known, set_scenarios
from coldpin.records.function import FunctionState
from coldpin.records.scenario import Circumstances, OwnEstimate, RiskLevel, ShockZones, Upstream, Weather
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
    """What scenarios are judged by, whatever the circumstances; levels are kept once they were found."""

    book: Book
    known: Known
    zones: Mapping[Weather, ShockZones]
    own: tuple[OwnEstimate, ...] = ()
    _held: dict[Circumstances, tuple[UseRisk, ...]] = field(init=False, repr=False, compare=False, default_factory=dict)

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
    book, known = grounds.book, grounds.known
    found = []
    for scenario in set_scenarios(book, known, zones=grounds.zones, circumstances=circumstances, own=grounds.own):
        if _contradicts(scenario.plan, circumstances):
            continue
        named = dict.fromkeys(name for step in scenario.plan.steps for name in step.functions)
        worst = tree_level(book, scenario.tree, best_chances(scenario))
        open_ = scenario.open_functions
        found.append(
            UseRisk(
                plan=scenario.plan,
                worst=worst,
                mildest=tree_level(book, scenario.tree, best_chances(scenario, lambda _: True)) if open_ else worst,
                open=open_,
                lost=tuple(name for name in named if known.state(name) in LOST),
                sure=tuple(
                    dict.fromkeys(name for step in scenario.steps for name in step.findings if name in step.plan.sure)
                ),
            )
        )
    return sorted(found, key=lambda risk: (LEVELS.index(risk.worst), LEVELS.index(risk.mildest)), reverse=True)


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
