"""What to test next, as the terminal shows it."""

from __future__ import annotations

import click

from coldpin.records.plan import BenchPlan, NextTest, PlannedTest, RankedTest

SHOWN = 5
"""So many of the further tests are listed; the JSON has them all."""


def show_next(told: NextTest) -> None:
    """Print the advice: what stops the work first, then the next test, then what waits and for what.

    Parameters
    ----------
    told : NextTest
        The advice.
    """
    click.echo(f"{told.case}")
    click.echo(f"  so far: {told.conclusion_now}")
    for stop in told.stopped:
        click.echo(f"  HOLD: {stop}")
    if told.next is None:
        click.echo(told.because)
    else:
        click.echo(f"next: {_line(told.next)}")
        click.echo(f"  {told.next.question}")
        click.echo(f"  {told.because}")
        if told.next.claims:
            click.echo(f"  write into case.toml: {', '.join(f'claims.{name}' for name in told.next.claims)}")
        click.echo(f"  how, cautions first: coldpin checks {told.next.check}")
    for one in told.after_it[:SHOWN]:
        click.echo(f"then: {_line(one)}")
    if len(told.after_it) > SHOWN:
        click.echo(f"      and {len(told.after_it) - SHOWN} more")
    waiting: dict[tuple[str, ...], list[str]] = {}
    for held in told.held:
        waiting.setdefault(held.because, []).append(f"{held.title} ({held.stage})")
    for because, titles in waiting.items():
        click.echo(f"held, {'; '.join(because)}: {', '.join(titles)}")
    if told.undecided:
        click.echo(f"measured, too uncertain to say; a finer instrument may tell: {'; '.join(told.undecided)}")


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
