"""What the command about risk prints for a person: chain or scenarios, level, what moves it, where it is from."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from coldpin.records.scenario import CaseRisk, InjuryScenario, RiskReading, RiskStep


def show_risk(told: RiskReading) -> None:
    """Print a chain that was rated.

    Parameters
    ----------
    told : RiskReading
        The record.
    """
    from coldpin.cli.tables import show_rows
    from coldpin.conclusion.rating import one_in
    from coldpin.standards.wording import limit_paragraph

    moves = {step.step: step for step in told.sensitivity.steps}
    show_rows(
        ("Step", "Given all before", "So far", "Ten times", "A tenth"),
        [
            (step.id, _span(step), one_in(step.so_far), moves[step.id].ten_times.value, moves[step.id].tenth.value)
            for step in told.steps
        ],
    )
    click.echo(f"Level: {told.level.value}. {told.statement}")
    click.echo(f"Severity {told.severity}: {told.severity_means}.")
    if told.interval is not None:
        low, high = told.interval
        click.echo(
            f"95 % of the draws lie from {one_in(low)} to {one_in(high)}: levels {told.levels[0].value} to "
            f"{told.levels[1].value}."
        )
    milder, graver = told.sensitivity.milder, told.sensitivity.graver
    beside = [
        f"{word} {level.value}" for word, level in (("milder:", milder), ("graver:", graver)) if level is not None
    ]
    click.echo(f"With the severity one step {', '.join(beside)}.")
    for limit in told.limits:
        click.echo(limit_paragraph(limit))


def _span(step: RiskStep) -> str:
    from coldpin.conclusion.rating import one_in

    if step.span.certain:
        return one_in(step.span.best)
    return f"{one_in(step.span.best)} ({one_in(step.span.low)} to {one_in(step.span.high)})"


def show_case_risk(rated: CaseRisk) -> None:
    """Print the scenarios of a case, worst first.

    Parameters
    ----------
    rated : CaseRisk
        The record.
    """
    from coldpin.cli.tables import show_rows
    from coldpin.records.assessment import Basis

    click.echo(f"{rated.title}: {rated.risk.statement} [{Basis.OPINION}]")
    click.echo("")
    show_rows(
        ("Scenario", "Level", "If shown", "Band", "Severity", "What moves it"),
        [
            (
                one.id,
                one.level.value,
                one.mildest.level.value if one.open_functions else "–",
                one.worst.band,
                str(one.worst.severity),
                _mover(one),
            )
            for one in rated.scenarios
        ],
    )
    click.echo(
        "'If shown' is the level with all working that was not shown. Steps and estimates: --json, or the report."
    )


def _mover(one: InjuryScenario) -> str:
    step = next((step for step in one.steps if step.id == one.mover), None)
    if step is None:
        return ""
    return f"{step.id}, not shown: {', '.join(step.functions)}" if step.if_works is not None else step.id
