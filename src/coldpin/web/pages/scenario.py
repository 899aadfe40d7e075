"""One scenario of harm as a chain: what becomes of it with other assumptions, and keeping those."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Query, Request, Response

from coldpin.errors import CaseError, InputError, UnknownName
from coldpin.records.described import Conflict, DescribedList
from coldpin.records.plain import to_json
from coldpin.records.scenario import InjuryScenario, MatrixRow, OwnSeverity
from coldpin.records.supposed import AssumedStep, StepEstimate, SupposedRisk, TypedEstimate
from coldpin.web.answering import Pages, done
from coldpin.web.conflict import EDITED, told_conflict
from coldpin.web.desk import Desk
from coldpin.web.works import Work
from coldpin.workbench.assumed import assumed_steps, keep_own, tried_estimates, typed_chance
from coldpin.workbench.supposing import suppose_risk

TRIED = "tried, not kept"
"""Stands for the reason of an assumption that is only tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedLine:
    """An estimate of a step with what is typed for it; ``seen`` is the case's own that stands there, as JSON."""

    recorded: StepEstimate
    typed: TypedEstimate
    seen: str
    moved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioLine:
    """A step of the chain, with what can be typed for it."""

    assumed: AssumedStep
    lines: tuple[TypedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioPage:
    """One scenario: its chain as recorded, what is typed in its place, and the effect of that.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    fresh : bool
        True where what is recorded is of the case as it stands.
    work : Work or None
        What makes the next assessment.
    scenario : InjuryScenario
        As recorded.
    number : int
        Its number in the matrix.
    others : tuple of tuple of str
        Id and title of every scenario, as recorded.
    chain : tuple of ScenarioLine
        Its steps.
    severity : str
        What is typed for how it ends.
    seen_severity : str
        The case's own severity that stands there, as JSON; empty where there is none.
    everywhere : bool
        Whether what is typed is meant for every scenario with these steps.
    matrix : tuple of MatrixRow
        The published matrix.
    severities : tuple of str
        What each severity means.
    effect : SupposedRisk or None
        Of what is typed; None where nothing is, or it cannot be used.
    supposed : InjuryScenario or None
        This scenario with what is typed.
    refused : str
        Why what is typed cannot be used; empty where it can.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    scenario: InjuryScenario
    number: int
    others: tuple[tuple[str, str], ...]
    chain: tuple[ScenarioLine, ...]
    severity: str
    seen_severity: str
    everywhere: bool
    matrix: tuple[MatrixRow, ...]
    severities: tuple[str, ...]
    effect: SupposedRisk | None
    supposed: InjuryScenario | None
    refused: str = ""


Texts = Annotated[list[str] | None, Query()]


def scenario_page(
    desk: Desk,
    name: str,
    scenario: str,
    *,
    typed: tuple[TypedEstimate, ...] = (),
    severity: str = "",
    everywhere: bool = False,
) -> ScenarioPage:
    """Return one scenario, with the effect of what is typed in place of what was assumed.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    scenario : str
        Id of the scenario.
    typed : tuple of TypedEstimate
        What is typed; nothing is tried where empty.
    severity : str
        How it ends, 1 to 4; as recorded where empty.
    everywhere : bool
        Whether what is typed is meant for every scenario with these steps.

    Returns
    -------
    ScenarioPage
        What is recorded beside what is typed.

    Raises
    ------
    UnknownName
        There is no such case, scenario or estimate.
    BeingAssessed
        The case was never assessed yet.
    CaseError
        The case cannot be read or assessed.
    InputError
        An own constant leaves out a number that is needed.
    """
    known = desk.supposing(name)
    standing = desk.standings.of(desk.case(name).folder)
    scenarios = {one.id: one for one in known.assessment.scenarios}
    if scenario not in scenarios:
        raise UnknownName.among("scenario", scenario, scenarios)
    recorded, risk = scenarios[scenario], known.assessment.risk
    assert risk is not None, "a case that was assessed has its scenarios judged"
    refused, effect = "", None
    try:
        tried = tried_estimates(known, scenario, typed, everywhere=everywhere, source=TRIED)
        ends = _severity(scenario, severity, recorded.severity, TRIED)
        if tried or ends:
            effect = suppose_risk(known, estimates=tried, severities=ends)
    except UnknownName:
        raise
    except InputError as error:
        refused = str(error)
    by_name = {(one.step, one.state): one for one in typed}
    supposed = (
        next((move.supposed for move in effect.scenarios if move.recorded.id == scenario), None) if effect else None
    )
    own = next((one for one in known.assessment.case.severities if one.scenario == scenario), None)
    return ScenarioPage(
        name=name,
        title=known.assessment.title,
        fresh=standing.fresh,
        work=standing.work,
        scenario=recorded,
        number=list(scenarios).index(scenario) + 1,
        others=tuple((one.id, one.title) for one in scenarios.values()),
        chain=tuple(
            ScenarioLine(assumed=step, lines=tuple(_line(step, each, by_name) for each in step.estimates))
            for step in assumed_steps(known, scenario)
        ),
        severity=severity or str(recorded.severity),
        seen_severity="" if own is None else to_json(own),
        everywhere=everywhere,
        matrix=risk.matrix,
        severities=risk.severities,
        effect=effect,
        supposed=supposed,
        refused=refused,
    )


def _line(step: AssumedStep, held: StepEstimate, typed: dict[tuple[str, str], TypedEstimate]) -> TypedLine:
    span = held.span
    recorded = TypedEstimate(
        step=step.step.id,
        state=held.state,
        low=typed_chance(span.low),
        best=typed_chance(span.best),
        high=typed_chance(span.high),
    )
    shown = typed.get((recorded.step, recorded.state), recorded)
    seen = "" if held.own is None else to_json(held.own)
    return TypedLine(recorded=held, typed=shown, seen=seen, moved=shown != recorded)


def _severity(scenario: str, typed: str, recorded: int, source: str) -> tuple[OwnSeverity, ...]:
    if not typed or typed == str(recorded):
        return ()
    if len(typed) > 1 or not typed.isdecimal():
        raise CaseError(f"how it ends: {typed[:40]!r} is no severity: write 1, 2, 3 or 4")
    return (OwnSeverity(scenario=scenario, severity=int(typed), source=source),)


def typed_of(
    step: list[str] | None,
    state: list[str] | None,
    low: list[str] | None,
    best: list[str] | None,
    high: list[str] | None,
) -> tuple[TypedEstimate, ...]:
    """Return what is typed, of the columns in which a form sends it.

    Parameters
    ----------
    step, state, low, best, high : list of str or None
        One of each for every estimate, in one order.

    Returns
    -------
    tuple of TypedEstimate
        Line by line.

    Raises
    ------
    CaseError
        The columns are not of one length.
    """
    columns = [column or [] for column in (step, state, low, best, high)]
    if len({len(column) for column in columns}) != 1:
        raise CaseError("step, state, low, best and high: give one of each for every estimate")
    return tuple(
        TypedEstimate(step=one[0], state=one[1], low=one[2], best=one[3], high=one[4])
        for one in zip(*columns, strict=True)
    )


def keep_typed(
    desk: Desk,
    name: str,
    scenario: str,
    typed: tuple[TypedEstimate, ...],
    *,
    source: str,
    seen: Mapping[tuple[str, str], str],
    severity: str = "",
    seen_severity: str = "",
    everywhere: bool = False,
) -> DescribedList | Conflict:
    """Keep what is typed for a scenario in ``case.toml``, as the case's own assumptions.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    scenario : str
        Id of the scenario.
    typed : tuple of TypedEstimate
        What is typed.
    source : str
        Where it is from, or why.
    seen : mapping
        The case's own that stood there, as JSON, by step and state.
    severity : str
        How it ends; as recorded where empty.
    seen_severity : str
        The case's own severity that stood there, as JSON.
    everywhere : bool
        Whether it is meant for every scenario with these steps.

    Returns
    -------
    DescribedList or Conflict
        The last list that was changed, as it is now; or both values, where the file holds another by now.

    Raises
    ------
    UnknownName
        There is no such case, scenario or estimate.
    BeingAssessed
        The case was never assessed yet.
    CaseError
        Nothing is typed that is another than recorded, or it cannot be used.
    StorageError
        The disk refused.
    """
    known, folder = desk.supposing(name), desk.case(name).folder
    recorded = {one.id: one.severity for one in known.assessment.scenarios}
    tried = tried_estimates(known, scenario, typed, everywhere=everywhere, source=source)
    ends = _severity(scenario, severity, recorded[scenario], source)
    if not tried and not ends:
        raise CaseError("nothing is typed that is another than recorded: change an estimate first")
    suppose_risk(known, estimates=tried, severities=ends)  # refuses what cannot be used before anything is written
    told = keep_own(folder, tried, ends, seen=seen, seen_severity=seen_severity)
    if not isinstance(told, Conflict):
        desk.standings.of(folder)
    return told


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/case/{name}/risk/{scenario}", "scenario.html")
    def scenario(
        name: str,
        scenario: str,
        step: Texts = None,
        state: Texts = None,
        low: Texts = None,
        best: Texts = None,
        high: Texts = None,
        severity: str = "",
        everywhere: bool = False,
    ) -> ScenarioPage:
        """Show one scenario, and what becomes of it with other estimates; nothing is kept."""
        typed = typed_of(step, state, low, best, high)
        return scenario_page(desk, name, scenario, typed=typed, severity=severity, everywhere=everywhere)

    @pages.router.post(
        "/case/{name}/risk/{scenario}", response_class=Response, responses=dict(EDITED), status_code=HTTPStatus.CREATED
    )
    def keep(
        request: Request,
        name: str,
        scenario: str,
        source: Annotated[str, Form()] = "",
        step: Annotated[list[str] | None, Form()] = None,
        state: Annotated[list[str] | None, Form()] = None,
        low: Annotated[list[str] | None, Form()] = None,
        best: Annotated[list[str] | None, Form()] = None,
        high: Annotated[list[str] | None, Form()] = None,
        seen: Annotated[list[str] | None, Form()] = None,
        severity: Annotated[str, Form()] = "",
        seen_severity: Annotated[str, Form()] = "",
        everywhere: Annotated[bool, Form()] = False,
    ) -> Response:
        """Keep what is tried of a scenario in case.toml, as the case's own assumption with its reason."""
        typed = typed_of(step, state, low, best, high)
        held = dict(zip(((one.step, one.state) for one in typed), seen or [], strict=False))
        kept = keep_typed(
            desk,
            name,
            scenario,
            typed,
            source=source,
            seen=held,
            severity=severity,
            seen_severity=seen_severity,
            everywhere=everywhere,
        )
        if isinstance(kept, Conflict):
            return told_conflict(request, pages, name, kept)
        place = f"/case/{quote(name, safe='')}/risk/{quote(scenario, safe='')}"
        return done(request, kept, place=place)
