"""The command that lays cases beside each other."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, progress_line, tell_problems


@click.command()
@click.argument("cases", type=click.Path(path_type=Path), nargs=-1, required=True)
@click.option("--to", "target", type=click.Path(path_type=Path), default=None, help="report to write, .html or .pdf")
@json_option
def compare(cases: tuple[Path, ...], target: Path | None, as_json: bool) -> int:
    """Lay cases beside each other: conclusions, functions, uses; a shelf stands for all its cases.

    Example: coldpin compare demo-shelf
    """
    from coldpin.cli.comparison_table import show_comparison
    from coldpin.records.plain import to_json
    from coldpin.workbench.comparing import compare as lay_beside

    with progress_line("comparing") as progress:
        compared = lay_beside(cases, write_to=target, progress=progress)
    if as_json:
        click.echo(to_json(compared.comparison), nl=False)
    else:
        show_comparison(compared.comparison)
        for path in compared.files:
            click.echo(str(path))
    return tell_problems(compared.comparison.problems)
