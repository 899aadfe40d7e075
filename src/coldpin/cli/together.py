"""The command that concludes from several specimens of one model."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, progress_line, tell_problems


@click.command()
@click.argument("cases", type=click.Path(path_type=Path), nargs=-1, required=True)
@click.option("--same-model", default="", metavar="REASON", help="why other make, model or rating is one model")
@click.option("--apart", default="", metavar="REASON", help="how pieces with one serial number are told apart")
@click.option("--random-purchase", default="", metavar="REASON", help="how they were drawn at random, independently")
@click.option("--to", "target", type=click.Path(path_type=Path), default=None, help="report to write, .html or .pdf")
@json_option
def together(
    cases: tuple[Path, ...],
    same_model: str,
    apart: str,
    random_purchase: str,
    target: Path | None,
    as_json: bool,
) -> int:
    """Conclude from several specimens of one model: what holds of all, what differs; the worst decides.

    Example: coldpin together demo-shelf/pellwick-20 pellwick-20-second
    """
    from coldpin.cli.together_table import show_together
    from coldpin.records.plain import to_json
    from coldpin.workbench.joining import conclude_together

    with progress_line("assessing") as progress:
        joined = conclude_together(
            cases,
            same_model=same_model,
            apart=apart,
            random_purchase=random_purchase,
            write_to=target,
            progress=progress,
        )
    if as_json:
        click.echo(to_json(joined.together), nl=False)
    else:
        show_together(joined.together)
        for path in joined.files:
            click.echo(str(path))
    return tell_problems(joined.together.problems)
