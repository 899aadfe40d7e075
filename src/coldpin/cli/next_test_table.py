"""What to test next, as the terminal shows it."""

from __future__ import annotations

import re

import click

from coldpin.records.plan import BenchPlan, HeldTest, NextTest, PlannedTest, RankedTest

SHOWN = 5
"""So many of the further tests are listed; the JSON has them all."""


def show_next(told: NextTest, how: PlannedTest | None) -> None:
    """Print the advice: what stops the work first, then the next test and how it is done, then what waits for what.

    Parameters
    ----------
    told : NextTest
        The advice.
    how : PlannedTest or None
        The test with cautions, steps and boxes.
    """
    click.echo(f"{told.case}")
    click.echo(f"  so far: {told.conclusion_now}")
    for stop in told.stopped:
        click.echo(f"  HOLD: {stop}")
    if told.next is None:
        click.echo(told.because)
    else:
        click.echo(f"next: {_line(told.next)}")
        click.echo(f"  {told.because}")
    if how is not None:
        _show_procedure(how)
        click.echo("   Fill in ____ ; what stands in square brackets may be left out, brackets and all.")
    for one in told.after_it[:SHOWN]:
        click.echo(f"then: {_line(one)}")
    if len(told.after_it) > SHOWN:
        click.echo(f"      and {len(told.after_it) - SHOWN} more")
    _show_held(told.held)
    if told.undecided:
        click.echo(f"measured, and undecided: {'; '.join(told.undecided)}")
        click.echo("  the report says why; an instrument of stated accuracy (shelf.toml), or a finer one, may tell")


def _show_held(tests: tuple[HeldTest, ...]) -> None:
    """Print what may not be done yet, a line for each stage, with each reason once and without the ids of findings."""
    by_stage: dict[str, list[HeldTest]] = {}
    for held in tests:
        by_stage.setdefault(held.stage, []).append(held)
    for stage, some in by_stage.items():
        titles = [held.title for held in some[:SHOWN]] + (["more"] if len(some) > SHOWN else [])
        click.echo(f"held, {stage}: {', '.join(titles)}")
        reasons = dict.fromkeys(_FINDING.sub("", reason) for held in some for reason in held.because)
        for begins in ("first ", "undecided is "):
            those = [reason.removeprefix(begins) for reason in reasons if reason.startswith(begins)]
            if those:
                click.echo(f"  {begins}{', '.join(those)}")
        for reason in (reason for reason in reasons if not reason.startswith(("first ", "undecided is "))):
            click.echo(f"  {reason}")


_FINDING = re.compile(r" \([a-z0-9-]+\.[a-z0-9-]+\)$")
"""The id of a finding at the end of a reason; the JSON has it."""


def _line(one: RankedTest) -> str:
    return f"{one.title} [{one.test}] ({one.stage}, {one.minutes} min)"


def show_plan(told: BenchPlan) -> None:
    """Print a plan: of each test the cautions before the steps, then the lines that type it back.

    Parameters
    ----------
    told : BenchPlan
        The plan.
    """
    click.echo(f"{told.case}: {len(told.tests)} tests, {told.minutes} min")
    click.echo(f"  so far: {told.conclusion_now}")
    for text in (*told.cautions, *told.stopped):
        click.echo(f"  CAUTION: {text}")
    for one in told.tests:
        _show_test(one)
    for text in told.notes:
        click.echo(f"note: {text}")
    if told.left_out:
        click.echo(f"{told.left_out} more tests are worth doing and did not go into the time")
    else:
        click.echo(f"after these: {told.because}" if told.tests else told.because)


def _show_test(one: PlannedTest) -> None:
    times = f"{one.minutes} min, until {one.until_minutes}"
    click.echo(f"\n{one.number}  {one.title} [{one.test}] ({one.stage}, {times})")
    _show_procedure(one)


def _show_procedure(one: PlannedTest) -> None:
    click.echo(f"   {one.question}")
    for text in one.cautions:
        click.echo(f"   CAUTION: {text}")
    for text in one.hold_points:
        click.echo(f"   HOLD: {text}")
    if one.live and one.hold_points:
        click.echo("   A tick is a reminder, not an interlock: it switches nothing off.")
    click.echo(f"   with: {one.instrument}")
    for setting in one.simulator:
        levels = f"{setting.high_v} V, {setting.low_v} V"
        click.echo(f"   simulator {setting.position}: {setting.resistors}; diode {setting.diode}; {levels}")
    for number, text in enumerate(one.steps, 1):
        click.echo(f"   {number}. {text}")
    for text in one.stop_values:
        click.echo(f"   STOP: {text}")
    for box in one.boxes:
        if box.recorded_as == "claim":
            click.echo(f"   case.toml, [claims]: {', '.join(box.line.splitlines())}")
        else:
            click.echo(f"   $ {box.line}")
