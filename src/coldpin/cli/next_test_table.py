"""What to test next, as the terminal shows it."""

from __future__ import annotations

import re

import click

from coldpin.records.plan import DESK, FILL_IN, BenchPlan, HeldTest, NextTest, PlannedTest, RankedTest

SHOWN = 5
"""So many of the further tests are listed; the JSON has them all."""


def show_next(told: NextTest, how: PlannedTest | None, *, names: bool = False) -> None:
    """Print the advice: what stops the work first, then the next test and how it is done, then what waits for what.

    Parameters
    ----------
    told : NextTest
        The advice.
    how : PlannedTest or None
        The test with cautions, steps and boxes.
    names : bool
        Whether the tests that wait are named, with every reason.
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
    shown = told.after_it if names else told.after_it[:SHOWN]
    for one in shown:
        click.echo(f"then: {_line(one)}")
    if len(told.after_it) > len(shown):
        click.echo(f"      and {len(told.after_it) - len(shown)} more")
    _show_held(told.held, names=names)
    if told.undecided:
        click.echo(f"tried, and undecided: {'; '.join(told.undecided)}")
        why = "where it is a reading, an instrument of stated accuracy (shelf.toml), or a finer one, may tell"
        click.echo(f"  the report says why; {why}")


def _show_held(tests: tuple[HeldTest, ...], *, names: bool) -> None:
    """Print what may not be done yet: a line for each stage; with names the tests and every reason as well."""
    by_stage: dict[str, list[HeldTest]] = {}
    for held in tests:
        by_stage.setdefault(held.stage, []).append(held)
    reasons = {
        stage: tuple(dict.fromkeys(_FINDING.sub("", reason) for held in some for reason in held.because))
        for stage, some in by_stage.items()
    }
    for reason in dict.fromkeys(reason for told in reasons.values() for reason in told if _LEFT_OUT in reason):
        click.echo(f"held: {reason}")
    for stage, some in by_stage.items():
        if names:
            _show_names(stage, some, reasons[stage])
        else:
            count = "1 test" if len(some) == 1 else f"{len(some)} tests"
            click.echo(f"held, {stage}: {count}, {_in_short(reasons[stage])}")
    if tests and not names:
        click.echo("  --all names them, with every reason")


def _show_names(stage: str, some: list[HeldTest], reasons: tuple[str, ...]) -> None:
    click.echo(f"held, {stage}: {', '.join(held.title for held in some)}")
    for begins in ("first ", "undecided is "):
        those = [reason.removeprefix(begins) for reason in reasons if reason.startswith(begins)]
        if those:
            click.echo(f"  {begins}{', '.join(those)}")
    for reason in (reason for reason in reasons if not reason.startswith(("first ", "undecided is "))):
        if _LEFT_OUT not in reason:
            click.echo(f"  {reason}")


def _in_short(reasons: tuple[str, ...]) -> str:
    """Say the gravest of some reasons in a few words: what failed, what is undecided, what is wanted."""
    failed = [reason for reason in reasons if reason.endswith(" is beyond")]
    undecided = [reason.removeprefix("undecided is ") for reason in reasons if reason.startswith("undecided is ")]
    wanted = [reason.removeprefix("first ") for reason in reasons if reason.startswith("first ")]
    for begins, some in (("for ", failed), ("undecided is ", undecided), ("first ", wanted)):
        if some:
            more = f" and {len(some) - 1} more" if len(some) > 1 else ""
            return f"{begins}{some[0]}{more}"
    return "after those of earlier stages"


_LEFT_OUT = " left out: "
"""What a reason holds that tells of a hold point's test that was left out."""

_FINDING = re.compile(r" \([a-z0-9-]+\.[a-z0-9-]+\)$")
"""The id of a finding at the end of a reason; the JSON has it."""


def _line(one: RankedTest) -> str:
    return f"{one.title} [{one.test}] ({_where(one)}, {one.minutes} min)"


def _where(one: RankedTest | PlannedTest) -> str:
    """Say at which stage a test is; where only claims are missing, at the desk."""
    return DESK if one.claims else one.stage


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
    for text in (*told.notes, FILL_IN):
        click.echo(f"note: {text}")
    if told.left_out:
        click.echo(f"{told.left_out} more tests are worth doing and are not in this plan")
    else:
        click.echo(f"after these: {told.because}" if told.tests else told.because)


def _show_test(one: PlannedTest) -> None:
    times = f"{one.minutes} min, until {one.until_minutes}"
    click.echo(f"\n{one.number}  {one.title} [{one.test}] ({_where(one)}, {times})")
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
