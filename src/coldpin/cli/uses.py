"""The command that says where and how the specimen of a case may be used."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, tell_problems


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@json_option
def uses(case: Path, as_json: bool) -> int:
    """Say where and how the specimen of a CASE may be used: the answer, the largest current, what limits it, why.

    Example: coldpin uses demo-shelf/skerrow-16
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.case_uses import uses_of_case

    told, problems = uses_of_case(case)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        from coldpin.cli.uses_table import show_uses

        show_uses(told)
    return tell_problems(problems)
