"""The command that rates a chain of steps, or what could happen with the specimen of a case."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, tell_problems


@click.command()
@click.argument("case", type=click.Path(path_type=Path), required=False)
@click.option("--steps", default="", help="conditional probabilities in order: '1/10,1/3' or 'name=0.01..0.1..0.3'")
@click.option("--severity", type=int, default=None, help="of the injury: 1 first aid, 2 doctor, 3 hospital, 4 fatal")
@json_option
def risk(case: Path | None, steps: str, severity: int | None, as_json: bool) -> int:
    """Rate a chain of steps that ends in an injury by the published matrix, or all scenarios of a CASE.

    Each step is the probability given all before it, in the life of the product. Of a case the scenarios are set by
    what was found; a function that was not shown enters as both bounds.

    Example: coldpin risk --steps "1/10,1/10,1/3,1/20" --severity 3
    """
    from coldpin.records.plain import to_json

    if case is not None:
        if steps or severity is not None:
            raise click.UsageError("give a case, or --steps with --severity, not both")
        from coldpin.cli.risk_tables import show_case_risk
        from coldpin.workbench.case_risk import rate_case

        rated, problems = rate_case(case)
        if as_json:
            click.echo(to_json(rated), nl=False)
        else:
            show_case_risk(rated)
        return tell_problems(problems)
    if not steps or severity is None:
        raise click.UsageError("give --steps and --severity, or the folder of a case")
    from coldpin.cli.risk_tables import show_risk
    from coldpin.workbench.risk import rate_steps

    told = rate_steps(steps, severity=severity)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_risk(told)
    return 0
