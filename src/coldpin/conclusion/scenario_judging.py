"""Scenarios rated and put into words: bands with and without what was not shown, and the step that moves the level."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from coldpin.conclusion.event_tree import Fork, Tree, chance_of, interval, severities, together
from coldpin.conclusion.rating import sensitivity, tree_level
from coldpin.conclusion.risk_telling import plain_scenario, scenario_statement, specimen_statement
from coldpin.conclusion.scenario_chances import best_chances, drawn_chances, none_acts
from coldpin.conclusion.scenario_steps import StepKind
from coldpin.conclusion.scenarios import SetScenario, SetStep, Taken
from coldpin.records.finding import Finding, Limit, Outcome, Standing
from coldpin.records.function import ProtectiveFunction
from coldpin.records.scenario import (
    Circumstances,
    InjuryScenario,
    MatrixRow,
    OwnEstimate,
    RiskLevel,
    ScenarioBand,
    ScenarioStep,
    ShockZones,
    Span,
    SpecimenRisk,
    StepAssumption,
)
from coldpin.standards.book import Book
from coldpin.standards.risk import (
    LEVELS,
    SEVERITIES,
    band_of,
    exactly,
    risk_bands,
    risk_level,
    severity_meaning,
    worst,
)


def judge_scenario(
    book: Book,
    scenario: SetScenario,
    *,
    titles: Mapping[str, str],
    decisive: Mapping[str, Finding],
) -> InjuryScenario:
    """Rate one scenario, with all that was not shown working and with none of it.

    Parameters
    ----------
    book : Book
        The constants.
    scenario : SetScenario
        With its steps set.
    titles : mapping
        Titles of functions by id.
    decisive : mapping
        The findings that conclude alone, by id.

    Returns
    -------
    InjuryScenario
        Its bands, level, and what moves it.

    Raises
    ------
    OutsideRange
        A probability of an own constant is none.
    """
    lost, works = best_chances(scenario), best_chances(scenario, lambda _: True)
    open_ = scenario.open_functions
    worst_band = _band(book, scenario, lost, drawn_chances(scenario, _without))
    mildest = _band(book, scenario, works, drawn_chances(scenario, _with)) if open_ else worst_band
    told = sensitivity(book, scenario.tree, lost, {step.plan.id: step.plan.text for step in scenario.steps})
    steps = _steps(book, scenario, lost)
    mover = _mover(book, scenario, steps, worst_band.level, mildest.level)
    open_titles = [titles.get(name, name) for name in open_]
    moving = next((step.text.removesuffix(".") for step in steps if step.id == mover), "")
    concluding = tuple(
        name
        for name, finding in decisive.items()
        if any(name in step.plan.sure or set(finding.functions) & set(step.plan.functions) for step in scenario.steps)
    )
    plan = scenario.plan
    return InjuryScenario(
        id=plan.id,
        title=plan.title,
        injury=plan.injury,
        circumstances=tuple((name, getattr(scenario.circumstances, name).value) for name in _matters(scenario)),
        steps=steps,
        worst=worst_band,
        mildest=mildest,
        level=worst_band.level,
        open_functions=open_,
        decisive=concluding,
        sensitivity=told,
        mover=mover,
        statement=scenario_statement(worst_band, mildest, open_titles, moving),
        plain=plain_scenario(plan.title, plan.injury, worst_band.level, mildest.level, open_titles),
        severity=plan.severity,
        own_severity=scenario.own_severity,
    )


def judge_specimen(
    book: Book,
    scenarios: Iterable[SetScenario],
    *,
    functions: Iterable[ProtectiveFunction],
    findings: Iterable[Finding],
    zones: Iterable[ShockZones],
) -> tuple[tuple[InjuryScenario, ...], SpecimenRisk]:
    """Rate every scenario and the specimen, whose level is that of its worst.

    Parameters
    ----------
    book : Book
        The constants.
    scenarios : iterable of SetScenario
        With their steps set.
    functions : iterable of ProtectiveFunction
        For their titles.
    findings : iterable of Finding
        All findings; those that conclude alone are named.
    zones : iterable of ShockZones
        What shocks were computed from.

    Returns
    -------
    tuple
        The scenarios, worst first, and the specimen's risk.

    Raises
    ------
    OutsideRange
        A probability of an own constant is none.
    """
    sets = tuple(scenarios)
    titles = {function.id: function.title for function in functions}
    decisive = {one.id: one for one in findings if one.decisive and one.outcome is Outcome.BEYOND}
    judged = tuple(judge_scenario(book, one, titles=titles, decisive=decisive) for one in sets)
    ordered = tuple(sorted(judged, key=_gravest_first))
    level, mildest = worst(one.level for one in judged), worst(one.mildest.level for one in judged)
    worst_ones = tuple(one for one in ordered if one.level is level)
    at_best = tuple(one for one in ordered if one.mildest.level is mildest)
    return ordered, SpecimenRisk(
        level=level,
        mildest=mildest,
        worst=tuple(one.id for one in worst_ones),
        decisive=tuple(decisive),
        statement=specimen_statement(worst_ones, at_best, titles=titles, decisive=len(decisive)),
        matrix=tuple(
            MatrixRow(label=band.label, lower=float(band.lower), levels=band.levels) for band in risk_bands(book)
        ),
        severities=tuple(severity_meaning(book, severity).title for severity in SEVERITIES),
        assumptions=_assumptions(sets),
        shock=tuple(dict.fromkeys(one.because for one in zones)),
        limits=_limits(book, sets),
    )


def _with(step: SetStep, works: NDArray[np.float64], lost: NDArray[np.float64]) -> NDArray[np.float64]:
    del step, lost
    return works


def _without(step: SetStep, works: NDArray[np.float64], lost: NDArray[np.float64]) -> NDArray[np.float64]:
    del step, works
    return lost


def _gravest_first(one: InjuryScenario) -> tuple[int, int, float]:
    return (-LEVELS.index(one.level), -LEVELS.index(one.mildest.level), -one.worst.probability)


def _matters(scenario: SetScenario) -> tuple[str, ...]:
    """Name the circumstances that a step of the scenario depends on."""
    named = {name for step in scenario.steps for name in step.plan.by}
    if any(step.plan.kind is StepKind.UPSTREAM for step in scenario.steps):
        named.add("upstream")
    if scenario.harms:
        named.add("weather")
    return tuple(one.name for one in fields(Circumstances) if one.name in named)


def _band(
    book: Book,
    scenario: SetScenario,
    best: Mapping[str, Fraction],
    draws: Mapping[str, NDArray[np.float64]],
) -> ScenarioBand:
    found = sorted(severities(scenario.tree))
    chances = {severity: chance_of(scenario.tree, best, severity) for severity in found}
    levels = {severity: risk_level(book, chance, severity) for severity, chance in chances.items()}
    level = worst(levels.values())
    governing = max(severity for severity in found if levels[severity] is level)
    ends = {severity: interval(chance_of(scenario.tree, draws, severity)) for severity in found}
    low, high = ends[governing]
    at_ends = tuple(
        worst(risk_level(book, min(end[side], 1.0), severity) for severity, end in ends.items()) for side in (0, 1)
    )
    chance = chances[governing]
    return ScenarioBand(
        severity=governing,
        probability=float(chance),
        low=low,
        high=high,
        band=band_of(book, chance).label,
        bands=(band_of(book, min(low, 1.0)).label, band_of(book, min(high, 1.0)).label),
        level=level,
        levels=(at_ends[0], at_ends[1]),
    )


def _steps(book: Book, scenario: SetScenario, lost: Mapping[str, Fraction]) -> tuple[ScenarioStep, ...]:
    so_far, steps = Fraction(1), []
    for step in scenario.steps:
        name = step.plan.id
        so_far *= lost[name]
        span, if_works = _span(step, lost), None
        if step.taken is Taken.OPEN:
            works = step.pieces[0].works
            if_works = Span(
                low=min(works.low, span.low), best=min(works.best, span.best), high=min(works.high, span.high)
            )
        low = (if_works or span).low
        steps.append(
            ScenarioStep(
                id=name,
                text=step.plan.text,
                span=span,
                if_works=if_works,
                ground=step.ground,
                functions=step.plan.functions,
                findings=step.findings,
                source=_source(step),
                limits=tuple(row.id for row, own in _rows(step) if own is None),
                otherwise=_otherwise(scenario.tree, name),
                so_far=float(so_far),
                level_at_low=tree_level(book, scenario.tree, {**lost, name: exactly(low)}),
                level_at_high=tree_level(book, scenario.tree, {**lost, name: exactly(span.high)}),
            )
        )
    return tuple(steps)


def _span(step: SetStep, best: Mapping[str, Fraction]) -> Span:
    """Return the span of a step as it stands in its chain."""
    if step.plan.kind is not StepKind.UPSTREAM:
        piece = step.pieces[0]
        if step.taken is Taken.WORKS:
            works, lost = piece.works, piece.lost
            return Span(low=min(works.low, lost.low), best=min(works.best, lost.best), high=min(works.high, lost.high))
        return piece.lost
    first = best[step.plan.common_with] if step.plan.common_with else None
    ends = []
    for end in ("low", "best", "high"):
        held = {piece.name: exactly(getattr(piece.lost, end)) for piece in step.pieces}
        chance = none_acts(held, step.plan.blind)
        ends.append(float(chance if first is None else together(first, chance, held["beta"])))
    return Span(low=ends[0], best=ends[1], high=ends[2])


def _rows(step: SetStep) -> tuple[tuple[Limit, OwnEstimate | None], ...]:
    """Return the rows that a step's estimates are from, and the case's own in their place."""
    kept: list[tuple[Limit, OwnEstimate | None]] = []
    for piece in step.pieces:
        pairs = tuple(zip(piece.rows, piece.own * (len(piece.rows) // max(len(piece.own), 1)), strict=True))
        if len(pairs) > 1 and step.taken is not Taken.OPEN:
            pairs = pairs[:1] if step.taken is Taken.WORKS else pairs[1:]
        kept += pairs
    return tuple(kept)


def _source(step: SetStep) -> str:
    if not step.pieces[0].rows:
        return "found in these tests"
    return "; ".join(dict.fromkeys(own.source if own else row.source for row, own in _rows(step)))


def _otherwise(tree: Tree, name: str) -> int:
    """Return the severity with which a chain ends where a step does not happen."""
    while isinstance(tree, Fork) and tree.step != name:
        tree = tree.happens
    while isinstance(tree, Fork):
        tree = tree.otherwise
    return tree.severity


def _mover(
    book: Book, scenario: SetScenario, steps: tuple[ScenarioStep, ...], level: RiskLevel, mildest: RiskLevel
) -> str:
    """Return the step that moves the level: one that is open before one that is only uncertain."""
    if mildest is not level:
        alone = {
            step.plan.id: LEVELS.index(
                tree_level(book, scenario.tree, best_chances(scenario, set(step.open).__contains__))
            )
            for step in scenario.steps
            if step.taken is Taken.OPEN
        }
        return min(alone, key=lambda name: alone[name])
    moving = [step for step in steps if step.level_at_low is not step.level_at_high]
    return max(moving, key=_width).id if moving else ""


def _width(step: ScenarioStep) -> float:
    return math.log(step.span.high / step.span.low) if step.span.low > 0.0 else 0.0


def _assumptions(sets: tuple[SetScenario, ...]) -> tuple[StepAssumption, ...]:
    """List what was taken for each step, once for each row, with the scenarios it stands in."""
    held: dict[tuple[str, str], tuple[StepAssumption, list[str]]] = {}
    for scenario in sets:
        for step in scenario.steps:
            for row, own in _rows(step):
                one = _assumption(step, row, own)
                held.setdefault((one.limit, one.source), (one, []))[1].append(scenario.plan.id)
    return tuple(replace(one, scenarios=tuple(dict.fromkeys(names))) for one, names in held.values())


def _assumption(step: SetStep, row: Limit, own: OwnEstimate | None) -> StepAssumption:
    state = {"works": "works", "lost": "does not work"}.get(row.id.rpartition(".")[2], "")
    ours = Span(low=row.minimum or 0.0, best=row.nominal or 0.0, high=row.maximum or 0.0)
    return StepAssumption(
        step=step.plan.id,
        state=state,
        limit=row.id,
        title=row.title,
        span=ours if own is None else Span(low=own.low, best=own.best, high=own.high),
        source=row.source if own is None else own.source,
        standing=row.standing.value if own is None else "this case",
        scenarios=(),
        own=own is not None or bool(row.asserted_by),
    )


def _limits(book: Book, sets: tuple[SetScenario, ...]) -> tuple[Limit, ...]:
    used = [row for scenario in sets for step in scenario.steps for row, own in _rows(step) if own is None]
    used += [harm.limit for scenario in sets for harm in scenario.harms]
    matrix = [band.limit for band in risk_bands(book)]
    known = [limit for limit in used if limit.standing is not Standing.JUDGEMENT]
    return tuple(dict.fromkeys((*matrix, *(severity_meaning(book, one) for one in SEVERITIES), *known)))
