"""What to test next, as the terminal shows it."""

from __future__ import annotations

import click

from coldpin.records.plan import NextTest, RankedTest

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
