"""What was assumed for each step of a scenario, as a person reads it and types it otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from coldpin.conclusion.rating import one_in
from coldpin.conclusion.scenario_chances import none_acts
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.scenario_steps import StepKind
from coldpin.conclusion.scenarios import SetStep, Taken, set_scenario
from coldpin.errors import CaseError, InputError, UnknownName
from coldpin.records.described import Conflict, DescribedList
from coldpin.records.finding import Limit
from coldpin.records.plain import from_json, to_plain
from coldpin.records.scenario import Circumstances, Ground, OwnEstimate, OwnSeverity, ScenarioStep, Span
from coldpin.records.supposed import AssumedStep, StepEstimate, TypedEstimate
from coldpin.workbench.editing import RowEdit, edit_case_rows
from coldpin.workbench.risk import read_chance
from coldpin.workbench.supposing import Supposing


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


def typed_chance(chance: float) -> str:
    """Write a probability as a person types it, so that it is read as the same number.

    Parameters
    ----------
    chance : float
        The probability. [1]

    Returns
    -------
    str
        As one in so many where that is exact.

    Examples
    --------
    >>> typed_chance(0.02), typed_chance(0.064), typed_chance(0.0001)
    ('1/50', '0.064', '1/10 000')
    """
    short = one_in(chance)
    return f"{chance:.12g}" if short.startswith("about") or read_chance(short) != chance else short


def tried_estimates(
    known: Supposing, scenario: str, typed: Iterable[TypedEstimate], *, everywhere: bool = False, source: str = ""
) -> tuple[OwnEstimate, ...]:
    """Read what a person typed for the steps of a scenario, and keep what is another than recorded.

    Parameters
    ----------
    known : Supposing
        The case.
    scenario : str
        Id of the scenario.
    typed : iterable of TypedEstimate
        Three numbers for each estimate that is typed.
    everywhere : bool
        Whether it is meant for every scenario that has the step.
    source : str
        Where it is from, or why.

    Returns
    -------
    tuple of OwnEstimate
        Those that are tried.

    Raises
    ------
    UnknownName
        No such scenario was judged, or it has no such step to be estimated.
    CaseError
        A number cannot be read.
    """
    steps = assumed_steps(known, scenario)
    recorded = {(one.step.id, each.state): (one, each) for one in steps for each in one.estimates}
    tried = []
    for one in typed:
        if (one.step, one.state) not in recorded:
            names = [" ".join(filter(None, name)) for name in recorded]
            raise UnknownName.among(f"estimate of {scenario}", f"{one.step} {one.state}".strip(), names)
        step, held = recorded[one.step, one.state]
        span = Span(**{end: _typed_end(step.step.text, end, getattr(one, end)) for end in ("low", "best", "high")})
        if span != _as_typed(held.span):
            tried.append(
                OwnEstimate(
                    scenario="" if everywhere else scenario,
                    step=one.step,
                    state=one.state,  # type: ignore[arg-type]  # one that the record has
                    low=span.low,
                    best=span.best,
                    high=span.high,
                    source=source,
                )
            )
    return tuple(tried)


def _as_typed(span: Span) -> Span:
    """Return a span as it is read from what is shown of it: nothing that was left alone is tried."""
    return Span(**{end: read_chance(typed_chance(getattr(span, end))) for end in ("low", "best", "high")})


def _typed_end(step: str, end: str, text: str) -> float:
    try:
        return read_chance(text)
    except InputError as error:
        raise CaseError(f"“{step.removesuffix('.')}”, {end}: {error}") from error


def keep_own(
    folder: Path | str,
    estimates: Sequence[OwnEstimate],
    severities: Sequence[OwnSeverity] = (),
    *,
    seen: Mapping[tuple[str, str], str] | None = None,
    seen_severity: str = "",
) -> DescribedList | Conflict:
    """Write estimates and severities into ``case.toml`` as the case's own, in the place of those that were seen.

    All of them are written, or none.

    Parameters
    ----------
    folder : Path or str
        The case.
    estimates : sequence of OwnEstimate
        Each with where it is from, or why; one of another reach than the one that was seen stands beside it.
    severities : sequence of OwnSeverity
        How a scenario ends, with where that is from.
    seen : mapping, optional
        The case's own that stood there, as JSON, by step and state.
    seen_severity : str
        The case's own severity that stood there, as JSON; empty where there was none.

    Returns
    -------
    DescribedList or Conflict
        The last list that was changed, as it is now; or both rows, where the file holds another by now.

    Raises
    ------
    CaseError
        One cannot be used, or what was seen cannot be read; nothing was changed.
    StorageError
        The disk refused; nothing was changed.
    """
    edits = []
    for estimate in estimates:
        stood = (seen or {}).get((estimate.step, estimate.state), "")
        row = {
            name: typed_chance(value) if isinstance(value, float) else value
            for name, value in to_plain(estimate).items()
        }
        edits.append(RowEdit(key="estimates", old=stood if _reaches(stood, estimate) else "", new=row))
    for severity in severities:
        row = {name: str(value) for name, value in to_plain(severity).items()}
        edits.append(RowEdit(key="severities", old=seen_severity, new=row))
    return edit_case_rows(folder, edits)


def _reaches(seen: str, estimate: OwnEstimate) -> bool:
    """Say whether what was seen is of the same step, state and scenarios; else it stays beside the new one."""
    if not seen:
        return False
    held = from_json(OwnEstimate, seen, where="the estimate that was seen")
    return (held.scenario, held.step, held.state) == (estimate.scenario, estimate.step, estimate.state)
