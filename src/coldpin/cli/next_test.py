"""The commands that say what to test next and print the sheet for the bench."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, progress_line, tell_problems

without_option = click.option(
    "--without",
    multiple=True,
    metavar="TEST",
    help="a test or check that cannot be done; may be repeated. "
    "Where a hold point rests on it, nothing live and nothing opened is advised until it is recorded",
)


@click.command("next")
@click.argument("case", type=click.Path(path_type=Path))
@without_option
@click.option("--all", "names", is_flag=True, help="name the tests that wait, with every reason")
@json_option
def next_(case: Path, without: tuple[str, ...], names: bool, as_json: bool) -> int:
    """Say which test to do next, why, and what a hold point stands before; or that no test is worth it.

    It is the one that changes the conclusion most per minute, of those that the order of work allows: dead before live,
    extra-low voltage before mains, vehicle simulator before car, whole before opened, what destroys last. It is shown
    with its cautions, its steps and the lines that record it.

    Example: coldpin next demo-shelf/skerrow-16
    """
    from coldpin.cli.next_test_table import show_next
    from coldpin.records.plain import to_json
    from coldpin.workbench.bench_plan import next_with_steps

    with progress_line("reading the case") as progress:
        told, how = next_with_steps(case, without=without, progress=progress)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_next(told, how, names=names)
    return tell_problems(told.problems)


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--minutes", type=click.IntRange(min=1), default=None, help="the time there is; all tests where left out")
@click.option("--stage", is_flag=True, help="only up to where the mains, a car or an opened unit comes next")
@without_option
@click.option(
    "--pdf", "sheet", type=click.Path(path_type=Path, dir_okay=False), default=None, help="write it as a bench sheet"
)
@json_option
def plan(
    case: Path, minutes: int | None, stage: bool, without: tuple[str, ...], sheet: Path | None, as_json: bool
) -> int:
    """Plan the bench from here on: tests in order, cautions before steps, hold points, boxes that type straight back.

    It supposes that no test finds anything; after each entry it is another. A tick is a reminder, not an interlock.

    Example: coldpin plan demo-shelf/skerrow-16 --minutes 120 --pdf bench-plan.pdf
    """
    from coldpin.cli.next_test_table import show_plan
    from coldpin.records.plain import to_json
    from coldpin.workbench.bench_plan import plan_bench, write_bench_sheet

    with progress_line("reading the case") as progress:
        told = plan_bench(case, minutes=minutes, one_place=stage, without=without, progress=progress)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_plan(told)
    if sheet is not None:
        click.echo(f"sheet: {write_bench_sheet(told, sheet)}", err=True)
    return tell_problems(told.problems)
