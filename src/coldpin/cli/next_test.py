"""The commands that say what to test next and print the sheet for the bench."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, progress_line

without_option = click.option(
    "--without", multiple=True, metavar="TEST", help="a test or check that cannot be done; may be repeated"
)


@click.command("next")
@click.argument("case", type=click.Path(path_type=Path))
@without_option
@json_option
def next_(case: Path, without: tuple[str, ...], as_json: bool) -> int:
    """Say which test to do next, why, and what a hold point stands before; or that no test is worth it.

    It is the one that changes the conclusion most per minute, of those that the safety order allows: dead before live,
    extra-low voltage before mains, vehicle simulator before car, whole before opened, what destroys last.

    Example: coldpin next demo-shelf/skerrow-16
    """
    from coldpin.cli.next_test_table import show_next
    from coldpin.records.plain import to_json
    from coldpin.workbench.advising import next_test

    with progress_line("reading the case") as progress:
        told = next_test(case, without=without, progress=progress)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_next(told)
    return 0
